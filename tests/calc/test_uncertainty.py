from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.density import plato_from_gravity, water_density
from calc.errors import OutOfRange
from calc.uncertainty import Measured, contributions, propagate, rounded
from calc.units import Quantity, quantity

VALUES = st.floats(-1e3, 1e3)
SPREADS = st.floats(0, 10)


def number(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def measured(value: float, u: float) -> Measured:
    return Measured(number(value), number(u))


@given(VALUES, SPREADS, VALUES, SPREADS)
def test_a_difference_adds_squares(a: float, ua: float, b: float, ub: float) -> None:
    result = propagate(lambda a, b: a - b, {"a": measured(a, ua), "b": measured(b, ub)})
    assert result.value.magnitude == pytest.approx(a - b)
    assert result.uncertainty.magnitude == pytest.approx(math.hypot(ua, ub), abs=1e-9)


@given(VALUES, SPREADS, st.floats(-5, 5))
def test_a_factor_multiplies_the_uncertainty(a: float, ua: float, factor: float) -> None:
    result = propagate(lambda a: a * factor, {"a": measured(a, ua)})
    assert result.uncertainty.magnitude == pytest.approx(abs(factor) * ua, abs=1e-9)


@given(VALUES, SPREADS)
def test_full_correlation_cancels_a_difference(a: float, u: float) -> None:
    result = propagate(
        lambda a, b: a - b, {"a": measured(a, u), "b": measured(2 * a, u)}, correlations={("a", "b"): 1.0}
    )
    assert result.uncertainty.magnitude == pytest.approx(0, abs=1e-5)


def test_exact_inputs_bring_nothing() -> None:
    inputs = {"a": measured(2, 0.1), "b": number(3)}
    parts = contributions(lambda a, b: a - 2 * b, inputs)
    assert parts.keys() == {"a"}
    assert parts["a"].magnitude == pytest.approx(0.1)


def test_a_contribution_keeps_its_sign() -> None:
    parts = contributions(lambda a: -3 * a, {"a": measured(2, 0.1)})
    assert parts["a"].magnitude == pytest.approx(-0.3)


def test_units_of_value_and_uncertainty_may_differ() -> None:
    fahrenheit = propagate(
        water_density, {"temperature": Measured(quantity(140, "degF"), quantity(1.8, "delta_degF"))}
    )
    celsius = propagate(water_density, {"temperature": Measured(quantity(60, "degC"), quantity(1, "kelvin"))})
    assert fahrenheit.uncertainty.m_as("kg/m**3") == pytest.approx(celsius.uncertainty.m_as("kg/m**3"))


@pytest.mark.parametrize("edge_c", [0, 100])
def test_at_the_edge_one_side_serves(edge_c: float) -> None:
    at_edge = propagate(
        water_density, {"temperature": Measured(quantity(edge_c, "degC"), quantity(0.5, "kelvin"))}
    ).uncertainty.magnitude
    inside = abs(edge_c - 0.5)
    whole = abs(
        water_density(quantity(edge_c, "degC")).magnitude - water_density(quantity(inside, "degC")).magnitude
    )
    assert at_edge == pytest.approx(whole)


@given(st.floats(-1e4, 1e4), st.floats(1e-6, 1e3))
def test_rounding_moves_less_than_half_an_uncertainty(value: float, u: float) -> None:
    short = rounded(measured(value, u))
    assert abs(short.value.magnitude - value) <= 0.5 * u
    assert short.uncertainty.magnitude == pytest.approx(u, rel=0.26)


@pytest.mark.parametrize(
    ("value", "u", "short", "short_u"),
    [
        (1.05234, 0.00213, 1.052, 0.002),
        (1.05234, 0.00143, 1.0523, 0.0014),
        (70.349, 0.96, 70.3, 1.0),
        (23871.0, 340.0, 23900, 300),
        (5.0, 0.0, 5.0, 0.0),
    ],
)
def test_digits_that_mean_something(value: float, u: float, short: float, short_u: float) -> None:
    result = rounded(measured(value, u))
    assert result.value.magnitude == pytest.approx(short, abs=1e-12)
    assert result.uncertainty.magnitude == pytest.approx(short_u, abs=1e-12)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("gravity", lambda: propagate(plato_from_gravity, {"gravity": measured(1.05, -0.001)})),
        (
            "gravity",
            lambda: propagate(plato_from_gravity, {"gravity": Measured(number(1.05), quantity(1, "litre"))}),
        ),
        ("gravity", lambda: propagate(plato_from_gravity, {"gravity": measured(2, 0.001)})),
        (
            "correlations",
            lambda: propagate(lambda a: a, {"a": measured(1, 0.1)}, correlations={("a", "b"): 0.5}),
        ),
        (
            "correlations",
            lambda: propagate(
                lambda a, b: a * b,
                {"a": measured(1, 0.1), "b": measured(1, 0.1)},
                correlations={("a", "b"): 1.5},
            ),
        ),
        ("uncertainty", lambda: rounded(measured(1, -1))),
    ],
)
def test_refusals_name_the_argument(argument: str, call: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == argument
