"""A thermometer put right by what it shows in ice water and in boiling water."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

SEA_LEVEL_BOIL = quantity(100.0, "degC")


def correct_temperature(
    reading: Quantity,
    ice: Quantity | None = None,
    boiling: Quantity | None = None,
    boiling_point: Quantity = SEA_LEVEL_BOIL,
) -> Quantity:
    """Return the true temperature, in degC, behind what a checked thermometer shows.

    Args:
        reading: shown, -30 to 130 degC.
        ice: shown in stirred, melting ice, -8 to 8 degC; None where it was not checked there.
        boiling: shown in boiling water, 60 to 115 degC and within 10 kelvin of ``boiling_point``; None
            where it was not checked there.
        boiling_point: what was true there (:func:`calc.boil.boiling_point` gives it), 60 to 103 degC.

    Returns:
        Two checks put a straight line through both; one moves every reading by the same amount.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: 0.2 kelvin from well made ice water and an instrument that is straight between the two points.
    Source: fixed-point comparison in an ice bath and at the boiling point, as national standards bodies
    describe it for liquid-in-glass thermometers (NIST SP 1088, ice point); straight line between.

    >>> true = correct_temperature(quantity(67.0, "degC"), ice=quantity(0.5, "degC"))
    >>> print(f"{true:.1f}")
    66.5 degree_Celsius
    >>> print(f"{correct_temperature(quantity(50, 'degC'), quantity(1, 'degC'), quantity(99, 'degC')):.1f}")
    50.0 degree_Celsius
    """
    shown_c = magnitude(reading, "degC", "reading", -30.0, 130.0)
    point_c = magnitude(boiling_point, "degC", "boiling_point", 60.0, 103.0)
    ice_c = None if ice is None else magnitude(ice, "degC", "ice", -8.0, 8.0)
    boiling_c = None
    if boiling is not None:
        boiling_c = magnitude(boiling, "degC", "boiling", 60.0, 115.0)
        if abs(boiling_c - point_c) > 10.0:
            raise OutOfRange("boiling", boiling_c, "degC", point_c - 10.0, point_c + 10.0)
    if ice_c is not None and boiling_c is not None:
        return quantity((shown_c - ice_c) * point_c / (boiling_c - ice_c), "degC")
    if ice_c is not None:
        return quantity(shown_c - ice_c, "degC")
    return quantity(shown_c if boiling_c is None else shown_c - boiling_c + point_c, "degC")
