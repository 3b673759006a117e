"""Density of water and of sucrose solutions, in bare floats: the formulas under the other modules.

Wort is taken to have the density of a sucrose solution of the same mass fraction of extract, which is
how degrees Plato are defined. Density is in kg/m3, temperature in degC, extract as a mass fraction.

Source: ICUMSA Specification and Standard SPS-4 (1998), after Rosenbruch and Emmerich; its water term is
the equation of Kell, J. Chem. Eng. Data 20 (1975) 97, with coefficients refitted to a newer scale.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

# Row k holds the coefficients of ((T - 20)/100)**k; column i those of w**(i + 1).
_ICUMSA = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254, 0.0),
    (59.7712, 7.2491, 12.3630, -35.4791, 0.0, 0.0),
    (-47.2207, -21.6977, 27.6301, 0.0, 0.0, 0.0),
    (18.3184, 12.3081, 0.0, 0.0, 0.0, 0.0),
)

_CLOSE_ENOUGH_KG_M3 = 1e-9
_MOST_STEPS = 30


def water_density_kg_m3(temperature_c: float) -> float:
    """Density of air-free water at 1 atm, 0 to 100 degC."""
    t = temperature_c
    above = 999.83952 + t * (
        16.952577 + t * (-7.9905127e-3 + t * (-46.241757e-6 + t * (105.84601e-9 + t * -281.03006e-12)))
    )
    return above / (1 + 16.887236e-3 * t)


WATER_20_KG_M3 = water_density_kg_m3(20.0)


def _excess_coefficients(temperature_c: float) -> Sequence[float]:
    t = (temperature_c - 20) / 100
    if t == 0:
        return _ICUMSA[0]
    c0, c1, c2, c3, c4 = _ICUMSA
    return [a + t * (b + t * (c + t * (d + t * e))) for a, b, c, d, e in zip(c0, c1, c2, c3, c4, strict=True)]


def _polynomial_and_slope(coefficients: Sequence[float], w: float) -> tuple[float, float]:
    """Value and derivative at w of sum(c[i] * w**(i + 1)), by Horner's rule."""
    value = slope = 0.0
    for coefficient in reversed(coefficients):
        slope = slope * w + value
        value = value * w + coefficient
    return value * w, slope * w + value


def density_kg_m3(extract_fraction: float, temperature_c: float = 20.0) -> float:
    """Density of a sucrose solution, 0 to 80 degC, mass fraction 0 to 1.

    Below a fraction of 0 it is an extrapolation: beer lighter than water has a negative apparent extract
    by convention. From 80 to 100 degC only the water term is covered by a source.
    """
    excess, _ = _polynomial_and_slope(_excess_coefficients(temperature_c), extract_fraction)
    return water_density_kg_m3(temperature_c) + excess


def _solve(function: Callable[[float], tuple[float, float]], target: float, start: float) -> float:
    """Newton's method for a smooth rising function given with its slope."""
    x = start
    for _ in range(_MOST_STEPS):
        value, slope = function(x)
        step = (target - value) / slope
        x += step
        if abs(step * slope) < _CLOSE_ENOUGH_KG_M3:
            return x
    raise ArithmeticError(f"no solution near {start} for {target}")


def fraction_from_density(density: float, temperature_c: float = 20.0) -> float:
    """Mass fraction of extract in a solution of this density (kg/m3): inverse of :func:`density_kg_m3`."""
    coefficients = _excess_coefficients(temperature_c)
    excess = density - water_density_kg_m3(temperature_c)
    return _solve(lambda w: _polynomial_and_slope(coefficients, w), excess, excess / 420)


def gravity_from_fraction(extract_fraction: float) -> float:
    """Specific gravity 20/20 of a solution of this mass fraction of extract."""
    return density_kg_m3(extract_fraction) / WATER_20_KG_M3


def fraction_from_gravity(gravity: float) -> float:
    """Mass fraction of extract at this specific gravity 20/20."""
    return fraction_from_density(gravity * WATER_20_KG_M3)


def fraction_from_concentration(extract_kg_m3: float) -> float:
    """Mass fraction at which a cubic metre of solution at 20 degC holds this much extract (kg)."""

    def concentration(w: float) -> tuple[float, float]:
        excess, slope = _polynomial_and_slope(_ICUMSA[0], w)
        density = WATER_20_KG_M3 + excess
        return w * density, density + w * slope

    return _solve(concentration, extract_kg_m3, extract_kg_m3 / (WATER_20_KG_M3 + 0.35 * extract_kg_m3))
