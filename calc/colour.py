"""Colour of the beer from the grain bill, and what that looks like in a glass.

A colour unit says how much light of 430 nm one centimetre takes away. The swatch needs all wavelengths:
it takes the mean absorbance spectrum of beers, which falls off towards red, and lets daylight through it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

_LB_PER_US_GAL_PER_KG_PER_L = 2.2046226 * 3.7854118
_EBC_PER_SRM = 1.97
# CIE XYZ of the white of sRGB (daylight D65) and the matrix to linear sRGB, IEC 61966-2-1.
_WHITE = (0.9505, 1.0, 1.089)
_TO_RGB = (
    (3.2406, -1.5372, -0.4986),
    (-0.9689, 1.8758, 0.0415),
    (0.0557, -0.2040, 1.0570),
)


@dataclass(frozen=True)
class Swatch:
    """A colour on a screen: sRGB from 0 to 255."""

    red: int
    green: int
    blue: int

    @property
    def code(self) -> str:
        """The six hexadecimal digits, as in ``#e8a317``.

        >>> Swatch(232, 163, 23).code
        '#e8a317'
        """
        return f"#{self.red:02x}{self.green:02x}{self.blue:02x}"


def malt_colour(lovibond: float) -> Quantity:
    """Return a malt's colour, in EBC, from degrees Lovibond on an American sheet.

    Args:
        lovibond: 0.6 to 800 degrees.

    Raises:
        OutOfRange: ``lovibond`` outside its range.

    Errors: 10 % above 100 degrees, where sheets differ in method.
    Source: SRM = 1.3546 L - 0.76, comparison of methods as printed on maltsters' sheets.

    >>> print(f"{malt_colour(60.0):.0f}")
    159 ebc
    """
    degrees = magnitude(quantity(lovibond, "dimensionless"), "dimensionless", "lovibond", 0.6, 800.0)
    return quantity(_EBC_PER_SRM * (1.3546 * degrees - 0.76), "ebc")


def predicted_colour(grain: Sequence[tuple[Quantity, Quantity]], volume: Quantity) -> Quantity:
    """Return the colour of the beer, in EBC, that a grain bill gives.

    Args:
        grain: pairs of mass (0 to 1000 kg) and malt colour (0 to 2200 EBC or the same in SRM).
        volume: finished wort, cold, 0.1 to 2000 litre.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: about 15 % from 5 to 80 EBC; above that the formula was not tried. Long boils darken more.
    Source: D. Morey's fit (1995): SRM = 1.4922 MCU^0.6859, MCU in lb degL / US gal.

    >>> bill = [(quantity(1.2, "kg"), quantity(6, "ebc")), (quantity(0.1, "kg"), quantity(120, "ebc"))]
    >>> print(f"{predicted_colour(bill, quantity(6, 'litre')):.0f}")
    15 ebc
    """
    volume_l = magnitude(volume, "litre", "volume", 0.1, 2000.0)
    colour_units = 0.0
    for mass, colour in grain:
        mass_kg = magnitude(mass, "kilogram", "grain", 0.0, 1000.0)
        malt_srm = magnitude(colour, "ebc", "grain", 0.0, 2200.0) / _EBC_PER_SRM
        colour_units += mass_kg * (malt_srm + 0.76) / 1.3546
    colour_units *= _LB_PER_US_GAL_PER_KG_PER_L / volume_l
    return quantity(_EBC_PER_SRM * 1.4922 * math.pow(colour_units, 0.6859), "ebc")


def absorbance(colour: Quantity, wavelength: Quantity, width: Quantity) -> float:
    """Return the decadic absorbance of beer at one wavelength, as an instrument shows it.

    Args:
        colour: 0 to 300 EBC or the same in SRM.
        wavelength: 380 to 780 nm.
        width: path of the light, 0.1 mm to 30 cm.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: 5 % between beers for pale and amber ones; fruit and caramel colouring do not follow it.
    Source: ASBC Beer-10: SRM is 12.7 times the absorbance of 1 cm at 430 nm; mean beer spectrum: A. J.
    deLange, Journal of the ASBC 66 (2008) 143, coefficients from memory.

    >>> print(f"{absorbance(quantity(12.7, 'srm'), quantity(430, 'nm'), quantity(1, 'cm')):.3f}")
    1.000
    """
    return _absorbance(
        magnitude(colour, "ebc", "colour", 0.0, 300.0) / _EBC_PER_SRM,
        magnitude(wavelength, "nm", "wavelength", 380.0, 780.0),
        magnitude(width, "cm", "width", 0.01, 30.0),
    )


def _absorbance(colour_srm: float, wavelength_nm: float, width_cm: float) -> float:
    above_nm = wavelength_nm - 430.0
    shape = 0.02465 * math.exp(-above_nm / 17.591) + 0.97535 * math.exp(-above_nm / 82.122)
    return colour_srm / 12.7 * width_cm * shape


@cache
def _observer() -> tuple[tuple[float, float, float, float], ...]:
    """Wavelength in nm and daylight times each colour matching function, scaled so that clear is white."""
    data = read_table("observer")
    light = data["daylight"]
    columns = []
    for name, white in zip("xyz", _WHITE, strict=True):
        weights = [sensitivity * power for sensitivity, power in zip(data[name], light, strict=True)]
        columns.append([white * weight / sum(weights) for weight in weights])
    wavelengths_nm = [data["first_nm"] + data["step_nm"] * i for i in range(len(light))]
    return tuple(zip(wavelengths_nm, *columns, strict=True))


def swatch(colour: Quantity, width: Quantity) -> Swatch:
    """Return the colour on a screen of clear beer in daylight, seen through a glass.

    Args:
        colour: 0 to 300 EBC or the same in SRM.
        width: of the glass where the light goes through, 0.1 mm to 30 cm.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: deep reds lie outside what a screen can show and are cut; haze makes beer paler than this.
    Source: Beer-Lambert law with :func:`absorbance`; CIE 1931 observer, D65; sRGB after IEC 61966-2-1.

    >>> swatch(quantity(20, "ebc"), quantity(6, "cm")).code
    '#ab4800'
    """
    colour_srm = magnitude(colour, "ebc", "colour", 0.0, 300.0) / _EBC_PER_SRM
    width_cm = magnitude(width, "cm", "width", 0.01, 30.0)
    x = y = z = 0.0
    for wavelength_nm, weight_x, weight_y, weight_z in _observer():
        through = math.pow(10.0, -_absorbance(colour_srm, wavelength_nm, width_cm))
        x += weight_x * through
        y += weight_y * through
        z += weight_z * through
    red, green, blue = (_screen_level(a * x + b * y + c * z) for a, b, c in _TO_RGB)
    return Swatch(red, green, blue)


def _screen_level(linear: float) -> int:
    """Transfer function of sRGB, cut to what a screen can show."""
    cut = min(max(linear, 0.0), 1.0)
    level = 12.92 * cut if cut <= 0.0031308 else 1.055 * math.pow(cut, 1.0 / 2.4) - 0.055
    return round(255.0 * level)
