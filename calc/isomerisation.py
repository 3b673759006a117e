"""Bitterness by kinetics: alpha acids turn into iso-alpha acids, and those decay, as temperature allows.

Two first-order steps, alpha -> iso-alpha -> lost, with the rate constants of Malowicki and Shellhammer
(2005). What is made is not what reaches the glass: trub, foam and yeast take their share. Assumption:
that share is one factor for each gravity, set so that 60 minutes at 100 degC gives what the published
table gives. Away from 60 minutes the two differ: below it the kinetic model is lower (15 minutes: by
about 30 %), because the table, fitted to beers, rises faster at first than the chemistry does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc import bitterness as table
from calc.history import History
from calc.units import Quantity, magnitude, quantity

BOILING = quantity(100.0, "degC")
_HOUR = quantity(60.0, "minute")
_MOST_TIMES = 20.0  # beyond this a repair by more hops is no repair


@dataclass(frozen=True)
class LateAddition:
    """What a hop addition at another time than planned has changed, and what repairs it.

    Attributes:
        bitterness_planned: in IBU, of this addition, had it gone in on time.
        bitterness_now: in IBU, of this addition as it is.
        extra_mass: same hops to add now, in gram, that make up for it; 0 where nothing is missing, None where
            hops added now get so little time that it would take more than 20 times the addition.
        extra_time: longer boil, in minute, that makes up for it instead; 0 where nothing is missing.
    """

    bitterness_planned: Quantity
    bitterness_now: Quantity
    extra_mass: Quantity | None
    extra_time: Quantity


def rate_constants(temperature_c: float) -> tuple[float, float]:
    """Return the rates, per minute, of isomerisation and of the loss of iso-alpha acids.

    Source: M. G. Malowicki and T. H. Shellhammer, J. Agric. Food Chem. 53 (2005) 4434: 90 to 130 degC,
    pH 5.2; extrapolated below.

    >>> print("{:.5f} {:.5f}".format(*rate_constants(100.0)))
    0.01249 0.00309
    """
    kelvin = temperature_c + 273.15
    return 7.9e11 * math.exp(-11858.0 / kelvin), 4.1e12 * math.exp(-12994.0 / kelvin)


def advance(alpha: float, iso: float, temperature_c: float, minutes: float) -> tuple[float, float]:
    """Return alpha and iso-alpha acids after a time at one temperature: the exact solution.

    >>> print("{:.4f} {:.4f}".format(*advance(1.0, 0.0, 100.0, 60.0)))
    0.4726 0.4759
    """
    make, lose = rate_constants(temperature_c)
    left = math.exp(-make * minutes)
    kept = math.exp(-lose * minutes)
    # The two rates meet nowhere below 140 degC, so the difference is safe to divide by.
    return alpha * left, iso * kept + alpha * make / (lose - make) * (left - kept)


def calibration(gravity: Quantity | float) -> float:
    """Return the share of the iso-alpha acids made that the table's 60 minutes at 100 degC leaves in beer.

    Args:
        gravity: specific gravity, mean over the boil, 1.000 to 1.200.

    Raises:
        OutOfRange: ``gravity`` outside its range.

    >>> print(f"{calibration(1.050):.2f}")
    0.48
    """
    return table.utilisation(_HOUR, gravity) / advance(1.0, 0.0, 100.0, 60.0)[1]


def isomerised(history: History) -> float:
    """Return the share of the alpha acids that is there as iso-alpha acids at the end of a history, 0 to 0.7.

    Errors: 0.1 % of the value by the steps; the rate constants are known to about 5 %.
    Source: the two first-order steps, exact in each step of constant temperature.

    >>> print(f"{isomerised(History.boiling(quantity(60, 'minute'), BOILING)):.3f}")
    0.476
    """
    alpha, iso = 1.0, 0.0
    for temperature_c, minutes in history.steps():
        alpha, iso = advance(alpha, iso, temperature_c, minutes)
    return iso


def bitterness(
    hop_mass: Quantity,
    alpha_acids: Quantity | float,
    history: History,
    gravity: Quantity | float,
    volume: Quantity,
) -> Quantity:
    """Return the bitterness, in IBU, of an addition that saw these temperatures.

    First-wort hops: start the history at the temperature of the drained wort. Steep: end it with cooling.
    Part boil, where only some of the wort is boiled and topped up afterwards: the gravity is the one in the
    pot, the volume is the whole.

    Args:
        hop_mass: 0 to 50 kg.
        alpha_acids: share of the hops' mass, 0 to 40 percent (a bare number is a fraction).
        history: from the moment when the hops went in to the moment when they came out or it is cold.
        gravity: specific gravity where the hops are, mean over the history, 1.000 to 1.200.
        volume: finished wort, cold, 0.1 to 2000 litre.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: about 20 %; below 90 degC the rate constants are extrapolated.
    Source: kinetic model and calibration of this module.

    >>> hot = History.starting_at(quantity(98, "degC"))
    >>> steep = hot.cooling(quantity(20, "degC"), quantity(90, "minute"), quantity(20, "minute"))
    >>> b = bitterness(quantity(10, "gram"), quantity(5, "percent"), steep, 1.050, quantity(5, "litre"))
    >>> print(f"{b.magnitude:.1f}")
    5.1
    """
    scale = table.bitterness_per_utilisation(hop_mass, alpha_acids, volume) * calibration(gravity)
    return quantity(scale * isomerised(history), "IBU")


def late_addition(
    hop_mass: Quantity,
    alpha_acids: Quantity | float,
    planned: Quantity,
    actual: Quantity,
    gravity: Quantity | float,
    volume: Quantity,
    temperature: Quantity = BOILING,
    steep: History | None = None,
) -> LateAddition:
    """Return what changed because hops went in late (or early), and the grams or minutes that repair it.

    Args:
        hop_mass: of the addition, 0 to 50 kg.
        alpha_acids: share of the hops' mass, 0 to 40 percent (a bare number is a fraction).
        planned: boiling time that the addition was to get, 0 to 240 minute.
        actual: boiling time that it gets now, 0 to 240 minute. Repairing hops get the same time.
        gravity: specific gravity, mean over the boil, 1.000 to 1.200.
        volume: finished wort, cold, 0.1 to 2000 litre.
        temperature: of the boil, 80 to 105 degC.
        steep: what follows the boil, early or late; None where the wort is chilled at once.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: each bitterness about 20 %, their ratio about 10 %. A longer boil also boils off more water.
    Source: the kinetic model of this module.

    >>> late = late_addition(quantity(10, "gram"), quantity(5, "percent"), quantity(60, "minute"),
    ...                      quantity(46, "minute"), 1.050, quantity(5, "litre"))
    >>> print(f"{late.bitterness_planned.magnitude:.1f} {late.bitterness_now.magnitude:.1f}")
    23.1 19.6
    >>> print(f"{late.extra_mass:.1f}, {late.extra_time:.0f}")
    1.8 gram, 14 minute
    """
    hop_g = magnitude(hop_mass, "gram", "hop_mass", 0.0, 50e3)
    planned_min = magnitude(planned, "minute", "planned", 0.0, 240.0)
    actual_min = magnitude(actual, "minute", "actual", 0.0, 240.0)
    boil_c = magnitude(temperature, "degC", "temperature", 80.0, 105.0)
    after = tuple(steep.steps()) if steep is not None else ()

    def share(minutes: float) -> float:
        alpha, iso = advance(1.0, 0.0, boil_c, minutes)
        for temperature_c, step_min in after:
            alpha, iso = advance(alpha, iso, temperature_c, step_min)
        return iso

    scale = table.bitterness_per_utilisation(hop_mass, alpha_acids, volume) * calibration(gravity)
    planned_share, actual_share = share(planned_min), share(actual_min)
    missing_share = planned_share - actual_share
    extra_mass: Quantity | None = quantity(0.0, "gram")
    extra_min = 0.0
    if missing_share > 0.0:
        sensible = missing_share <= _MOST_TIMES * actual_share
        extra_mass = quantity(hop_g * missing_share / actual_share, "gram") if sensible else None
        # At one boiling temperature the hops need just the minutes that they missed.
        extra_min = max(planned_min - actual_min, 0.0)
    return LateAddition(
        bitterness_planned=quantity(scale * planned_share, "IBU"),
        bitterness_now=quantity(scale * actual_share, "IBU"),
        extra_mass=extra_mass,
        extra_time=quantity(extra_min, "minute"),
    )
