"""What each part is, how it conducts by its figures, and what each of its failures does to it."""

from __future__ import annotations

import dataclasses
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import labkit
from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.measuring.senses import sensed
from labkit.parts import (
    KINDS,
    Battery,
    Breaker,
    Cable,
    Changeover,
    Connector,
    Diode,
    Electronics,
    Fault,
    Float,
    Fuse,
    Heater,
    Indicator,
    Joint,
    Lampholder,
    MotorLoad,
    Now,
    Part,
    PartState,
    Relay,
    Resistor,
    Supply,
    Switch,
)
from labkit.parts.cells import Cell, rest_voltage
from labkit.parts.conductors import cable_resistance, wire_area
from labkit.parts.filament import voltage_share
from labkit.parts.laws import Floats, Junction, Linear, Power
from labkit.parts.protection import (
    COLD_RESISTANCE,
    OPENING_TIMES,
    cold_resistance,
    opening_time,
)
from labkit.parts.rotor import Motor
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.quantities import RESISTANCE
from tests.kinds import example_of


def example(kind: str) -> Part:
    return example_of(KINDS[kind])


def state(*faults: str, system: float = 12.0, position: str = "", part: Part | None = None) -> Any:
    """State of a part on its own with these faults, such as 'resistance 0.8 ohm'."""
    if part is None or not faults:
        return PartState(system, position)
    found = in_circuit(part).with_fault(*(f"{part.id} {fault}" for fault in faults)).faults
    return PartState(system, position or part.start_position(), found)


def in_circuit(part: Part) -> Circuit:
    """The part across a battery, each of its ways behind 1 ohm."""
    item: list[Part | Via] = [part]
    if len(part.ways()) > 1:
        item = [Via(part, "-".join(part.ways()[0]))]
    return build_circuit(
        "one part",
        run("DC-", "plus", Battery("G9", emf="12.6 V", resistance="10 mohm")),
        run("plus", "DC-", Resistor("R9", resistance="1 ohm"), *item),
    )


def ohms(part: Part, *faults: str, position: str = "") -> float:
    """Resistance of a part that is plain resistance, infinite where it has no path."""
    branches = part.model(state(*faults, part=part, position=position)).branches
    laws = [branch.law for branch in branches if not branch.role.startswith("leak")]
    assert all(isinstance(law, Linear) for law in laws)
    total = sum(law.conductance for law in laws if isinstance(law, Linear))
    return 1 / total if total else math.inf


# -- all kinds ------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_a_part_of_few_keys_is_sound_and_solved(kind: str) -> None:
    part = example(kind)
    assert part.problems(12.0) == []
    assert part.model(state()).branches or not part.made("")
    assert solve(in_circuit(part)).volts["plus"] is not None


@pytest.mark.parametrize("kind", KINDS)
def test_every_failure_of_a_part_changes_it(kind: str) -> None:
    part = example(kind)
    assert part.modes
    for mode, spec in part.modes.items():
        amount = spec.amounts[0] if spec.amounts else "30 A" if spec.amount else ""
        point = in_circuit(part).with_fault(f"{part.id} {mode} {amount}".strip())
        point = point.with_disturbed(part.id)
        failed, sound = (part.model(c.state_of(part.id)) for c in (point, point.without_faults()))
        if mode == "welded" and not isinstance(part, Relay):
            off = PartState(12.0, part.choices[1], point.faults)
            assert part.model(off).branches
        else:
            assert failed != sound, f"{kind} {mode}"
        assert solve(point).states is not None


@pytest.mark.parametrize("kind", KINDS)
def test_any_part_can_be_open_resistive_shorted_or_leaky(kind: str) -> None:
    part = example(kind)
    for fault in ("open", "resistance 2 ohm", "short 0.05 ohm", "leak 30 ohm"):
        point = in_circuit(part).with_fault(f"{part.id} {fault}")
        assert part.model(point.state_of(part.id)) != part.model(state()), f"{kind} {fault}"
        assert solve(point).volts["plus"] is not None


@pytest.mark.parametrize("kind", KINDS)
def test_a_model_takes_a_row_of_ohms_as_it_takes_one(kind: str) -> None:
    part, ohms = example(kind), np.array([0.0, 0.03, 2.0, 1e6])
    for mode in [m for m, facts in part.modes.items() if facts.amount is RESISTANCE]:
        states = [
            PartState(12.0, part.start_position(), [Fault(part.id, mode, value=value)])
            for value in (ohms, *ohms.tolist())
        ]
        row, *singles = (part.model(each).branches for each in states)
        for n, single in enumerate(singles):
            here = [dataclasses.replace(b, law=b.law.take([n])) for b in row]
            assert [(b.role, b.first, b.second) for b in here] == [
                (b.role, b.first, b.second) for b in single
            ]
            for mine, other in zip(here, single, strict=True):
                for field in dataclasses.fields(other.law):
                    values = (getattr(b.law, field.name) for b in (mine, other))
                    np.testing.assert_array_equal(*np.broadcast_arrays(*values))


@pytest.mark.parametrize("kind", KINDS)
def test_ids_start_with_the_letter_of_their_class(kind: str) -> None:
    letters = KINDS[kind].letters
    wrong = next(letter for letter in "GFSKMEPWXRVA" if letter not in letters)
    with pytest.raises(ValueError, match="the id of a"):
        KINDS[kind](f"{wrong}1", **KINDS[kind].example)


# -- the path ------------------------------------------------------------------------------------


def test_a_wire_is_its_copper() -> None:
    wire = Cable("W1", size="12 AWG", length="18 ft")
    # 12 AWG is 3.3088 mm2: 1.7241e-8 ohm m * 5.4864 m / 3.3088e-6 m2
    assert ohms(wire) == pytest.approx(28.588e-3, rel=1e-4)
    warm = Cable("W1", size="12 AWG", length="18 ft", temperature="60 C")
    assert ohms(warm) == pytest.approx(28.588e-3 * (1 + 0.00393 * 40), rel=1e-4)


def test_a_wire_too_thin_has_the_resistance_of_the_thin_one() -> None:
    wire = Cable("W1", size="12 AWG", length="3 m")
    thin = cable_resistance(wire_area("18 AWG"), 3.0)
    assert ohms(wire, "too thin 18 AWG") == pytest.approx(thin, rel=1e-12)


def test_resistance_adds_to_what_is_there() -> None:
    assert ohms(Joint("X1"), "resistance 0.8 ohm") == pytest.approx(0.8005)
    both = ohms(Joint("X1"), "resistance 0.8 ohm", "resistance 0.2 ohm")
    assert both == pytest.approx(1.0005)
    assert ohms(Joint("X1", resistance="2 mohm")) == pytest.approx(2e-3)


def test_a_short_lies_across_the_part() -> None:
    found = ohms(Resistor("R1", resistance="6 ohm"), "short 3 ohm")
    assert found == pytest.approx(2.0)


@pytest.mark.parametrize("part", [Switch("S1"), Float("S1"), Connector("X1")])
def test_a_contact_conducts_where_it_is_made(part: Part) -> None:
    made, parted = part.choices
    assert ohms(part, position=made) == pytest.approx(part.default_resistance)
    assert ohms(part, position=parted) == math.inf


def test_a_changeover_joins_what_its_position_says() -> None:
    positions = {"house": "1-2", "both": "1-2, 1-3", "off": "none", "start": "1-3"}
    selector = Changeover("S1", positions=positions)

    def ways(word: str) -> set[str]:
        return {b.role for b in selector.model(PartState(12.0, word)).branches}

    assert ways("house") == {"1-2"}
    assert ways("both") == {"1-2", "1-3"}
    assert ways("off") == set()
    assert ways("start") == {"1-3"}
    assert selector.start_position() == "off"


def test_a_shorted_changeover_carries_the_current_of_its_last_way() -> None:
    point = build_circuit(
        "selector",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="1 mohm")),
        run("plus", "DC-", Via(Changeover("S1"), "1-3"), Resistor("R1", resistance="6 ohm")),
    ).with_fault("S1 short 0.05 ohm")
    solved = solve(point)
    assert solved.amps["S1 1-3"] == pytest.approx(solved.amps["R1"])
    assert solved.amps["S1"] == pytest.approx(12 / 6.051, rel=1e-6)


def test_what_is_intermittent_shows_only_while_wiggled() -> None:
    point = in_circuit(Joint("X1")).with_fault("X1 intermittent 2 ohm")
    still, shaken = solve(point), solve(point.with_disturbed("X1"))
    assert still.volt("X1:1", "X1:2") == pytest.approx(12.6 / 1.0105 * 0.5e-3, rel=1e-6)
    assert shaken.volt("X1:1", "X1:2") == pytest.approx(12.6 / 3.0105 * 2.0005, rel=1e-6)


def test_a_leak_runs_from_its_terminal_to_negative() -> None:
    point = build_circuit(
        "leak",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="1 mohm")),
        run("plus", "DC-", Cable("W1", resistance="1 ohm"), Resistor("R1", resistance="1 Gohm")),
    )
    at_start = solve(point.with_fault("W1:1 leak 5 ohm"))
    at_end = solve(point.with_fault("W1:2 leak 5 ohm"))
    assert at_start.amps["W1"] == pytest.approx(0.0, abs=1e-7)
    assert at_start.amps["G1"] == pytest.approx(12 / 5.001)
    assert at_end.amps["W1"] == pytest.approx(12 / 6.001)


# -- protection ----------------------------------------------------------------------------------


def test_cold_resistance_goes_through_its_table() -> None:
    assert cold_resistance("blade", 10) == pytest.approx(7.5e-3)
    assert cold_resistance("glass", 2) == pytest.approx(68.25e-3)
    between = cold_resistance("blade", 12)
    assert 4.8e-3 < between < 7.5e-3
    ratings = [1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 60, 100]
    for kind in COLD_RESISTANCE:
        values = [cold_resistance(kind, rating) for rating in ratings]
        assert values == sorted(values, reverse=True)


def test_opening_times_shrink_with_current() -> None:
    assert opening_time("blade", 1.0) == (math.inf, math.inf)
    assert opening_time("blade", 1.35) == pytest.approx((0.75, 600.0))
    assert opening_time("blade", 2.0) == pytest.approx((0.15, 5.0))
    for kind in OPENING_TIMES:
        limits = [opening_time(kind, 1.35 + 0.1 * n) for n in range(80)]
        assert all(low <= high for low, high in limits)
        assert [high for _, high in limits] == sorted((h for _, h in limits), reverse=True)


def test_a_fuse_has_a_path_until_it_is_blown_or_missing() -> None:
    assert ohms(Fuse("F1", rating="10 A")) == pytest.approx(7.5e-3)
    for fault in ("blown", "missing", "open"):
        assert ohms(Fuse("F1", rating="10 A"), fault) == math.inf
    assert ohms(Breaker("F1", rating="10 A"), "blown") == math.inf


# -- sources -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("charge", "system", "volts"),
    [(0.0, 12, 11.6), (0.5, 12, 12.2), (0.9, 12, 12.52), (1.0, 24, 25.2), (1.0, 12, 12.6)],
)
def test_rest_voltage_follows_the_charge(charge: float, system: float, volts: float) -> None:
    assert rest_voltage(charge, system) == pytest.approx(volts)


def open_circuit(part: Battery, *faults: str, system: float = 12.0) -> tuple[float, float]:
    """EMF and internal resistance."""
    (branch,) = part.model(state(*faults, part=part, system=system)).branches
    law = branch.law
    assert isinstance(law, Linear)
    return law.source / law.conductance, 1 / law.conductance


def test_a_battery_is_its_emf_behind_its_resistance() -> None:
    battery = Battery("G1", emf="12.7 V", resistance="8 mohm")
    assert open_circuit(battery) == pytest.approx((12.7, 8e-3))
    assert open_circuit(battery, "weak 60 mohm") == pytest.approx((12.7, 68e-3))
    assert open_circuit(battery, "low 50 %") == pytest.approx((12.2, 8e-3))
    assert open_circuit(battery, "dead cell") == pytest.approx((12.7 * 5 / 6, 8e-3))


@pytest.mark.parametrize(
    ("keys", "ohms"),
    [
        # 0.30 ohm Ah over 70 Ah; at -18 C exp(0.00722 * 45 + 0.000292 * 45^2) = 2.500 times
        ({"charge": "100 %", "capacity": "70 Ah", "temperature": "27 C"}, 4.286e-3),
        ({"charge": "100 %", "capacity": "70 Ah", "temperature": "-18 C"}, 10.714e-3),
        # 1.69 V over 525 A
        ({"charge": "100 %", "capacity": "70 Ah", "cca": "525 A", "temperature": "27 C"}, 3.219e-3),
        # 1 + 0.725 (0.8 / 0.333)^2.1 = 5.568 times at 20 %
        ({"charge": "20 %", "capacity": "70 Ah", "temperature": "27 C"}, 23.86e-3),
        (
            {"charge": "100 %", "capacity": "70 Ah", "chemistry": "agm", "temperature": "27 C"},
            2.143e-3,
        ),
        (
            {
                "charge": "100 %",
                "capacity": "300 Ah",
                "chemistry": "lifepo4",
                "temperature": "27 C",
            },
            5.5e-3,
        ),
    ],
)
def test_a_batterys_resistance_follows_its_charge_and_temperature(
    keys: dict[str, str], ohms: float
) -> None:
    (branch,) = Battery("G1", **keys).model(state()).branches
    assert isinstance(branch.law, Cell)
    assert branch.law.series == pytest.approx(ohms, rel=2e-3)


def test_a_charged_battery_is_settled_frozen_or_on_its_way() -> None:
    battery = Battery("G1", charge="50 %", capacity="200 Ah")
    settled, at_once, later = (
        battery.model(dataclasses.replace(state(), dt=dt, memory=memory)).branches[0].law
        for dt, memory in ((math.inf, {}), (0.0, {"surface": 0.4}), (60.0, {"surface": 0.4}))
    )
    assert isinstance(at_once, Linear)
    assert at_once.source / at_once.conductance == pytest.approx(12.6)
    assert isinstance(settled, Cell)
    assert isinstance(later, Cell)
    # 6 F an ampere-hour over a minute; settled there is none of it.
    assert later.held == pytest.approx(6 * 200 / 60)
    assert settled.held == 0.0
    current, _ = later.at(-12.6, False, Floats)
    assert later.after(-12.6, Floats)["surface"] == pytest.approx(0.4)
    assert current == pytest.approx(settled.at(-12.6, False, Floats)[0])


def test_a_battery_given_by_its_emf_is_the_plain_source_it_was() -> None:
    plain = Battery("G1", emf="12.7 V", resistance="5 mohm", chemistry="agm", temperature="-10 C")
    assert plain.model(state()).branches[0].law == Linear.emf(12.7, 5e-3)


def test_a_battery_the_wrong_way_round_drives_backwards() -> None:
    point = build_circuit(
        "reversed",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="0.1 ohm")),
        run("plus", "DC-", Resistor("R1", resistance="5.9 ohm")),
    )
    assert solve(point).amps["G1"] == pytest.approx(2.0)
    assert solve(point.with_fault("G1 reversed")).amps["G1"] == pytest.approx(-2.0)


def test_a_supply_that_can_give_nothing_is_refused() -> None:
    assert Supply("G1", voltage="14 V", limit="0 A").problems(12.0)


# -- loads ---------------------------------------------------------------------------------------


def test_loads_are_rated_by_current_or_power() -> None:
    one, other = Lampholder("E1", power="24 W"), Lampholder("E1", current="2 A")
    assert one.amps(12.0) == other.amps(12.0) == pytest.approx(2.0)
    assert Lampholder("E1", voltage="24 V", power="24 W").amps(12.0) == pytest.approx(1.0)
    assert ohms(Heater("E1", power="24 W")) == pytest.approx(6.0)


def test_a_lamp_in_a_corroded_holder_shares_the_voltage() -> None:
    point = in_circuit(Lampholder("E1", current="2 A")).with_fault("E1 resistance 3 ohm")
    solved = solve(point)
    i = solved.amps["E1"]
    assert i is not None
    hot = 12 * voltage_share(i / 2)
    assert solved.volt("E1:1", "E1:2") == pytest.approx(hot + 3 * i, rel=1e-9)


def motor(*faults: str) -> Motor:
    part = MotorLoad("M1", voltage="12 V", current="7 A", resistance="0.35 ohm")
    law = part.law(state(*faults, part=part))
    assert isinstance(law, Motor)
    return law


def test_failures_of_a_motor_change_the_figures_of_its_law() -> None:
    sound = motor()
    assert (sound.emf, sound.resistance) == pytest.approx((9.55, 0.35))
    assert (sound.steady, sound.fan, sound.brake) == pytest.approx((1.4, 5.6, 0.0))
    assert motor("worn brushes 0.5 ohm").resistance == pytest.approx(0.85)
    assert motor("dry").fan == pytest.approx(0.3 * 5.6)
    assert motor("seized").steady == math.inf
    assert motor("dragging 150 %").steady == pytest.approx(7 * (0.2 + 1.5))
    half = motor("shorted winding 50 %")
    # Half the turns shorted: three quarters of EMF, torque and resistance, and a braking loop.
    assert (half.emf, half.resistance) == pytest.approx((9.55 * 0.75, 0.35 * 0.75))
    assert (half.steady, half.fan) == pytest.approx((1.4 / 0.75, 5.6 / 0.75))
    assert half.brake == pytest.approx(0.5 * 9.55 / 0.35 / 0.75)


@pytest.mark.parametrize(
    ("load", "share"), [("fan", 0.2), ("lift", 0.9), ("haul", 0.9), ("crank", 0.85)]
)
def test_what_a_motor_drives_says_how_much_of_its_torque_hangs_on_its_speed(
    load: Any, share: float
) -> None:
    part = MotorLoad("M1", voltage="12 V", current="10 A", load=load)
    law = part.law(state(part=part))
    assert isinstance(law, Motor)
    assert (law.steady, law.fan) == pytest.approx((10 * share, 10 * (1 - share)))
    written = MotorLoad("M1", voltage="12 V", current="10 A", load=load, friction="50 %")
    assert written.steady_share == 0.5


def test_a_part_shorted_motor_is_slow_and_hungry_a_worn_one_slow_and_sparing() -> None:
    point = in_circuit(MotorLoad("M1", voltage="12 V", current="7 A", resistance="0.35 ohm"))
    sound, shorted, dragging, worn = (
        solve(point.with_fault(*faults)) for faults in
        ((), ("M1 shorted winding 30 %",), ("M1 dragging 150 %",), ("M1 worn brushes 1 ohm",))
    )  # fmt: skip  # rows that a reader compares
    for slow in (shorted, dragging, worn):
        assert slow.speeds["M1"] < sound.speeds["M1"]
    assert shorted.amps["M1"] > sound.amps["M1"] < dragging.amps["M1"]
    assert worn.amps["M1"] < sound.amps["M1"]


def test_motors_seize_run_dry_and_run_backwards() -> None:
    point = in_circuit(MotorLoad("M1", voltage="12 V", current="2 A", resistance="1 ohm"))
    sound, dry, seized, turned, worn = (
        solve(point.with_fault(*faults)) for faults in
        ((), ("M1 dry",), ("M1 seized",), ("M1 reversed",), ("M1 worn brushes 1 ohm",))
    )  # fmt: skip  # rows that a reader compares

    def of(solved: Any) -> tuple[float, float]:
        return solved.speeds["M1"], solved.amps["M1"]

    assert of(dry)[0] > of(sound)[0] > of(worn)[0] > 0
    assert of(dry)[1] < of(sound)[1]
    assert of(seized) == pytest.approx((0.0, 12.6 / 2.01))
    assert of(turned) == pytest.approx((-of(sound)[0], of(sound)[1]))


def test_a_diode_conducts_one_way() -> None:
    point = in_circuit(Diode("V1"))
    forward = solve(point)
    drop = forward.volt("V1:1", "V1:2")
    amps = forward.amps["V1"]
    assert drop is not None
    assert amps is not None
    assert amps == pytest.approx(1e-12 * math.expm1(drop / 0.02585), rel=1e-6)
    assert amps == pytest.approx((12.6 - drop) / 1.01, rel=1e-9)
    back = solve(point.with_fault("V1 reversed"))
    assert back.amps["V1"] == pytest.approx(1e-12, rel=1e-3)
    assert back.volt("V1:1", "V1:2") == pytest.approx(12.6, abs=1e-9)


@pytest.mark.parametrize("color", ["red", "amber", "yellow", "green", "blue", "white"])
def test_an_indicator_draws_its_rated_current_at_its_rated_voltage(color: Any) -> None:
    point = build_circuit(
        "indicator",
        run("DC-", "plus", Battery("G1", emf="12 V", resistance="0 ohm")),
        run("plus", "DC-", Indicator("P1", color=color, current="15 mA")),
    )
    assert solve(point).amps["P1"] == pytest.approx(15e-3, rel=1e-6)


def test_electronics_take_their_thresholds_from_the_system() -> None:
    radio = Electronics("A1", power="24 W")
    assert radio.thresholds(12.0) == pytest.approx((9.6, 10.8))
    assert radio.thresholds(24.0) == pytest.approx((19.2, 21.6))
    (branch,) = radio.model(state()).branches
    assert isinstance(branch.law, Power)
    assert branch.law.floor == pytest.approx(9.6)


def test_an_indicator_and_a_diode_are_junctions() -> None:
    for part in (Diode("V1"), Indicator("P1")):
        (branch,) = part.model(state()).branches
        assert isinstance(branch.law, Junction)


def test_a_relay_has_a_coil_and_two_contacts() -> None:
    relay = Relay("K1", coil="90 ohm")
    assert {b.role for b in relay.model(state()).branches} == {"coil", "make", "rest"}
    assert relay.thresholds(12.0) == pytest.approx((7.2, 1.8))
    welded = relay.model(PartState(12.0, "", (Fault("K1", "welded"),)))
    assert {b.role for b in welded.branches} == {"coil", "make"}
    assert welded.device is None


@pytest.mark.parametrize("position", ["on", "off"])
def test_a_relay_clicks_as_its_coil_tells_it_and_a_welded_one_never(position: str) -> None:
    boat = build_circuit(
        "invented",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run("stud", "DC-", Switch("S1", position=position), Via(Relay("K1"), "86-85")),
        run("stud", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="6 ohm")),
    )
    heard = {"on": "clicks in", "off": "does not click"}[position]
    assert sensed(boat, solve(boat))["K1"] == heard
    welded = boat.with_fault("K1 welded")
    assert sensed(welded, solve(welded))["K1"] == "does not click"


# -- words -----------------------------------------------------------------------------------------


def test_a_word_that_a_learner_picks_means_one_failure_on_every_part() -> None:
    modes = [mode for kind in KINDS.values() for mode in kind.modes.values()]
    named = {word: {m.name for m in modes if m.word == word} for word in {m.word for m in modes}}
    assert {word: names for word, names in named.items() if len(names) > 1} == {}
    for kind in KINDS.values():
        assert len({mode.word for mode in kind.modes.values()}) == len(kind.modes)
        assert all(name == mode.name and mode.says for name, mode in kind.modes.items())


def test_every_load_of_a_word_says_one_of_its_words_whatever_flows() -> None:
    for kind in KINDS.values():
        part = example_of(kind)
        for amps in (0.0, 0.3, 2.0, 50.0, -3.0, math.nan):
            now = Now(12.0, amps, 12.0, amps / 2, part.states[0])
            assert not part.outcomes() or part.shows(now) in part.outcomes()


def test_no_other_room_asks_a_part_for_its_kind_by_name() -> None:
    asks = re.compile(rf"""kind (==|!=|in|not in) [\["'(]+({"|".join(KINDS)})["']""")
    house = Path(labkit.__file__).parent
    others = [path for path in house.rglob("*.py") if path.parent != house / "parts"]
    assert len(others) > 300
    assert not [path for path in others if asks.search(path.read_text("utf-8"))]


def test_electronics_the_wrong_way_round_block_or_open_their_fuse() -> None:
    def radio(reverse: str, fault: str) -> OperatingPoint:
        circuit = build_circuit(
            "radio",
            run("DC-", "plus", Battery("G1", emf="12.6 V", resistance="10 mohm")),
            run(
                "plus",
                "DC-",
                Fuse("F1", rating="5 A"),
                Electronics("A1", power="24 W", reverse=reverse),
            ),
        )
        return solve(circuit.with_fault(fault))

    for fault in ("A1 reversed", "G1 reversed"):
        blocks, diode = radio("blocks", fault), radio("conducts", fault)
        assert (blocks.states["F1"], diode.states["F1"]) == ("intact", "open")
        assert blocks.amps["A1"] == pytest.approx(0.0, abs=1e-6)
    sound = radio("conducts", "F1 resistance 0.01 ohm")
    assert sound.amps["A1"] == pytest.approx(24 / (sound.volts["A1:1"] or 1), rel=1e-6)


def test_a_battery_in_series_with_another_falls_as_its_own_cells_do() -> None:
    half = Battery("G1", emf="12.7 V", resistance="8 mohm")
    assert open_circuit(half, "low 50 %", system=24.0) == pytest.approx((12.2, 8e-3))
    assert open_circuit(half, "dead cell", system=24.0) == pytest.approx((12.7 * 5 / 6, 8e-3))
    whole = Battery("G1", emf="25.4 V", resistance="8 mohm")
    assert open_circuit(whole, "low 50 %", system=24.0) == pytest.approx((24.4, 8e-3))
