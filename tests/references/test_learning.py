"""The learned number against the mode of the same posterior by scipy."""

import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import norm, t

from calc.learning import FREEDOM, Prior, estimate
from tests.references.conftest import Agree

CASES = {
    "three alike": ([(2.1, 0.05), (2.0, 0.08), (2.05, 0.05)], Prior(1.5, 0.6, 0.05)),
    "one batch": ([(0.62, 0.03)], Prior(0.5, 0.25, 0.02)),
    "one of five gone wrong": ([(0.71, 0.01), (0.69, 0.01), (0.70, 0.02), (0.35, 0.01), (0.70, 0.01)], Prior(0.72, 0.08, 0.014)),
    "two that disagree a little": ([(1.6, 0.1), (1.9, 0.1)], Prior(1.5, 0.8, 0.05)),
}


@pytest.mark.parametrize("name", CASES)
def test_mode_of_the_posterior(agree: Agree, name: str) -> None:
    # Source: log posterior written out with scipy.stats (Gelman et al., Bayesian Data Analysis, 17.2), minimised
    # by scipy.optimize over a fine grid of starts.
    seen, prior = CASES[name]

    def loss(mean: float) -> float:
        scales = [(u**2 + prior.scatter**2) ** 0.5 for _, u in seen]
        fits = sum(t.logpdf(v, FREEDOM, mean, s) for (v, _), s in zip(seen, scales, strict=True))
        return -(fits + norm.logpdf(mean, prior.mean, prior.spread))

    low, high = min(v for v, _ in seen) - 0.5, max(v for v, _ in seen) + 0.5
    starts = [low + (high - low) * k / 40 for k in range(40)]
    found = [minimize_scalar(loss, bounds=(a, a + (high - low) / 40), method="bounded", options={"xatol": 1e-9}) for a in starts]
    best = min(found, key=lambda each: each.fun).x
    agree(f"learned number, {name}", estimate(seen, prior).value, float(best), 1e-5, "posterior by scipy.stats and scipy.optimize")


def test_normal_limit(agree: Agree) -> None:
    # Source: Gelman et al., Bayesian Data Analysis, equation 2.12: precision-weighted mean. With observations that
    # agree the heavy tail changes only how much they count, so the prior is far narrower here than the data.
    prior, seen = Prior(1.0, 0.001, 0.0), [(1.001, 1.0), (0.999, 1.0)]
    agree("learned number, data say little", estimate(seen, prior).value, 1.0, 1e-6, "Gelman et al., BDA3, 2.12")
