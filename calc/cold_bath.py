"""Chilling a pot in a bath of cold water, which warms while the wort cools.

With no heat to the room both run to one temperature, and the wort follows Newton's law towards *that*
temperature instead of the bath's first one; so two readings of the wort are enough for a forecast.
"""

from __future__ import annotations

from collections.abc import Sequence

from calc.cooling import THERMOMETER, Forecast, Reading, forecast
from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity


def settled_temperature(
    wort_volume: Quantity, wort_temperature: Quantity, bath_volume: Quantity, bath_temperature: Quantity
) -> Quantity:
    """Return the temperature, in degC, at which wort and bath meet if nobody changes the water.

    Args:
        wort_volume: above 0 to 2000 litre.
        wort_temperature: 0 to 105 degC.
        bath_volume: above 0 to 10000 litre; a kilogram of ice counts as a litre at -80 degC.
        bath_temperature: -80 to 100 degC.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: within about 2 kelvin; wort holds per litre 2 % less heat than water, the pot a little more.
    Source: heat balance. Ice: heat of fusion 334 kJ/kg over 4.19 kJ/(kg K) is 80 kelvin.

    >>> met = settled_temperature(quantity(5, "litre"), quantity(95, "degC"), quantity(20, "litre"),
    ...                           quantity(12, "degC"))
    >>> print(f"{met:.1f}")
    28.6 degree_Celsius
    """
    wort_l = magnitude(wort_volume, "litre", "wort_volume", 1e-3, 2000.0)
    wort_c = magnitude(wort_temperature, "degC", "wort_temperature", 0.0, 105.0)
    bath_l = magnitude(bath_volume, "litre", "bath_volume", 1e-3, 10000.0)
    bath_c = magnitude(bath_temperature, "degC", "bath_temperature", -80.0, 100.0)
    return quantity((wort_l * wort_c + bath_l * bath_c) / (wort_l + bath_l), "degC")


def chill_forecast(
    readings: Sequence[Reading],
    bath_temperature: Quantity,
    target: Quantity,
    wort_volume: Quantity | None = None,
    bath_volume: Quantity | None = None,
    reading_uncertainty: Quantity = THERMOMETER,
) -> Forecast:
    """Say from two or more temperatures of the wort when it will be at the pitching temperature.

    Args:
        readings: pairs of elapsed time and wort temperature, the first one taken as the pot goes in.
        bath_temperature: of the water at the first reading, -30 to 100 degC.
        target: wanted wort temperature, -30 to 120 degC.
        wort_volume: with ``bath_volume``, above 0 to 2000 litre; None for a bath that stays cold (running
            water, or far more water than wort).
        bath_volume: above 0 to 10000 litre.
        reading_uncertainty: standard uncertainty of one reading, 0.001 to 20 kelvin.

    Raises:
        OutOfRange: an argument outside its range; a ``target`` below where the bath would settle
            (``low`` of the error is that temperature): change the water or add ice.

    Errors: standard uncertainties come with the result. Still wort is layered: stir before each reading.
    Source: Newton's law of cooling between two bodies, heat balance.

    >>> f = chill_forecast([(quantity(0, "minute"), quantity(95, "degC")), (quantity(5, "minute"),
    ...                     quantity(72, "degC"))], quantity(12, "degC"), quantity(30, "degC"),
    ...                    quantity(5, "litre"), quantity(20, "litre"))
    >>> print(f"{f.time_to_target:.0f}")
    40 minute
    """
    if wort_volume is None or bath_volume is None:
        return forecast(readings, bath_temperature, target, reading_uncertainty)
    if len(readings) < 2:
        raise OutOfRange("readings", float(len(readings)), "", 2.0, None, "need at least two readings")
    settled = settled_temperature(wort_volume, readings[0][1], bath_volume, bath_temperature)
    settled_c = magnitude(settled, "degC", "settled")
    target_c = magnitude(target, "degC", "target", -30.0, 120.0)
    if target_c <= settled_c:
        raise OutOfRange("target", target_c, "degC", settled_c, None, "is colder than the bath will settle")
    return forecast(readings, settled, target, reading_uncertainty)
