"""Colour against a colour science library and a second published fit."""

import warnings

import numpy as np
import pytest

from calc.colour import absorbance, malt_colour, predicted_colour, swatch
from calc.units import quantity
from tests.references.conftest import Agree

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour as colour_science


def outside_swatch(ebc: float, width_cm: float) -> np.ndarray:
    """Daylight through the beer, integrated every nanometre and encoded, all by colour-science."""
    observer = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    shape = colour_science.SpectralShape(380, 780, 1)
    through = colour_science.SpectralDistribution(
        {
            nm: 10.0 ** -absorbance(quantity(ebc, "ebc"), quantity(nm, "nm"), quantity(width_cm, "cm"))
            for nm in range(380, 781)
        }
    )
    xyz = colour_science.sd_to_XYZ(
        through,
        observer.align(shape),
        colour_science.SDS_ILLUMINANTS["D65"].copy().align(shape),
        method="Integration",
    )
    return np.clip(np.asarray(colour_science.XYZ_to_sRGB(xyz / 100.0)), 0.0, 1.0) * 255.0


@pytest.mark.parametrize(("ebc", "width_cm"), [(0, 5), (4, 5), (8, 6), (25, 3), (20, 6), (200, 2), (80, 6)])
def test_swatch(agree: Agree, ebc: float, width_cm: float) -> None:
    # Source: colour-science, CIE 1931 observer and D65 every nanometre. Tolerance: 2 of 255 for the step of
    # 10 nm, rounding and the white point; nobody sees that.
    ours = swatch(quantity(ebc, "ebc"), quantity(width_cm, "cm"))
    outside = outside_swatch(ebc, width_cm)
    for name, level, expected in zip(
        ("red", "green", "blue"), (ours.red, ours.green, ours.blue), outside, strict=True
    ):
        agree(
            f"swatch of {ebc} EBC through {width_cm} cm, {name}",
            level,
            float(expected),
            2.0,
            "colour-science, 1 nm integration, D65, sRGB",
        )


def test_definition_of_srm(agree: Agree) -> None:
    # Source: ASBC Beer-10: SRM is ten times the absorbance in a half-inch cell at 430 nm.
    ours = absorbance(quantity(10, "srm"), quantity(430, "nm"), quantity(0.5, "inch"))
    agree("absorbance of 10 SRM in half an inch", ours, 1.0, 0.001, "ASBC Beer-10, definition of SRM")


def test_red_end(agree: Agree) -> None:
    # Source: ASBC Beer-10-A: beer is free of turbidity if its absorbance at 700 nm is at most 0.039
    # times that at 430 nm. From memory. The mean spectrum must look clear by that, and only just.
    ratio = absorbance(quantity(10, "srm"), quantity(700, "nm"), quantity(1, "cm")) / absorbance(
        quantity(10, "srm"), quantity(430, "nm"), quantity(1, "cm")
    )
    agree(
        "absorbance at 700 to 430 nm", ratio, 0.039, 0.004, "ASBC Beer-10-A, limit of turbidity, from memory"
    )
    assert ratio < 0.039


@pytest.mark.parametrize("colour_units", [15.0, 20.0, 30.0])
def test_second_fit(agree: Agree, colour_units: float) -> None:
    # Source: R. Daniels, Designing Great Beers (1996): SRM = 0.2 MCU + 8.4, for MCU 11 to 38. From memory.
    # Tolerance: the two fits are to scattered beers.
    bill = [(quantity(10.0, "pound"), malt_colour(colour_units / 2.0))]
    ours = predicted_colour(bill, quantity(5.0, "gallon")).to("srm").magnitude
    agree(
        f"colour of the beer at {colour_units:.0f} lb degL/US gal",
        ours,
        0.2 * colour_units + 8.4,
        2.0,
        "R. Daniels, Designing Great Beers (1996), from memory",
        "SRM",
    )
