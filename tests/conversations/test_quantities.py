"""Quantities: a number and a unit of the list, with the pint and gallon of the person's setting."""

from __future__ import annotations

import pytest

from calc.units import quantity
from conversations.understanding.quantities import quantities_in, unit_words
from conversations.understanding.sentences import tree


@pytest.fixture(autouse=True)
def _spelling() -> None:
    tree()


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("25 C", 25, "degC"),
        ("one fifty two Fahrenheit", 152, "degF"),
        ("98 deg", 98, "degC"),
        ("98°", 98, "degC"),
        ("98 °F", 98, "degF"),
        ("5,2 l", 5.2, "litre"),
        ("6,250 l", 6.25, "litre"),
        ("2,500 ml", 2500, "millilitre"),
        ("half a litre", 0.5, "litre"),
        ("two and a quarter litres", 2.25, "litre"),
        ("three hundred mil", 300, "millilitre"),
        ("2 lb 3 oz", 2.1875, "pound"),
        ("14.5cm", 14.5, "centimetre"),
        ("5 1/2 inches", 5.5, "inch"),
        ("12.4 plato", 12.4, "degree_plato"),
        ("14 brix", 14, "degree_plato"),
        ("5%", 5, "percent"),
        ("2.4 kW", 2.4, "kilowatt"),
        ("1.2 bar", 1.2, "bar"),
        ("12 psi", 12, "psi"),
        ("3 l/h", 3, "litre / hour"),
        ("3 litres an hour", 3, "litre / hour"),
        ("2 fl oz", 2, "imperial_fluid_ounce"),
        ("2 US fluid ounces", 2, "fluid_ounce"),
        ("3 US gallons", 3, "gallon"),
        ("3 imperial gallons", 3, "imperial_gallon"),
    ],
)
def test_one_quantity(text: str, value: float, unit: str) -> None:
    [span] = quantities_in(text)
    assert (span.value, span.unit) == (pytest.approx(value), unit)
    assert text[span.start : span.end] == span.text == text


@pytest.mark.parametrize(
    ("system", "text", "litres"),
    [
        # Source: UK Units of Measurement Regulations 1995 (gallon 4.54609 litres, pint an eighth of it);
        # NIST Handbook 44, Appendix C (US gallon 231 cubic inches of 2.54 cm).
        ("metric", "1 gallon", 4.54609),
        ("imperial", "1 gallon", 4.54609),
        ("us", "1 gallon", 231 * 2.54**3 / 1000),
        ("imperial", "1 pint", 4.54609 / 8),
        ("us", "1 pint", 231 * 2.54**3 / 8000),
    ],
)
def test_gallons_and_pints_by_setting(system: str, text: str, litres: float) -> None:
    [span] = quantities_in(text, system)  # type: ignore[arg-type]
    assert quantity(span.value, span.unit).to("litre").magnitude == pytest.approx(litres, rel=1e-6)


def test_imperial_degrees_are_fahrenheit_as_the_replies_are() -> None:
    [span] = quantities_in("152 degrees", "imperial")
    assert span.unit == "degF"


def test_degrees_by_setting() -> None:
    assert [quantities_in("66 degrees", s)[0].unit for s in ("metric", "us")] == ["degC", "degF"]


@pytest.mark.parametrize("word", sorted(unit_words()))
def test_every_unit_of_the_list_is_one_that_pint_knows(word: str) -> None:
    [span] = quantities_in(f"3 {word}", "us")
    assert quantity(span.value, span.unit).magnitude == 3


@pytest.mark.parametrize("text", ["12 parsecs", "nan l", "9**9**9", "kilo", "inf C"])
def test_units_outside_the_list_are_no_quantities(text: str) -> None:
    assert quantities_in(text) == []
