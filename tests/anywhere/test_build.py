"""The page as it is built: what it says without scripts, and where a piece is missing."""

import io
import re
import zipfile

import pytest

from labkit.anywhere import runtime
from labkit.anywhere.build import exercises_zip
from labkit.anywhere.laid import chosen, lay
from labkit.anywhere.page_html import html_of
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES


def test_a_piece_that_is_missing_is_named_with_the_place_to_put_it(tmp_path, monkeypatch):
    monkeypatch.setattr(runtime.shutil, "which", lambda _: None)
    with pytest.raises(CircuitError) as met:
        runtime.pyodide(tmp_path)
    (said,) = met.value.problems
    assert said.startswith(f"pyodide-{runtime.PYODIDE}.tgz: ")
    assert said.endswith(f"put it into {tmp_path}")


def test_a_piece_that_is_not_what_it_should_be_is_not_taken(tmp_path, monkeypatch):
    (tmp_path / f"pyodide-{runtime.PYODIDE}.tgz").write_bytes(b"something else")
    monkeypatch.setattr(runtime.shutil, "which", lambda _: None)
    with pytest.raises(CircuitError, match="could not be fetched"):
        runtime.pyodide(tmp_path)


def test_every_library_of_the_page_is_pinned_with_its_hash():
    names = [name for name, _, _ in runtime.pins()]
    assert {"pydantic", "pydantic-core", "quantiphy", "schemdraw"} <= {*names}
    assert all(len(digest) == 64 for _, _, digest in runtime.pins())


@pytest.fixture(scope="module")
def html() -> str:
    return html_of([lay(EXERCISES / "slow-washdown.toml")], {}, {}, "licences")


def test_the_page_is_a_worksheet_where_scripts_are_off(html):
    body = html.partition("<body>")[2]
    assert "The washdown pump that only dribbles" in body
    assert 'class="labkit-drawing"' in body
    assert "<strong>Cautions</strong>" in body
    assert "what that rules out" in body


def test_the_page_asks_nothing_of_anybody_else(html):
    policy = re.search(r'Security-Policy" content="([^"]*)"', html)[1]
    assert "http" not in policy
    assert not re.findall(r'(?:src|href)="(?!#|data:)[^"]*"', html)


def test_the_page_says_that_the_fault_lies_in_the_browser(html):
    assert "for practice, not for exams" in html


def test_hunts_take_their_circuits_along():
    packed = exercises_zip([lay(EXERCISES / "slow-washdown.toml")])
    names = zipfile.ZipFile(io.BytesIO(packed)).namelist()
    assert names == [
        "exercises/index.json",
        "exercises/0/circuits/washdown.toml",
        "exercises/0/slow-washdown.toml",
    ]


def test_two_hunts_of_one_name_are_refused(tmp_path):
    one = EXERCISES / "slow-washdown.toml"
    (tmp_path / one.name).write_bytes(one.read_bytes())
    with pytest.raises(CircuitError, match="two hunts"):
        chosen([one, tmp_path])
