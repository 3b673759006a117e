"""A hydrometer read in a sample that is not at the temperature of its calibration.

The floating glass displaces its own mass of liquid, so the reading gives the liquid's density at the
sample's temperature; the sugar solution's own expansion takes that to 20 degC. The glass expands a little
too. Wort only: beer's alcohol expands more, which matters little at room temperature.
"""

from __future__ import annotations

from calc.density import TWENTY_C
from calc.sucrose import fraction_from_density, gravity_from_fraction, water_density_kg_m3
from calc.uncertainty import Measured, propagate
from calc.units import Quantity, magnitude, quantity

READING_LOW, READING_HIGH = 0.950, 1.250
"""Readings accepted: hot wort can read well below what it holds."""

GLASS_EXPANSION_PER_K = 25e-6
"""Cubic expansion of soda-lime glass. Source: ISO 387 and ISO 649."""

READING_UNCERTAINTY = quantity(0.0005, "dimensionless")
"""Standard uncertainty of reading a home hydrometer of 0.001 or 0.002 a mark. Common practice, no source."""

THERMOMETER_UNCERTAINTY_K = 0.5
"""Standard uncertainty of a kitchen thermometer in the sample. Common practice, no source."""

COOLING_SHARE = 0.05
"""A sample cools while it is read: share of its distance from 20 degC. Common practice, no source."""

# Density of water against degF, divided out at the calibration temperature. From memory, widely printed.
_POLYNOMIAL_F = (1.00130346, -0.000134722124, 2.04052596e-6, -2.32820948e-9)


def correct_gravity(reading: Quantity, temperature: Quantity, calibration: Quantity = TWENTY_C) -> Quantity:
    """Specific gravity 20/20 of wort from a hydrometer reading at the sample's temperature.

    Args:
        reading: what the stem shows, 0.950 to 1.250.
        temperature: of the sample, 0 to 80 degC.
        calibration: temperature printed on the instrument, 0 to 80 degC; older ones are 60 degF.

    Returns:
        Dimensionless. Ask :func:`correction_uncertainty` how far to trust it: a sample above 40 degC is
        better cooled first, and hot wort can crack the glass.

    Raises:
        OutOfRange: an argument outside its range.

    Source: buoyancy with the glass expansion of ISO 387 and ISO 649; wort by ICUMSA SPS-4 (1998).

    >>> reading, sample = quantity(1.050, "dimensionless"), quantity(25, "degC")
    >>> round(correct_gravity(reading, sample).magnitude, 4)
    1.0513
    """
    sg = magnitude(reading, "dimensionless", "reading", READING_LOW, READING_HIGH)
    sample_c = magnitude(temperature, "degC", "temperature", 0, 80)
    calibration_c = magnitude(calibration, "degC", "calibration", 0, 80)
    glass = 1 - GLASS_EXPANSION_PER_K * (sample_c - calibration_c)
    density = sg * water_density_kg_m3(calibration_c) * glass
    return quantity(gravity_from_fraction(fraction_from_density(density, sample_c)), "dimensionless")


def correction_uncertainty(
    reading: Quantity, temperature: Quantity, calibration: Quantity = TWENTY_C
) -> Quantity:
    """Standard uncertainty of :func:`correct_gravity` with a home hydrometer and a kitchen thermometer.

    Three parts: reading the stem (0.0005), the thermometer (0.5 K), and a sample that is hotter or colder
    than the room and drifts while it is read (5 % of its distance from 20 degC). The last one rules above
    about 40 degC.

    Args:
        reading: what the stem shows, 0.950 to 1.250.
        temperature: of the sample, 0 to 80 degC.
        calibration: temperature printed on the instrument, 0 to 80 degC.

    Returns:
        Dimensionless, one standard deviation.

    Raises:
        OutOfRange: an argument outside its range.

    Source: JCGM 100:2008 (GUM) for the sum; the three parts are common practice, no source.

    >>> reading = quantity(1.050, "dimensionless")
    >>> round(correction_uncertainty(reading, quantity(20, "degC")).magnitude, 4)
    0.0005
    >>> round(correction_uncertainty(reading, quantity(66, "degC")).magnitude, 4)
    0.0014
    """
    sample_c = magnitude(temperature, "degC", "temperature", 0, 80)
    drift_k = COOLING_SHARE * abs(sample_c - 20)
    sample_u = quantity((THERMOMETER_UNCERTAINTY_K**2 + drift_k**2) ** 0.5, "delta_degC")
    return propagate(
        correct_gravity,
        {
            "reading": Measured(reading, READING_UNCERTAINTY),
            "temperature": Measured(quantity(sample_c, "degC"), sample_u),
            "calibration": calibration,
        },
    ).uncertainty


def correct_gravity_by_polynomial(
    reading: Quantity, temperature: Quantity, calibration: Quantity = TWENTY_C
) -> Quantity:
    """The widely printed cubic in degF, kept beside the physics as a check.

    It takes wort to expand like water and the glass not at all, which nearly cancel: within 0.0005 of
    :func:`correct_gravity` from 15 to 30 degC up to 1.080, within 0.001 up to 60 degC, up to 0.002 off in
    cold strong wort.

    Args:
        reading: what the stem shows, 0.950 to 1.250.
        temperature: of the sample, 0 to 80 degC.
        calibration: temperature printed on the instrument, 0 to 80 degC.

    Raises:
        OutOfRange: an argument outside its range.

    From memory: a fit to the density of water.

    >>> reading, sample = quantity(1.050, "dimensionless"), quantity(25, "degC")
    >>> round(correct_gravity_by_polynomial(reading, sample).magnitude, 4)
    1.0512
    """
    sg = magnitude(reading, "dimensionless", "reading", READING_LOW, READING_HIGH)
    sample_c = magnitude(temperature, "degC", "temperature", 0, 80)
    calibration_c = magnitude(calibration, "degC", "calibration", 0, 80)
    return quantity(sg * _cubic(sample_c) / _cubic(calibration_c), "dimensionless")


def _cubic(temperature_c: float) -> float:
    f = temperature_c * 1.8 + 32
    c0, c1, c2, c3 = _POLYNOMIAL_F
    return c0 + f * (c1 + f * (c2 + f * c3))
