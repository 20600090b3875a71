"""Information in bits, against published numbers and against the integral itself."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labkit.diagnosis.information import density, entropy, gain, hard_gain, soft_gain, xlogx

# -- the polybox: multipliers M1-M3 feed adders A1, A2; a=3 b=2 c=2 d=3 e=3; f=10 and g=12 seen ----

BOX = ("M1", "M2", "M3", "A1", "A2")


def _polybox():
    """Consistent sets of broken units, with their priors and what they predict at x, y and z.

    A sound unit computes; a broken one may put out anything. Prior 0.01 of each being broken.
    """
    found = []
    for broken in product((False, True), repeat=5):
        bad = dict(zip(BOX, broken, strict=True))
        x = None if bad["M1"] else 6
        y = None if bad["M2"] else 6
        z = None if bad["M3"] else 6
        consistent = True
        for _ in range(2):
            for adder, total, near in (("A1", 10, "x"), ("A2", 12, "z")):
                if bad[adder]:
                    continue
                left = x if near == "x" else z
                if left is not None and y is not None:
                    consistent &= left + y == total
                elif left is None and y is not None:
                    x, z = (total - y, z) if near == "x" else (x, total - y)
                elif left is not None:
                    y = total - left
        if consistent:
            weight = np.prod([0.01 if b else 0.99 for b in broken])
            found.append((frozenset(u for u in BOX if bad[u]), weight, {"x": x, "y": y, "z": z}))
    return found


def _probe(found, point):
    """Chance of each value at a point; an unpredicted value is any of those predicted."""
    values = sorted({p[point] for _, _, p in found if p[point] is not None})
    rows = [
        [1 / len(values)] * len(values) if p[point] is None else [p[point] == v for v in values]
        for _, _, p in found
    ]
    return values, np.array(rows, float)


def test_the_polybox_has_the_minimal_diagnoses_of_the_lecture_notes():
    # Kernel {A2, M2} read in Williams, MIT 16.412 notes 2004; the set computed.
    found = [broken for broken, _, _ in _polybox()]
    minimal = {b for b in found if not any(other < b for other in found)}
    assert minimal == {
        frozenset(s) for s in (("A1",), ("M1",), ("A2", "M2"), ("M2", "M3"))
    }  # fmt: skip  # rows that a reader compares
    assert len(found) == 27  # computed


def test_the_posteriors_of_the_polybox_are_those_computed_elsewhere():
    found = _polybox()
    total = sum(w for _, w, _ in found)
    posterior = {b: w / total for b, w, _ in found}
    assert posterior[frozenset(["M1"])] == pytest.approx(0.478026, abs=2e-6)
    assert posterior[frozenset(["M2", "M3"])] == pytest.approx(0.004829, abs=2e-6)
    at_4 = sum(w for _, w, p in found if p["x"] == 4) / total
    assert at_4 == pytest.approx(0.492561, abs=2e-6)


def test_the_best_probe_of_the_polybox_is_x():
    # Read: University of Edinburgh, Knowledge Engineering slides, p. 121.
    found = _polybox()
    weights = np.array([w for _, w, _ in found])
    bits = {point: gain(weights, np.arange(len(found)), _probe(found, point)[1]) for point in "xyz"}
    assert max(bits, key=bits.get) == "x"
    assert bits["x"] > 5 * max(bits["y"], bits["z"])


# -- four inverters in a row: input 1, output 0 that should be 1; probes b, c, d between them ----


def _single(priors):
    """One inverter is bad and always flips: a probe behind it reads wrong."""
    weights = np.array(priors) / sum(priors)
    bits = {}
    for place, point in enumerate("bcd", 1):
        wrong = np.array([float(unit < place) for unit in range(4)])
        bits[point] = gain(weights, np.arange(4), np.stack([wrong, 1 - wrong], 1))
    return weights, bits


def test_equal_inverters_are_probed_in_the_middle():  # all computed
    weights, bits = _single((0.01, 0.01, 0.01, 0.01))
    assert entropy(weights) == pytest.approx(2.0)
    assert bits == pytest.approx({"b": 0.811278, "c": 1.0, "d": 0.811278}, abs=1e-6)


def test_a_likelier_last_inverter_moves_the_best_probe_towards_it():  # all computed
    odds = [p / (1 - p) for p in (0.01, 0.01, 0.01, 0.025)]
    weights, _ = _single(odds)
    assert weights[3] / weights[0] == pytest.approx(2.5, rel=0.02)
    weights, bits = _single((0.181818, 0.181818, 0.181818, 0.454545))
    assert entropy(weights) == pytest.approx(1.858555, abs=1e-5)
    assert bits == pytest.approx({"b": 0.684038, "c": 0.945660, "d": 0.994030}, abs=1e-5)


def _several(priors):
    """Any inverters may be bad, a bad one puts out 0 or 1 with 1/2 each; the output was seen as 0.

    Rows are sets of bad units with the bits they put out.
    """
    rows = []
    for bad in product((0, 1), repeat=4):
        for noise in product((0, 1), repeat=sum(bad)):
            level, drawn, levels = 1, list(noise), []
            for unit in range(4):
                level = drawn.pop() if bad[unit] else 1 - level
                levels.append(level)
            if levels[-1] == 0:
                prior = np.prod([p if b else 1 - p for p, b in zip(priors, bad, strict=True)])
                rows.append((bad, prior * 0.5 ** sum(bad), levels))
    names = {bad: n for n, bad in enumerate(dict.fromkeys(r[0] for r in rows))}
    weights = np.array([r[1] for r in rows])
    number = np.array([names[r[0]] for r in rows])
    bits = {}
    for place, point in enumerate("bcd"):
        one = np.array([float(r[2][place]) for r in rows])
        bits[point] = gain(weights, number, np.stack([one, 1 - one], 1))
    total = np.bincount(number, weights) / weights.sum()
    return {bad: total[n] for bad, n in names.items()}, bits


def test_half_the_prior_of_the_published_chain_is_all_good():
    # Read: TU Delft report, chapter Model-Based Fault Diagnosis, sec. 4.5.
    assert pytest.approx(0.960596, abs=1e-6) == 0.99**4
    assert pytest.approx(0.00970299, abs=1e-8) == 0.01 * 0.99**3


@pytest.mark.parametrize(
    ("priors", "single", "bits"),
    [
        ((0.01,) * 4, 0.246244, {"b": 0.803761, "c": 0.989950, "d": 0.803761}),
        ((0.01, 0.01, 0.01, 0.025), 0.177099, {"b": 0.674495, "c": 0.931837, "d": 0.980757}),
    ],
)
def test_inverters_of_which_several_may_be_bad(priors, single, bits):  # all computed
    posterior, found = _several(priors)
    assert posterior[1, 0, 0, 0] == pytest.approx(single, abs=1e-6)
    assert found == pytest.approx(bits, abs=1e-5)


# -- what must always hold ------------------------------------------------------------------------


def _beliefs(draw, rows=12):
    weights = np.array(draw(st.lists(st.floats(0.001, 1), min_size=rows, max_size=rows)))
    names = np.sort(draw(st.lists(st.integers(0, 4), min_size=rows, max_size=rows))).astype(np.intp)
    low = np.array(draw(st.lists(st.floats(-50, 50), min_size=rows, max_size=rows)))
    width = np.array(draw(st.lists(st.sampled_from([0.0, 0.1, 3.0, 40.0]), min_size=rows,
                                   max_size=rows)))  # fmt: skip  # rows that a reader compares
    return weights, names, low, low + width


beliefs = st.composite(_beliefs)()


def _integral(weights, names, low, high):
    """The information as an integral summed on a grid of 1/40 sigma."""
    share = weights / weights.sum()
    step = 0.025
    grid = np.arange(low.min() - 9, high.max() + 9, step)
    joint = np.zeros((names.max() + 1, len(grid)))
    for w, n, a, b in zip(share, names, low, high, strict=True):
        joint[n] += w * density(grid, np.full(len(grid), a), np.full(len(grid), b))
    bits = xlogx(joint).sum() - xlogx(joint.sum(0)).sum()
    return step * bits - xlogx(np.bincount(names, share)).sum()


@settings(max_examples=25, deadline=None, derandomize=True)
@given(beliefs)
def test_information_on_the_grid_is_the_integral_to_a_thousandth_of_a_bit(case):
    weights, names, low, high = case
    found = soft_gain(weights, names, low[None], high[None])[0]
    assert found == pytest.approx(_integral(weights, names, low, high), abs=1e-3)


@given(beliefs)
def test_a_measurement_never_tells_less_than_nothing_or_more_than_there_is_to_know(case):
    weights, names, low, high = case
    known = entropy(np.bincount(names, weights))
    soft = soft_gain(weights, names, low[None], high[None])[0]
    hard = hard_gain(weights, names, np.floor(low / 3).astype(np.int16)[None])[0]
    assert -1e-9 <= soft <= known + 1e-3
    assert -1e-5 <= hard <= known + 1e-5


@given(beliefs)
def test_readings_far_apart_tell_as_much_as_certain_outcomes(case):
    weights, names, low, _ = case
    far = np.round(low) * 40.0
    soft = soft_gain(weights, names, far[None], far[None])[0]
    hard = hard_gain(weights, names, (far / 40).astype(np.int16)[None])[0]
    assert soft == pytest.approx(hard, abs=1e-3)


@given(st.floats(0.01, 0.99))
def test_a_yes_or_no_probe_without_noise_tells_the_entropy_of_yes(p):
    bits = gain(np.array([p, 1 - p]), np.arange(2), np.eye(2))
    assert bits == pytest.approx(-p * np.log2(p) - (1 - p) * np.log2(1 - p), abs=1e-9)
