"""Readings weighed together, beside scipy's normal and chi-square distributions."""

import numpy as np
import pytest
from scipy import stats

from labkit.ownboat.fit import chance_of
from labkit.ownboat.weighing import SLIP, Evidence, one_more, weigh


def some(rows=4, readings=5, figures=3, seed=1):
    chance = np.random.default_rng(seed)
    return Evidence(
        chance.normal(0, 1, (rows, readings)),
        chance.normal(0, 1, (rows, readings, figures)),
        chance.uniform(0.1, 0.5, (rows, readings)),
        np.ones((rows, readings), bool),
        np.full(readings, 0.1),
    )


def covariance(seen, row):
    return seen.moves[row] @ seen.moves[row].T + np.diag(seen.variance[row])


def test_the_boat_integrated_out_leaves_a_normal_density_of_all_readings():
    seen = some()
    found = weigh(seen).plain
    for row in range(4):
        right = stats.multivariate_normal(cov=covariance(seen, row)).logpdf(seen.error[row])
        assert found[row] == pytest.approx(right)


def test_a_slip_leaves_the_density_of_the_other_readings():
    seen = some(readings=4)
    found = weigh(seen)
    for row in range(4):
        s, error = covariance(seen, row), seen.error[row]
        whole = stats.multivariate_normal(cov=s).pdf(error)
        total = (1 - SLIP) ** 4 * whole
        for i in range(4):
            rest = [n for n in range(4) if n != i]
            others = stats.multivariate_normal(cov=s[np.ix_(rest, rest)]).pdf(error[rest])
            total += SLIP * 0.1 * others
        assert found.likelihood[row] == pytest.approx(np.log(total))


def test_each_reading_is_off_as_the_others_foretell_it():
    seen = some(readings=4)
    off = weigh(seen).off
    s, error = covariance(seen, 0), seen.error[0]
    mean = s[0, 1:] @ np.linalg.solve(s[1:, 1:], error[1:])
    variance = s[0, 0] - s[0, 1:] @ np.linalg.solve(s[1:, 1:], s[1:, 0])
    assert off[0, 0] == pytest.approx((error[0] - mean) / np.sqrt(variance))


def test_one_more_resistance_is_the_integral_over_its_size():
    seen = some(rows=1)
    extra = np.random.default_rng(2).normal(0, 1, (1, 5, 1))
    found = one_more(weigh(seen), extra)[0, 0]
    density = stats.multivariate_normal(cov=covariance(seen, 0)).pdf
    sizes = np.linspace(0, 8, 20001)
    weights = 2 * stats.norm.pdf(sizes)
    values = density(seen.error[0] - sizes[:, None] * extra[0, :, 0]) * weights
    assert found == pytest.approx(np.log(np.trapezoid(values, sizes)), abs=1e-4)


def test_the_order_of_readings_does_not_matter():
    seen = some()
    turned = Evidence(*(a[:, ::-1] if a.ndim > 1 else a[::-1] for a in vars(seen).values()))
    assert weigh(turned).likelihood == pytest.approx(weigh(seen).likelihood)


@pytest.mark.parametrize("readings", range(1, 13))
@pytest.mark.parametrize("misfit", [0.0, 0.3, 2.0, 9.0, 40.0])
def test_the_chance_of_a_misfit_is_that_of_chi_square(readings, misfit):
    assert chance_of(misfit, readings) == pytest.approx(stats.chi2.sf(misfit, readings), abs=1e-12)
