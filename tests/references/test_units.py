"""Our short list of units against pint's full one."""

from __future__ import annotations

import pint
import pytest

from calc.units import ureg

from .conftest import Agree

PAIRS = [
    ("pint", "litre"), ("imperial_pint", "millilitre"), ("kilogram", "pound"), ("psi", "kilopascal"), ("bar", "atm"),
    ("gallon", "litre"), ("imperial_gallon", "litre"), ("ounce", "gram"), ("kilocalorie", "kilojoule"),
    ("week", "second"), ("year", "day"), ("month", "day"), ("imperial_fluid_ounce", "millilitre"),
    ("cup", "millilitre"), ("fluid_ounce", "millilitre"), ("quart", "litre"), ("teaspoon", "millilitre"),
    ("foot", "centimetre"), ("delta_degF", "delta_degC"), ("volt", "watt / ampere"), ("tonne", "kilogram"),
]  # fmt: skip


FULL: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(("unit", "into"), PAIRS)
def test_unit_agrees_with_the_full_registry(unit: str, into: str, agree: Agree) -> None:
    ours = float(ureg.Quantity(1.0, unit).to(into).magnitude)
    outside = float(FULL.Quantity(1.0, unit).to(into).magnitude)
    agree(f"1 {unit} in {into}", ours, outside, 1e-9 * outside, "Source: pint's default unit definitions", into)
