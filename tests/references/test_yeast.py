"""Yeast amounts against handbook pitching rates and kitchen practice."""

from __future__ import annotations

import pytest

from calc import yeast
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

SACHET = "Common practice, no source: an 11 g sachet is sized for 20 to 23 l"


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


@pytest.mark.parametrize(
    ("style", "per_ml_and_plato"), [("ale", 0.75e6), ("lager", 1.5e6), ("wheat", 0.75e6)]
)
def test_cells(agree: Agree, style: str, per_ml_and_plato: float) -> None:
    # Degrees Plato by the ASBC cubic, a second way from gravity.
    gravity = 1.048
    plato = -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3
    agree(
        f"cells for 20 l of {style} at 1.048, thousand million",
        yeast.cells_needed(quantity(20, "litre"), sg(gravity), style).magnitude / 1e9,
        per_ml_and_plato * 20e3 * plato / 1e9,
        0.005 * per_ml_and_plato * 20e3 * plato / 1e9,
        "Source: brewing handbooks, 0.75 (ale) and 1.5 (lager) million per ml and degree Plato; ASBC cubic",
    )


@pytest.mark.parametrize("gravity", [1.036, 1.040, 1.048, 1.052, 1.060])
def test_dose_at_ordinary_gravity(agree: Agree, gravity: float) -> None:
    dose = yeast.dry_yeast_mass(quantity(1, "litre"), sg(gravity)).magnitude
    practice = "Common practice, no source: 0.5 to 0.8 g/l, the middle of it"
    agree(f"dry ale yeast at {gravity:.3f}", dose, 0.65, 0.15, practice, "g/l")


def test_sachet(agree: Agree) -> None:
    for volume_l in (20, 23):
        dose = yeast.dry_yeast_range(quantity(volume_l, "litre"), sg(1.045))
        agree(f"dry ale yeast for {volume_l} l at 1.045, low", dose.low.magnitude, 11, 1.1, SACHET, "g")
    third = yeast.dry_yeast_mass(quantity(5, "litre"), sg(1.048)).magnitude
    agree(
        "dry ale yeast for 5 l at 1.048",
        third,
        11 / 3,
        0.8,
        "Common practice, no source: a third of an 11 g sachet for 5 l",
        "g",
    )


def test_grams_and_cells_tell_the_same(agree: Agree) -> None:
    volume, gravity = quantity(20, "litre"), sg(1.048)
    by_cells = yeast.dry_yeast_for_cells(yeast.cells_needed(volume, gravity))
    # Counts per gram vary fourfold, so the two ways agree within a quarter at best.
    agree(
        "dry ale yeast for 20 l at 1.048: by grams per litre and by cells",
        yeast.dry_yeast_mass(volume, gravity).magnitude,
        by_cells.usual.magnitude,
        3.0,
        "From memory: 15 thousand million viable cells per gram; handbook pitching rate",
        "g",
    )


def test_ageing(agree: Agree) -> None:
    year = quantity(1, "year")
    memory = "From memory: dry yeast loses about 4 % in a year at 4 degC and 20 % at 24 degC"
    agree("dry yeast alive after a year at 4 degC", yeast.viability(year).magnitude, 96, 0.1, memory, "%")
    warm = yeast.viability(year, quantity(24, "degC")).magnitude
    agree("dry yeast alive after a year at 24 degC", warm, 80, 0.1, memory, "%")
