"""Colour: more malt is darker, a wider glass is darker, and the screen stays in its range."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.colour import malt_colour, predicted_colour, swatch
from calc.errors import OutOfRange
from calc.units import quantity


@given(st.floats(0.1, 20.0), st.floats(0.1, 5.0), st.floats(2.0, 1200.0), st.floats(2.0, 50.0))
def test_more_malt_is_darker_and_more_water_paler(kg: float, more: float, ebc: float, litre: float) -> None:
    malt, volume = quantity(ebc, "ebc"), quantity(litre, "litre")
    here = predicted_colour([(quantity(kg, "kg"), malt)], volume).magnitude
    assert (
        predicted_colour([(quantity(kg, "kg"), malt), (quantity(more, "kg"), malt)], volume).magnitude > here
    )
    assert predicted_colour([(quantity(kg, "kg"), malt)], quantity(2.0 * litre, "litre")).magnitude < here


@given(st.floats(0.0, 290.0), st.floats(0.5, 15.0), st.floats(0.1, 10.0))
def test_swatch_darkens_with_colour_and_width(ebc: float, width_cm: float, more: float) -> None:
    here = swatch(quantity(ebc, "ebc"), quantity(width_cm, "cm"))
    for darker in (
        swatch(quantity(ebc + more, "ebc"), quantity(width_cm, "cm")),
        swatch(quantity(ebc, "ebc"), quantity(width_cm + more, "cm")),
    ):
        assert 0 <= darker.blue <= here.blue <= 255
        assert 0 <= darker.green <= here.green <= 255
        # A screen cuts the red of amber beer at full brightness, so only "not brighter" holds.
        assert 0 <= darker.red <= here.red <= 255
    assert len(here.code) == 7


def test_beer_lambert_law_holds() -> None:
    assert swatch(quantity(10, "ebc"), quantity(6, "cm")) == swatch(quantity(20, "ebc"), quantity(3, "cm"))
    assert swatch(quantity(0, "ebc"), quantity(6, "cm")).code == "#ffffff"


def test_units_and_ranges() -> None:
    assert swatch(quantity(10, "srm"), quantity(6, "cm")) == swatch(quantity(19.7, "ebc"), quantity(6, "cm"))
    with pytest.raises(OutOfRange, match="colour"):
        swatch(quantity(500, "ebc"), quantity(6, "cm"))
    with pytest.raises(OutOfRange, match="lovibond"):
        malt_colour(-1.0)
    assert predicted_colour([], quantity(5, "litre")).magnitude == 0.0
