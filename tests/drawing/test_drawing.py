"""What a drawing shows, what it keeps to itself, and where it can be touched."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree as ET

import pytest

from labkit import load_circuit, solve
from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.drawing import Drawing, draw
from labkit.drawing import drawing as module
from labkit.measuring.senses import sensed
from labkit.parts import (
    Battery,
    Breaker,
    Cable,
    Changeover,
    Connector,
    Float,
    Fuse,
    Joint,
    Lampholder,
    MotorLoad,
    Relay,
    Switch,
)
from labkit.parts.laws import Linear

FOLDER = Path(__file__).parents[2] / "exercises" / "circuits"
SVG = "{http://www.w3.org/2000/svg}"


def boat(label: str = "cabin lamp") -> Circuit:
    """One lamp and one pump, with a splice nobody drew."""
    return build_circuit(
        "A boat <nobody> has & never had",
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run(
            "stud", "DC-", Fuse("F1", rating="5 A"), Switch("S1", position="off"),
            Lampholder("E1", voltage="12 V", power="10 W", label=label), name="lamp",
        ),
        run(
            "stud", "DC-", Fuse("F2", rating="15 A"),
            Joint("X9", hidden=True, label="secret splice"),
            Float("S2"), MotorLoad("M1", voltage="12 V", current="4 A"), name="pump",
        ),
    )  # fmt: skip  # rows that a reader compares


def part(drawing: Drawing, id: str) -> str:
    """The symbol of a part, as text."""
    root = ET.fromstring(drawing.svg)
    (found,) = (e for e in root.iter(f"{SVG}g") if e.get("data-part") == id)
    return "".join(
        ET.tostring(shape, encoding="unicode") for shape in found if shape.tag != f"{SVG}title"
    )


def places(drawing: Drawing) -> list[tuple[int, float, float]]:
    return [(spot.number, spot.x, spot.y) for spot in drawing.test_points]


# -- what it keeps to itself ----------------------------------------------------------------


@pytest.mark.parametrize(
    "fault",
    ["F1 blown", "S1 open", "E1 blown", "X9 resistance 0.8 ohm", "M1 seized", "G1 weak 60 mohm",
     "F2 missing", "F1 wrong fuse 30 A", "S2 welded", "E1:1 leak 30 ohm"],
)  # fmt: skip  # rows that a reader compares
def test_a_hidden_fault_leaves_no_trace_in_the_drawing(fault: str) -> None:
    assert draw(boat().with_fault(fault)).svg == draw(boat()).svg


def test_a_hidden_part_is_not_in_the_drawing_nor_in_its_words() -> None:
    drawing = draw(boat())

    assert "X9" not in drawing.svg
    assert "secret" not in drawing.svg + drawing.description
    assert not [t for t in drawing.terminals if t.startswith("X9")]
    assert not [t for spot in drawing.test_points for t in spot.terminals if t.startswith("X9")]
    assert not [spot.node for spot in drawing.test_points if spot.node.startswith("X9")]


def test_numbers_of_test_points_do_not_betray_a_hidden_part() -> None:
    numbers = [spot.number for spot in draw(boat()).test_points]

    assert numbers == list(range(1, len(numbers) + 1))


def test_a_hidden_part_is_drawn_once_its_run_is_traced() -> None:
    before, after = draw(boat()), draw(boat(), traced={"pump"})

    assert "secret splice" in after.description
    assert "X9:1" in after.terminals
    assert len(after.test_points) == len(before.test_points) + 1


def test_tracing_another_run_shows_nothing_new() -> None:
    assert draw(boat(), traced={"lamp"}).svg == draw(boat()).svg


# -- state ----------------------------------------------------------------------------------


def test_a_fuse_is_drawn_blown_only_where_it_was_seen() -> None:
    blown = boat().with_fault("F1 blown")

    assert part(draw(blown, seen={"F1"}), "F1") != part(draw(blown), "F1")
    assert part(draw(blown, seen={"F2"}), "F1") == part(draw(blown), "F1")
    assert "F1, fuse 5 A, blown" in draw(blown, seen={"F1"}).description


def test_a_pulled_fuse_leaves_an_empty_holder() -> None:
    gone = boat().with_fault("F1 missing")

    assert part(draw(gone, seen={"F1"}), "F1") != part(draw(boat(), seen={"F1"}), "F1")
    assert "F1, fuse 5 A, out of its holder" in draw(gone, seen={"F1"}).description
    both = gone.with_fault("F1 blown")
    assert part(draw(both, seen={"F1"}), "F1") != part(draw(gone, seen={"F1"}), "F1")
    assert "out of its holder, blown" in draw(both, seen={"F1"}).description


def test_a_breaker_switched_off_to_look_at_it_is_drawn_open() -> None:
    made = build_circuit(
        "breaker", run("DC-", "DC-", Battery("G1", emf="12 V"), Breaker("F1", rating="5 A"))
    )
    off = draw(made.with_fault("F1 missing"), seen={"F1"})

    assert part(off, "F1") != part(draw(made), "F1")
    assert "F1, breaker 5 A, switched off" in off.description


@pytest.mark.parametrize("id", ["S1", "S2"])
def test_a_switch_moves_and_nothing_else_does(id: str) -> None:
    off, on = draw(boat()), draw(boat().with_position(**{id: "on"}))

    assert part(off, id) != part(on, id)
    assert places(off) == places(on)
    assert off.hot_spots == on.hot_spots
    others = {placed.step.id for placed in off.placement.parts} - {id}
    assert all(part(off, other) == part(on, other) for other in others)


def test_a_connection_taken_apart_is_a_gap_and_moves_nothing() -> None:
    whole, apart = draw(boat()), draw(boat().with_parted("E1:1"))

    assert "E1:1 is taken apart" in apart.svg
    assert "taken apart" not in whole.svg
    assert places(whole) == places(apart)


def test_a_parted_connector_is_drawn_apart() -> None:
    made = build_circuit(
        "plug",
        run("DC-", "DC-", Battery("G1", emf="12 V"), Connector("X1"), Fuse("F1", rating="1 A")),
    )

    assert part(draw(made), "X1") != part(draw(made.with_position(X1="parted")), "X1")


def test_a_jumper_is_laid_over_the_drawing_from_one_of_its_ends_to_the_other() -> None:
    bridged = boat().with_bridge("jumper", "jumper", "S1:1", "S1:2", Linear.resistor(0.1))
    drawing = draw(bridged)

    (clip,) = drawing.placement.clips
    at = {t: j.label for j in bridged.junctions for t in j.members}
    assert set(clip.ends) == {drawing.placement.points[at[t]] for t in ("S1:1", "S1:2")}
    (spot,) = [spot for spot in drawing.hot_spots if spot.id == "jumper"]
    assert spot.bbox == tuple(round(v, 2) for v in clip.box)
    assert "A jumper joins S1:1 and S1:2." in drawing.description


def alive(circuit: Circuit) -> Drawing:
    """Drawn by somebody who has looked at everything."""
    return draw(circuit, does=sensed(circuit, solve(circuit)))


def test_what_turns_and_glows_shows_only_where_it_was_looked_at() -> None:
    running = boat().with_position(S1="on", S2="on")
    still, seen = draw(running), alive(running)

    assert part(still, "M1") != part(seen, "M1")
    assert part(still, "E1") != part(seen, "E1")
    assert places(still) == places(seen)
    assert "M1, motor 4 A, runs as it should" in seen.description
    assert "is bright" in seen.description


def test_a_dim_lamp_has_fewer_rays_than_a_bright_one() -> None:
    bright = boat().with_position(S1="on")
    dim = bright.with_fault("S1 resistance 15 ohm")

    rays = [part(alive(c), "E1").count("path ") for c in (dim, bright)]
    dark = part(alive(boat()), "E1").count("path ")
    assert dark < rays[0] < rays[1]


def test_a_motor_turning_backwards_shows_it() -> None:
    forward = boat().with_position(S2="on")
    backward = forward.with_fault("M1 reversed")

    ways = [part(alive(c), "M1") for c in (forward, backward)]
    assert ways[0] != ways[1]


def test_a_relay_is_drawn_pulled_in_only_when_it_is() -> None:
    relay = Relay("K1", coil="80 ohm")
    made = build_circuit(
        "relay",
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run("stud", "DC-", Switch("S1", position="on"), Via(relay, "86-85")),
        run("stud", "DC-", Via("K1", "30-87"), Lampholder("E1", power="10 W")),
    )

    def contact(drawing: Drawing) -> str:
        root = ET.fromstring(drawing.svg)
        found = [g for g in root.iter(f"{SVG}g") if g.get("data-part") == "K1"]
        return next(ET.tostring(g, encoding="unicode") for g in found if "30 and 87" in g[0].text)  # type: ignore[operator,arg-type]

    at_rest = made.with_position(S1="off")
    assert contact(alive(made)) != contact(draw(made))
    assert contact(alive(at_rest)).replace(", does not click", "") == contact(draw(at_rest))


def selector(position: str) -> Circuit:
    switch = Changeover(
        "S1", position=position,
        positions={"house": "1-2", "both": "1-2, 1-3", "off": "none", "start": "1-3"},
    )  # fmt: skip  # rows that a reader compares
    return build_circuit(
        "selector",
        run("DC-", "panel", Battery("G1", emf="12.7 V"), Via(switch, "2-1")),
        run("DC-", "panel", Battery("G2", emf="12.6 V"), Via("S1", "3-1")),
        run("panel", "DC-", Lampholder("E1", power="10 W")),
    )


def test_every_position_of_a_changeover_switch_looks_different() -> None:
    drawn = [
        tuple(re.findall(r' d="[^"]*"|<circle[^>]*>', draw(selector(position)).svg))
        for position in ("house", "both", "off", "start")
    ]

    assert len(set(drawn)) == 4


# -- places to touch ------------------------------------------------------------------------


def test_every_operable_part_has_a_hot_spot_of_its_own_on_the_page() -> None:
    drawing = draw(boat())

    assert {(spot.id, spot.kind) for spot in drawing.hot_spots} == {
        ("F1", "fuse"), ("F2", "fuse"), ("S1", "switch"), ("S2", "float"), ("E1", "lamp"),
        ("M1", "motor"),
    }  # fmt: skip  # rows that a reader compares
    for spot in drawing.hot_spots:
        left, top, right, bottom = spot.bbox
        assert 0 <= left < right <= drawing.width
        assert 0 <= top < bottom <= drawing.height
        assert min(right - left, bottom - top) >= 24, "too small to hit"


def test_test_points_carry_the_numbers_and_terminals_of_the_circuit() -> None:
    circuit = load_circuit(FOLDER / "washdown.toml")
    numbers = {point.node: point.number for point in circuit.test_points}

    for spot in draw(circuit, traced={r.name for r in circuit.runs}).test_points:
        assert spot.number == numbers[spot.node]
        assert all(circuit.node_of[t] == spot.node for t in spot.terminals)


def test_a_test_point_lies_where_its_number_is_printed() -> None:
    drawing = draw(boat())
    root = ET.fromstring(drawing.svg)
    printed = {
        int(group[1].text or 0): (float(group[0].attrib["cx"]), float(group[0].attrib["cy"]))
        for group in root.iter(f"{SVG}g")
        if group.get("class") == "point"
    }

    assert printed == {spot.number: (spot.x, spot.y) for spot in drawing.test_points}


# -- style, words, bytes --------------------------------------------------------------------


def test_north_american_symbols_differ_where_the_standards_do() -> None:
    iec, ansi = draw(boat()), draw(boat(), style="north american")

    assert part(iec, "F1") != part(ansi, "F1")
    assert part(iec, "E1") != part(ansi, "E1")
    assert part(iec, "S1") == part(ansi, "S1")
    assert places(iec) == places(ansi)


def test_wire_numbers_are_written_only_on_request() -> None:
    cable = Cable("W1", size="2.5 mm2", length="18 ft", wire={"number": "61", "color": "orange"})
    made = build_circuit(
        "wire", run("DC-", "DC-", Battery("G1", emf="12 V"), cable, Lampholder("E1", power="5 W"))
    )
    plain, marked = draw(made), draw(made, wires=True)

    assert "orange" not in " ".join(label.text for label in plain.placement.sheet.labels)
    words = " ".join(label.text for label in marked.placement.sheet.labels)
    assert "wire 61 orange" in words
    assert "2.5 mm²" in words
    assert "5.49 m" in words


def test_a_drawing_can_be_read_aloud() -> None:
    root = ET.fromstring(draw(boat()).svg)
    ids = {e.attrib["id"]: e.text for e in root.iter() if "id" in e.attrib}

    assert root.attrib["role"] == "img"
    named = [ids[name] for name in root.attrib["aria-labelledby"].split()]
    assert named[0] == "A boat <nobody> has & never had"
    assert named[1] is not None
    assert "Run lamp, from stud to DC-: F1, fuse 5 A; S1, switch, off; E1, lamp 10 W" in named[1]


def test_ids_of_two_drawings_on_one_page_differ() -> None:
    ids = [re.findall(r' id="([^"]*)"', draw(boat(label)).svg) for label in ("one", "two")]

    assert ids[0]
    assert not set(ids[0]) & set(ids[1])


def test_text_of_a_file_cannot_break_out_of_the_drawing() -> None:
    svg = draw(boat(label="</text><script>$x$")).svg

    assert "<script>" not in svg
    ET.fromstring(svg)


def test_a_notebook_shows_the_drawing_and_says_the_same_of_it_each_time() -> None:
    drawing = draw(boat())

    assert repr(drawing) == "<Drawing 'A boat <nobody> has & never had': 7 parts, 6 test points>"
    bundle = drawing._repr_mimebundle_()
    assert bundle["text/plain"] == repr(drawing)
    assert set(bundle) == {"text/plain", "text/html"}
    [image] = ET.fromstring(f"<p>{bundle['text/html'][:-1]}/></p>")
    assert image.get("alt") == f"{drawing.title}. {drawing.description}"
    source = image.get("src", "").removeprefix("data:image/svg+xml,")
    assert unquote(source) == drawing.svg


def test_the_same_circuit_gives_the_same_bytes_in_every_process() -> None:
    code = (
        "import sys, hashlib; from labkit import load_circuit; from labkit.drawing import draw;"
        "print([hashlib.sha256(draw(load_circuit(f), wires=True).svg.encode()).hexdigest()"
        " for f in sys.argv[1:]])"
    )
    files = [str(FOLDER / f"{name}.toml") for name in ("fridge", "nav-lights", "two-batteries")]
    told = {
        subprocess.run(
            [sys.executable, "-c", code, *files], env={"PYTHONHASHSEED": seed, "PATH": ""},
            cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip  # rows that a reader compares

    assert len(told) == 1
    assert " at 0x" not in draw(boat()).svg


def test_a_layout_kept_from_before_gives_the_same_drawing() -> None:
    first = draw(boat()).svg
    module._KEPT.clear()

    assert draw(boat()).svg == first


def test_labkit_itself_does_not_load_the_drawing_library() -> None:
    code = "import sys, labkit, labkit.circuits.circuit; print('schemdraw' in sys.modules)"
    made = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2],
    )  # fmt: skip  # rows that a reader compares

    assert made.stdout.strip() == "False"


def test_a_drawing_is_saved_as_svg_and_as_nothing_else(tmp_path: Path) -> None:
    drawing = draw(boat())

    saved = drawing.save(tmp_path / "boat.svg")
    assert saved.read_text(encoding="utf-8") == drawing.svg + "\n"
    with pytest.raises(ValueError, match=r"name it boat\.svg"):
        drawing.save(tmp_path / "boat.png")


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            {"style": "north-american"},
            "style: found 'north-american'; did you mean 'north american'",
        ),
        ({"seen": {"F7"}}, "seen: found 'F7'; there are 'G1', 'F1', 'S1', 'E1', 'F2', 'S2', 'M1'"),
        ({"traced": {"pmup"}}, "traced: found 'pmup'; did you mean 'pump'"),
        ({"traced": "pump"}, 'traced: found "pump"; write a set, such as traced={"pump"}'),
    ],
)
def test_what_the_circuit_does_not_have_is_said_in_a_sentence(keys: dict, said: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(ValueError, match=re.escape(said)):
        draw(boat(), **keys)
