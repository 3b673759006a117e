"""What this kitchen's own batches say of a number, shrunk towards what is usual while they are few.

The number has a normal prior; each batch gives an observation with its own uncertainty, and batches scatter
around the number besides. The likelihood is Student's t with few degrees of freedom, so that one reading gone
wrong is set aside instead of pulling the mean. The mode is found by reweighting (expectation-maximisation).

Sources: A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), 2.5 (normal data with a normal prior) and
17.2 (Student's t for robust inference); K. L. Lange, R. J. A. Little, J. M. G. Taylor, J. Am. Stat. Assoc. 84
(1989) 881, for the weights.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from calc.errors import OutOfRange

FREEDOM = 4.0
"""Degrees of freedom of the likelihood: common for robust work."""
OUTLIER_WEIGHT = 0.4
"""Below this weight an observation is called an outlier: about three uncertainties away."""
_STEPS = 200


@dataclass(frozen=True, slots=True)
class Prior:
    """What is usual: mean and standard deviation between kitchens, and the scatter from batch to batch in one."""

    mean: float
    spread: float
    scatter: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """A learned number with one standard deviation; how many batches spoke, and which of them were set aside."""

    value: float
    spread: float
    count: int
    outliers: tuple[int, ...]


def estimate(observations: Sequence[tuple[float, float]], prior: Prior) -> Estimate:
    """Learn a number from observations.

    Args:
        observations: value and standard uncertainty (0 or more) of each batch, in the unit of the prior.
        prior: what is usual; its spread above 0, its scatter 0 or more, not both uncertainty and scatter 0.

    Returns:
        :class:`Estimate`; without observations the prior itself.

    Raises:
        OutOfRange: an argument outside its range or not finite.

    Errors: ``spread`` is that of a normal posterior at the mode; with one or two batches it is a little narrow.

    >>> usual = Prior(1.5, 0.6, 0.08)
    >>> learned = estimate([(2.1, 0.05), (2.0, 0.05), (2.05, 0.05)], usual)
    >>> round(learned.value, 2), learned.count, learned.outliers
    (2.05, 3, ())
    >>> estimate([(2.1, 0.05), (9.0, 0.05), (2.0, 0.05), (2.05, 0.05)], usual).outliers
    (1,)
    """
    if not (math.isfinite(prior.mean) and 0 < prior.spread < math.inf and 0 <= prior.scatter < math.inf):
        raise OutOfRange("prior", prior.spread, "", 0, None)
    variances = []
    for value, uncertainty in observations:
        variance = uncertainty**2 + prior.scatter**2
        if not math.isfinite(value) or uncertainty < 0 or not 0 < variance < math.inf:
            raise OutOfRange("observations", value, "", reason="must be finite with an uncertainty above 0")
        variances.append(variance)
    if not observations:
        return Estimate(prior.mean, prior.spread, 0, ())
    precision = 1 / prior.spread**2
    # The middle of what was seen is where a mode of the heavy-tailed likelihood is looked for.
    mean = median(value for value, _ in observations)
    if len(observations) == 1:
        mean = (observations[0][0] + prior.mean) / 2
    weights = [1.0] * len(observations)
    for _ in range(_STEPS):
        weights = [
            (FREEDOM + 1) / (FREEDOM + (value - mean) ** 2 / variance)
            for (value, _), variance in zip(observations, variances, strict=True)
        ]
        shares = [weight / variance for weight, variance in zip(weights, variances, strict=True)]
        new = (precision * prior.mean + sum(s * v for s, (v, _) in zip(shares, observations, strict=True))) / (
            precision + sum(shares)
        )
        if abs(new - mean) <= 1e-12 * max(1.0, abs(mean)):
            mean = new
            break
        mean = new
    known = precision + sum(min(1.0, weight) / variance for weight, variance in zip(weights, variances, strict=True))
    outliers = tuple(i for i, weight in enumerate(weights) if weight < OUTLIER_WEIGHT)
    return Estimate(mean, known**-0.5, len(observations), outliers)
