"""A refractometer, read in wort and in fermenting beer.

The scale is Brix of a sucrose solution at 20 degC; malt wort bends light a little more, so its reading is
divided by the instrument's correction factor. Alcohol bends light too: in fermenting beer the reading is
what the real extract and the alcohol make together, and the original gravity has to be known to part them.
A reading is a quantity in ``degree_plato``, which Brix shares; the sample is taken to be near 20 degC, or
the instrument to allow for its temperature.
"""

from __future__ import annotations

from calc.alcohol import alcohol_fraction, real_extract_fraction
from calc.density import GRAVITY_HIGH, GRAVITY_LOW, plato_from_gravity
from calc.errors import OutOfRange
from calc.sucrose import fraction_from_gravity, gravity_from_fraction
from calc.uncertainty import Measured, propagate
from calc.units import Quantity, magnitude, quantity

USUAL_CORRECTION_FACTOR = quantity(1.04, "dimensionless")
"""Reading in wort over its degrees Plato, for an instrument never compared. Common practice, no source."""

CORRECTION_FACTOR_UNCERTAINTY = quantity(0.015, "dimensionless")
READING_UNCERTAINTY = quantity(0.15, "degree_plato")
"""Standard uncertainties of a factor not measured, and of one reading. Common practice, no source."""

FERMENTING_UNCERTAINTY = quantity(0.002, "dimensionless")
"""Standard uncertainty of :func:`fermenting_gravity`: about how far the published fits lie apart."""

# Brix shown by alcohol, from its per cent by mass. Fitted to the refractive index of ethanol in water at
# 20 degC, sodium line: 1.3342 at 2 %, 1.3360 at 5 %, 1.3395 at 10 %. From memory of a handbook's table.
_ALCOHOL_BRIX = (0.39, 0.0055)

# Brix against refractive index at 20 degC, sodium line: a fit to the table of ICUMSA (1974).
_INDEX_POLYNOMIAL = (11758.74, -88885.21, 270177.93, -413145.80, 318417.95, -99127.4536)

_FACTOR_LOW, _FACTOR_HIGH = 0.9, 1.2
_STEPS = 60


def brix_from_refractive_index(index: Quantity) -> Quantity:
    """Brix of a sucrose solution from its refractive index at 20 degC, sodium line.

    Args:
        index: 1.3329 (water) to 1.4200, dimensionless.

    Returns:
        Brix, as degree_plato; within 0.03 of the table.

    Raises:
        OutOfRange: index outside its range.

    Source: fit to the table of ICUMSA (1974), as NBS Circular 440, table 110.

    >>> round(brix_from_refractive_index(quantity(1.34782, "dimensionless")).magnitude, 1)
    10.0
    """
    n = magnitude(index, "dimensionless", "index", 1.3329, 1.4200)
    brix = 0.0
    for coefficient in _INDEX_POLYNOMIAL:
        brix = brix * n + coefficient
    return quantity(brix, "degree_plato")


def correction_factor(reading: Quantity, gravity: Quantity) -> Quantity:
    """An instrument's own factor, from the same unfermented wort read with it and with a hydrometer.

    Args:
        reading: in Brix, 1 to 40.
        gravity: specific gravity 20/20 by the hydrometer, 1.004 to 1.200.

    Returns:
        Dimensionless, near 1.04.

    Raises:
        OutOfRange: an argument outside its range, or two readings that do not belong to one wort.

    Source: definition; the usual 1.04 is common practice.

    >>> wort = quantity(12.9, "degree_plato"), quantity(1.050, "dimensionless")
    >>> round(correction_factor(*wort).magnitude, 3)
    1.041
    """
    brix = magnitude(reading, "degree_plato", "reading", 1, 40)
    magnitude(gravity, "dimensionless", "gravity", 1.004, 1.200)
    factor = brix / plato_from_gravity(gravity).magnitude
    if not _FACTOR_LOW <= factor <= _FACTOR_HIGH:
        low, high = (bound * brix / factor for bound in (_FACTOR_LOW, _FACTOR_HIGH))
        raise OutOfRange("reading", brix, "degree_plato", low, high, "does not fit the hydrometer's gravity")
    return quantity(factor, "dimensionless")


def wort_gravity(reading: Quantity, factor: Quantity = USUAL_CORRECTION_FACTOR) -> Quantity:
    """Specific gravity 20/20 of unfermented wort.

    Args:
        reading: in Brix, 0 to 50.
        factor: the instrument's correction factor, 0.9 to 1.2.

    Raises:
        OutOfRange: an argument outside its range.

    Source: ICUMSA SPS-4 (1998); the usual factor of 1.04 is common practice.

    >>> round(wort_gravity(quantity(12.9, "degree_plato")).magnitude, 4)
    1.05
    """
    brix = magnitude(reading, "degree_plato", "reading", 0, 50)
    return quantity(gravity_from_fraction(brix / _factor(factor) / 100), "dimensionless")


def wort_gravity_uncertainty(reading: Quantity, factor: Quantity = USUAL_CORRECTION_FACTOR) -> Quantity:
    """Standard uncertainty of :func:`wort_gravity` where the factor was not measured.

    Args:
        reading: in Brix, 0 to 50.
        factor: the instrument's correction factor, 0.9 to 1.2.

    Returns:
        Dimensionless, one standard deviation.

    Raises:
        OutOfRange: an argument outside its range.

    Source: JCGM 100:2008 (GUM) for the sum; the two parts are common practice, no source.

    >>> round(wort_gravity_uncertainty(quantity(12.9, "degree_plato")).magnitude, 4)
    0.001
    """
    return propagate(
        wort_gravity,
        {
            "reading": Measured(reading, READING_UNCERTAINTY),
            "factor": Measured(factor, CORRECTION_FACTOR_UNCERTAINTY),
        },
    ).uncertainty


def fermenting_gravity(
    reading: Quantity, original_gravity: Quantity, factor: Quantity = USUAL_CORRECTION_FACTOR
) -> Quantity:
    """Estimate of what a hydrometer would show in fermenting or finished beer.

    Args:
        reading: in Brix, 0 up to what the original wort would show.
        original_gravity: specific gravity 20/20 before fermentation, 1.004 to 1.200.
        factor: the instrument's correction factor, 0.9 to 1.2.

    Returns:
        Specific gravity 20/20, an estimate: standard uncertainty 0.002 (:data:`FERMENTING_UNCERTAINTY`).

    Raises:
        OutOfRange: an argument outside its range, or a reading that no fermentation of that wort gives.

    Source: Balling's balance (De Clerck, A Textbook of Brewing) for extract and alcohol; refractive index
    of alcohol from memory of a handbook's table.

    >>> beer = quantity(6.3, "degree_plato"), quantity(1.050, "dimensionless")
    >>> round(fermenting_gravity(*beer).magnitude, 3)
    1.01
    """
    wort_factor = _factor(factor)
    original = fraction_from_gravity(
        magnitude(original_gravity, "dimensionless", "original_gravity", 1.004, 1.200)
    )
    highest = 100 * original * wort_factor
    brix = magnitude(reading, "degree_plato", "reading", 0, highest)
    real = _real_extract_fraction(brix, original, wort_factor)
    # Balling's balance the other way round: see calc.alcohol for the forward one.
    per_apparent = real_extract_fraction(original, 1.0) - real_extract_fraction(original, 0.0)
    apparent = (real - real_extract_fraction(original, 0.0)) / per_apparent
    gravity = gravity_from_fraction(apparent)
    if real < 0 or not GRAVITY_LOW <= gravity <= GRAVITY_HIGH:
        raise OutOfRange(
            "reading", brix, "degree_plato", None, highest, "too low for any beer from that wort"
        )
    return quantity(gravity, "dimensionless")


def fermenting_reading(
    gravity: Quantity, original_gravity: Quantity, factor: Quantity = USUAL_CORRECTION_FACTOR
) -> Quantity:
    """What the refractometer should show in beer of this gravity: inverse of :func:`fermenting_gravity`.

    Args:
        gravity: specific gravity 20/20 now, 0.980 to the original gravity.
        original_gravity: specific gravity 20/20 before fermentation, 1.004 to 1.200.
        factor: the instrument's correction factor, 0.9 to 1.2.

    Returns:
        Brix, as degree_plato, standard uncertainty about 0.5.

    Raises:
        OutOfRange: an argument outside its range, or a gravity that no fermentation of that wort gives.

    Source: as :func:`fermenting_gravity`.

    >>> beer = quantity(1.010, "dimensionless"), quantity(1.050, "dimensionless")
    >>> round(fermenting_reading(*beer).magnitude, 1)
    6.3
    """
    original_sg = magnitude(original_gravity, "dimensionless", "original_gravity", 1.004, 1.200)
    sg = magnitude(gravity, "dimensionless", "gravity", GRAVITY_LOW, original_sg)
    original = fraction_from_gravity(original_sg)
    real = real_extract_fraction(original, fraction_from_gravity(sg))
    if real < 0:
        raise OutOfRange(
            "gravity", sg, "dimensionless", None, original_sg, "too low for any beer from that wort"
        )
    return quantity(_brix(real, original, _factor(factor)), "degree_plato")


def _factor(factor: Quantity) -> float:
    return magnitude(factor, "dimensionless", "factor", _FACTOR_LOW, _FACTOR_HIGH)


def _alcohol_brix(real: float, original: float) -> float:
    percent = 100 * alcohol_fraction(original, real)
    straight, bent = _ALCOHOL_BRIX
    return percent * (straight + percent * bent)


def _brix(real: float, original: float, wort_factor: float) -> float:
    return 100 * real * wort_factor + _alcohol_brix(real, original)


def _real_extract_fraction(brix: float, original: float, wort_factor: float) -> float:
    """Real extract whose reading this is. The reading rises with it, so halving the interval finds it."""
    low, high = -0.2, original
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if _brix(middle, original, wort_factor) < brix:
            low = middle
        else:
            high = middle
    return (low + high) / 2
