"""The kinetic model against scipy, its published activation energies and the table that it is tied to."""

import numpy as np
import pytest
from scipy.constants import R
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from calc.bitterness import utilisation
from calc.history import History
from calc.hop_ageing import aged_alpha_acids
from calc.isomerisation import advance, calibration, isomerised, rate_constants
from calc.units import quantity
from tests.references.conftest import Agree


@pytest.mark.parametrize(("step", "name", "energy"), [(0, "isomerisation", 98.6), (1, "loss", 108.0)])
def test_activation_energy(agree: Agree, step: int, name: str, energy: float) -> None:
    # Source: Malowicki and Shellhammer 2005, abstract: 98.6 and 108.0 kJ/mol. From memory.
    warm, hot = rate_constants(90.0)[step], rate_constants(130.0)[step]
    slope_k = np.log(hot / warm) / (1.0 / 363.15 - 1.0 / 403.15)
    agree(
        f"activation energy of {name}",
        float(slope_k * R / 1000.0),
        energy,
        0.1,
        "Malowicki and Shellhammer 2005, abstract, from memory",
        "kJ/mol",
    )


@pytest.mark.parametrize("celsius", [80.0, 100.0, 120.0])
def test_constant_temperature(agree: Agree, celsius: float) -> None:
    # Source: matrix exponential of the two rate equations, by scipy.
    make, lose = rate_constants(celsius)
    outside = expm(np.array([[-make, 0.0], [make, -lose]]) * 75.0) @ np.array([1.0, 0.0])
    agree(
        f"share isomerised, 75 min at {celsius:.0f} degC",
        advance(1.0, 0.0, celsius, 75.0)[1],
        float(outside[1]),
        1e-9,
        "scipy matrix exponential",
    )


def outside_share(curve, minutes: float) -> float:  # type: ignore[no-untyped-def]
    def rates(minute: float, state: list[float]) -> list[float]:
        make, lose = rate_constants(curve(minute))
        return [-make * state[0], make * state[0] - lose * state[1]]

    return float(solve_ivp(rates, (0.0, minutes), [1.0, 0.0], rtol=1e-9, atol=1e-12, max_step=0.5).y[1, -1])


def test_steep_while_it_cools(agree: Agree) -> None:
    # Source: the rate equations over the smooth cooling curve, by scipy. Tolerance 0.1 % of the value.
    outside = outside_share(lambda minute: 20.0 + 79.0 * np.exp(-minute / 60.0), 40.0)
    steep = History.starting_at(quantity(99, "degC")).cooling(
        quantity(20, "degC"), quantity(60, "minute"), quantity(40, "minute")
    )
    agree(
        "share isomerised, 40 min cooling from 99 degC",
        isomerised(steep),
        outside,
        0.001 * outside,
        "scipy solve_ivp over the cooling curve",
    )


def test_first_wort(agree: Agree) -> None:
    # Source: the rate equations by scipy: 25 min from 68 to 100 degC, then 60 min of boil.
    outside = outside_share(lambda minute: min(68.0 + 32.0 * minute / 25.0, 100.0), 85.0)
    day = History.starting_at(quantity(68, "degC")).heating(quantity(100, "degC"), quantity(25, "minute"))
    agree(
        "share isomerised, hops in the first wort",
        isomerised(day.holding(quantity(60, "minute"))),
        outside,
        0.001 * outside,
        "scipy solve_ivp",
    )


@pytest.mark.parametrize(("gravity", "printed"), [(1.040, 0.252), (1.050, 0.231), (1.070, 0.193)])
def test_agrees_with_table_at_sixty_minutes(agree: Agree, gravity: float, printed: float) -> None:
    # Source: G. Tinseth's printed table (1995).
    boil = History.boiling(quantity(60, "minute"), quantity(100, "degC"))
    agree(
        f"kinetic utilisation, 60 min at {gravity:.3f}",
        calibration(gravity) * isomerised(boil),
        printed,
        0.0006,
        "G. Tinseth, utilisation table (1995)",
    )


@pytest.mark.parametrize(("minutes", "low", "high"), [(15, 0.65, 0.80), (30, 0.78, 0.88), (90, 1.08, 1.25)])
def test_stated_difference_from_table(minutes: int, low: float, high: float) -> None:
    # What the module's docstring says of the two models away from 60 minutes must stay true.
    boil = History.boiling(quantity(minutes, "minute"), quantity(100, "degC"))
    ratio = calibration(1.050) * isomerised(boil) / utilisation(quantity(minutes, "minute"), 1.050)
    assert low < ratio < high


@pytest.mark.parametrize(
    ("keeping", "low", "high"), [("good", 75, 80), ("fair", 60, 65), ("average", 52, 58), ("poor", 45, 50)]
)
def test_hops_after_six_months(agree: Agree, keeping: str, low: float, high: float) -> None:
    # Source: hop merchants' sheets give the alpha acids left after six months at 20 degC as a range for each
    # variety; one variety for each class here. From memory. Tolerance: half the range and a little.
    left = aged_alpha_acids(
        quantity(10, "percent"), quantity(0.5, "year"), quantity(20, "degC"), "open", keeping
    )
    agree(
        f"alpha acids left after six months, hops that keep {keeping}",
        10.0 * left.magnitude,
        (low + high) / 2.0,
        3.0,
        "hop merchants' data sheets, from memory",
        "%",
    )
