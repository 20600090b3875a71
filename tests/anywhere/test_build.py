"""The page as it is built: what it says without scripts, and where a piece is missing."""

import io
import re
import zipfile
from dataclasses import replace

import pytest

from labkit.anywhere import runtime
from labkit.anywhere.build import exercises_zip
from labkit.anywhere.laid import chosen, lay
from labkit.anywhere.page_html import html_of
from labkit.hunts.played import trials
from labkit.hunts.surveying import SurveyHunt
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


def test_the_worksheet_of_a_survey_has_what_is_fitted_and_claims_to_tick():
    one = lay(EXERCISES / "surveys" / "new-loads.toml")
    body = html_of([one], {}).partition("<body>")[2]
    boat = SurveyHunt(one.exercise, "learner")
    assert len(boat.question.claims) > 4
    for claim in boat.question.claims:
        assert f"<li>{claim.says}</li>" in body
    assert any(drawn != found for _, drawn, found in boat.fitted)
    for cells in boat.fitted:
        assert "".join(f"<td>{cell}</td>" for cell in cells) in body


def test_the_worksheet_of_a_large_boat_draws_all_that_may_be_at_fault():
    one = lay(EXERCISES / "whole-boat" / "plotter-goes-dark.toml")
    on_paper = {spot.id for spot in one.paper.hot_spots}
    on_bench = {spot.id for spot in one.drawing.hot_spots}
    assert {fault.part for fault in one.exercise.deal("").circuit.faults} <= on_paper
    assert on_bench < on_paper
    sheet = html_of([one], {}).partition('<div class="sheet-only">')[2]
    assert sheet.count("<figure>") == 2
    assert sheet.startswith("<div hidden><figure>")


def test_hunts_are_listed_by_what_fewest_others_teach_and_say_how_hard_they_are():
    played = [lay(EXERCISES / f"{name}.toml") for name in ("slow-washdown", "chart-lamp-dark")]
    levels = [replace(one, level=trials()[one.exercise.title].level) for one in played]
    assert len({one.teaches for one in levels}) == 2
    html = html_of(levels, {})
    for one in levels:
        assert f"<h2>{one.teaches}</h2>" in html
        assert f"{one.exercise.title}</a> <em>level {one.level} of 5</em>" in html


def test_hunts_kept_for_a_final_or_a_study_are_taken_only_where_they_are_named():
    folders = {path.parent.name for path in chosen([EXERCISES])}
    assert folders == {"exercises", "surveys", "whole-boat"}
    assert len(chosen([EXERCISES / "final"])) == 6


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
