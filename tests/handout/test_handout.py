"""The printed page: what stands on it, on both papers, in black and white."""

import functools
import re
import tomllib

import numpy as np
import pypdfium2
import pytest

from labkit.circuits.circuit import build_circuit, run
from labkit.circuits.circuit_file import circuit_from
from labkit.desk.key import key_of
from labkit.exercises.dealing import deal_hands, read_hand
from labkit.exercises.exercise import load_exercise
from labkit.handout import PAPERS, sheet_of, typeset
from labkit.measuring.meter import read
from labkit.parts import Battery, Joint, Resistor
from tests.boats import EXERCISES, share, shipped
from tests.large_boats import large_boat

FILES = sorted(EXERCISES.glob("*.toml"))
MILLIMETRE = 72 / 25.4
SIZES = {"a4": (210, 297), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1 size A


def pages(data):
    document = pypdfium2.PdfDocument(data)
    try:
        return [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()


def by_length(file):
    """How much there is to print: test points, and the words of cautions and causes."""
    exercise = load_exercise(file)
    words = sum(map(len, (*exercise.cautions, *exercise.causes)))
    return 40 * len(exercise.circuit.test_points) + words


LONGEST = sorted(FILES, key=by_length)[-6:]


@functools.cache
def printed(file, paper):
    """The page of an exercise, typeset once for all that is asked of it."""
    return typeset(sheet_of(load_exercise(file)), paper)


def text_of(data):
    return " ".join(" ".join(pages(data)).split())


def pictures(data, scale=1.5):
    document = pypdfium2.PdfDocument(data)
    try:
        return [page.render(scale=scale).to_numpy()[..., :3].astype(int) for page in document]
    finally:
        document.close()


@pytest.fixture(scope="module")
def washdown():
    return load_exercise(EXERCISES / "slow-washdown.toml")


def test_a_hand_out_holds_what_the_learner_needs(washdown):
    said = text_of(typeset(sheet_of(washdown)))
    for words in (washdown.title, "hat off", "S1 on, S2 off", "M1:1 taken off", "X1:2, S2:1",
                  "Conclusion", "limit 10 % of 12 V", *washdown.seen):  # fmt: skip  # in rows
        assert words in said
    for caution in washdown.cautions:
        assert " ".join(caution.split())[:60] in said


@pytest.mark.parametrize("file", share(FILES, 2), ids=lambda f: f.stem)
def test_a_hand_out_gives_nothing_away(file):
    exercise = load_exercise(file)
    said = text_of(printed(file, "a4"))
    for faults, cause in zip(exercise.variants, exercise.causes, strict=True):
        assert not any(fault in said for fault in faults)
        assert cause[:40] not in said
    for part in exercise.circuit.parts.values():
        if part.hidden:
            assert not re.search(rf"\b{part.id}\b", said)


def test_the_answers_are_those_of_the_key(washdown):
    key = key_of(washdown, washdown.variant(0))
    said = text_of(typeset(sheet_of(washdown, key)))
    assert "corroded, 1.6 ohm" in said
    assert washdown.causes[0][:40] in said
    for compared in key.telling[:3]:
        assert compared.found.display in said
    assert key.path[-1] in said
    assert "Name" not in said.split("What the person")[0]


def test_a_learners_page_bears_their_name(tmp_path):
    (path,) = deal_hands(EXERCISES / "horn-mute.toml", ["Åsa Ōta *#$[]"], tmp_path)
    hand = read_hand(path)
    said = text_of(typeset(sheet_of(hand.exercise, learner=hand.learner)))
    assert "Name Åsa Ōta *#$[] Date" in said


def test_a_circuits_page_gives_the_readings_to_expect():
    circuit = shipped("washdown")
    said = text_of(typeset(sheet_of(circuit)))
    on = circuit.with_position(S2="on")
    for terminal in ("W2:2", "M1:2"):
        assert read(circuit, terminal).display in said
        assert read(on, terminal).display in said
    assert "fuel vapour" in said
    assert "Local codes" in said


@pytest.mark.parametrize(
    ("file", "paper"),
    [*((file, "a4") for file in share(FILES, 2, first=1)), *((file, "letter") for file in LONGEST)],
    ids=lambda one: getattr(one, "stem", one),
)
def test_a_hand_out_is_short_and_black_and_keeps_its_margins(file, paper):
    data = printed(file, paper)
    document = pypdfium2.PdfDocument(data)
    try:
        assert len(document) <= 2
        sizes = [document[n].get_size() for n in range(len(document))]
    finally:
        document.close()
    wide, high = (mm * MILLIMETRE for mm in SIZES[paper])
    for size in sizes:
        assert size == pytest.approx((wide, high), abs=0.5)
    for picture in pictures(data, scale=0.75):
        assert np.ptp(picture, axis=2).max() == 0  # no colour anywhere
        edge = round(9 * MILLIMETRE * 0.75)
        for border in (picture[:edge], picture[:, :edge], picture[:, -edge:]):
            assert border.min() == 255


LONG_PATH = ("S1 on, S2 on: wiggling X1 with an eye on E1: E1 is dark. Leaves X1 open.",) * 12
"""As long as the longest path of an exercise shipped; working one out takes seconds."""


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("file", share(LONGEST, 2), ids=lambda f: f.stem)
def test_the_longest_keys_take_three_pages_at_most(file, paper):
    exercise = load_exercise(file)
    key = key_of(exercise, exercise.variant(0))
    key.__dict__["path"] = LONG_PATH
    assert len(pages(typeset(sheet_of(exercise, key), paper))) <= 3


def test_the_drawing_on_the_page_is_drawn(washdown):
    first = pictures(typeset(sheet_of(washdown)))[0]
    assert 0.01 < (first < 128).mean() < 0.2  # ink, and not a black box


def test_the_same_sheet_gives_the_same_bytes(washdown):
    assert typeset(sheet_of(washdown)) == typeset(sheet_of(washdown))


@pytest.mark.parametrize(
    "sign", ["\u26a0\ufe0f", "\u2764\ufe0f", "\U0001f469\u200d\U0001f467", "e\u0301\u0302\u0303",
             "\ufeffa", "1\ufe0f\u20e3", "Z\u0351\u036b\u0313", "\u8239", "\ue000"],
)  # fmt: skip  # rows that a reader compares
def test_whatever_letters_a_label_holds_the_page_is_printed(sign):
    text = (EXERCISES / "circuits" / "washdown.toml").read_text(encoding="utf-8")
    labelled = text.replace('label = "splice', f'label = "{sign} splice', 1)
    assert sign in labelled
    circuit = circuit_from(tomllib.loads(labelled), "washdown.toml")
    assert "splice" in text_of(typeset(sheet_of(circuit)))


def _margins_are_blank(data, edge=6.0):
    """No ink nearer to an edge of a page than the printer reaches, and nothing cut off there."""
    for page in pictures(data):
        ink = page.min(axis=2) < 200
        rim = round(edge * MILLIMETRE * 1.5)
        outside = np.concatenate([
            ink[:rim].ravel(), ink[-rim:].ravel(), ink[:, :rim].ravel(), ink[:, -rim:].ravel(),
        ])  # fmt: skip  # rows that a reader compares
        if outside.any():
            return False
    return True


@pytest.fixture(scope="module")
def whole_boat():
    return typeset(sheet_of(large_boat(12, panels=3)))


def test_the_pages_of_a_large_boat_clip_nothing(whole_boat):
    assert _margins_are_blank(whole_boat)


def test_a_tall_drawing_is_made_to_fit_its_page():
    runs = [run("DC-", "stud", Battery("G1", emf="12 V"))]
    for n in range(1, 25):
        runs.append(run("stud", "DC-", Joint(f"X{n}"), Resistor(f"R{n}", resistance="50 ohm")))
    tall = build_circuit("a tall invented circuit", *runs)
    page = sheet_of(tall)
    assert page.drawing.height > 1500
    data = typeset(page)
    assert _margins_are_blank(data)
    inked = [picture for picture in pictures(data) if picture.min(axis=2).min() < 200]
    assert len(inked) == len(pages(data))


def test_the_pages_of_a_large_boat_hold_a_table_of_circuits_and_each_of_them(whole_boat):
    said = text_of(whole_boat)
    for words in ("from panel 1", "Sheet 2: circuit", "Sheet 13: circuit", "all on: sound"):
        assert words in said
    assert "the other 11 off" in said
