"""Water: ions are conserved, charges balance, and acid and alkalinity cancel."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.dechlorination import reductant_for
from calc.errors import OutOfRange
from calc.mash_acidity import Grain, mash_acidity
from calc.tables import read_table
from calc.units import quantity
from calc.water import (
    IONS,
    LOW_MINERAL,
    Water,
    acid_for,
    acid_mass,
    acid_strength,
    alkalinity,
    blend,
    dilution_for,
    from_hardness_unit,
    in_hardness_unit,
    ion_balance,
    ions_of_salt,
    residual_alkalinity,
    salt_for,
    with_acid,
    with_salt,
)

salts = st.sampled_from(sorted(read_table("water_salts")["salt"]))
acids = st.sampled_from(sorted(read_table("water_salts")["acid"]))
milligrams = st.floats(0.0, 500.0)
waters = st.builds(
    lambda *values: Water(**{ion: quantity(v, "mg/l") for ion, v in zip(IONS, values, strict=True)}),
    *[milligrams] * 6,
)
litres = st.floats(1.0, 40.0)
TEN = quantity(10, "litre")


@given(salts, st.floats(0.0, 20.0), litres)
def test_every_salt_is_neutral(salt: str, gram: float, litre: float) -> None:
    water = ions_of_salt(salt, quantity(gram, "gram"), quantity(litre, "litre"))
    # The molar masses are rounded, so the charges meet to a part in ten thousand.
    assert ion_balance(water).magnitude == pytest.approx(0.0, abs=1e-4 * gram / litre * 1000.0 + 1e-12)


@given(waters, waters, litres, litres)
def test_blending_conserves_every_ion(one: Water, other: Water, first: float, second: float) -> None:
    mixed = blend([(one, quantity(first, "litre")), (other, quantity(second, "litre"))])
    for ion in IONS:
        there = getattr(one, ion).magnitude * first + getattr(other, ion).magnitude * second
        assert getattr(mixed, ion).magnitude * (first + second) == pytest.approx(there)
    sum_ra = residual_alkalinity(one).magnitude * first + residual_alkalinity(other).magnitude * second
    assert residual_alkalinity(mixed).magnitude * (first + second) == pytest.approx(sum_ra, abs=1e-9)


@given(waters, st.floats(0.0, 300.0), litres)
def test_salt_for_reaches_the_target(water: Water, more: float, litre: float) -> None:
    target = quantity(water.calcium.magnitude + more, "mg/l")
    gram = salt_for(water, "gypsum", "calcium", target, quantity(litre, "litre"))
    done = with_salt(water, "gypsum", gram, quantity(litre, "litre"))
    assert done.calcium.magnitude == pytest.approx(target.magnitude)
    assert done.sulphate.magnitude >= water.sulphate.magnitude


@given(waters, acids, st.floats(0.0, 10.0), litres)
def test_acid_for_reaches_the_target(water: Water, acid: str, less: float, litre: float) -> None:
    target = residual_alkalinity(water) - quantity(less, "mmol/l")
    gram = acid_for(water, acid, target, quantity(litre, "litre"))
    done = with_acid(water, acid, gram, quantity(litre, "litre"))
    assert residual_alkalinity(done).magnitude == pytest.approx(target.magnitude, abs=1e-9)
    assert alkalinity(done) <= alkalinity(water)


@given(acids, st.floats(3.0, 8.9), st.floats(0.01, 0.1))
def test_acid_gives_more_at_higher_ph(acid: str, ph: float, more: float) -> None:
    assert 0.0 < acid_strength(acid, ph).magnitude < acid_strength(acid, ph + more).magnitude


def test_acid_by_the_millilitre() -> None:
    # By hand: 2 ml of 80 % lactic acid of 1.19 kg/l hold 1.904 g, which is 21.1 mmol of acid.
    moles = acid_mass("lactic acid 80 %", quantity(2, "ml")).magnitude * 0.80 / 90.08 * 1000.0
    assert moles == pytest.approx(21.14, abs=0.01)


@given(st.floats(-100.0, 1000.0), st.sampled_from(["mmol/l", "mg/l CaCO3", "German degree", "French degree"]))
def test_hardness_units_round_trip(number: float, unit: str) -> None:
    assert in_hardness_unit(from_hardness_unit(number, unit), unit) == pytest.approx(number)


@given(st.floats(0.1, 20.0), st.floats(0.0, 1.0))
def test_dilution_reaches_the_target(there: float, share: float) -> None:
    target = there * share
    pure = dilution_for(quantity(there, "mmol/l"), quantity(target, "mmol/l"))
    assert 0.0 <= pure <= 1.0
    assert there * (1.0 - pure) == pytest.approx(target, abs=1e-12)


@given(waters, st.floats(0.0, 8.0))
def test_acid_lowers_the_mash_and_bicarbonate_raises_it(water: Water, litre: float) -> None:
    bill = [Grain(quantity(2, "kg"), "base"), Grain(quantity(0.1, "kg"), "caramel", quantity(120, "ebc"))]
    volume = quantity(litre, "litre")
    plain = mash_acidity(bill, water, volume)
    sour = mash_acidity(bill, with_acid(water, "lactic acid 80 %", quantity(1, "gram"), TEN), volume)
    hard = mash_acidity(bill, with_salt(water, "baking soda", quantity(1, "gram"), TEN), volume)
    assert sour.ph <= plain.ph <= hard.ph
    assert plain.uncertainty >= 0.15
    assert 4.0 < plain.ph < 8.0


def test_dark_and_sour_grain_lower_the_mash() -> None:
    def ph(kind: str, ebc: float) -> float:
        bill = [Grain(quantity(2, "kg"), "base"), Grain(quantity(0.2, "kg"), kind, quantity(ebc, "ebc"))]
        return mash_acidity(bill, LOW_MINERAL, quantity(8, "litre")).ph

    assert ph("acidulated", 4) < ph("roasted", 1000) < ph("caramel", 300) < ph("caramel", 20) < ph("base", 4)
    # Darker than any such malt counts as the darkest.
    assert ph("kilned", 800) == ph("kilned", 600)


@given(st.floats(0.0, 5.0), litres, st.floats(1.0, 3.0))
def test_dechlorination_is_linear(chlorine: float, litre: float, excess: float) -> None:
    dose = reductant_for(
        quantity(chlorine, "mg/l"), quantity(litre, "litre"), "potassium metabisulphite", excess
    ).magnitude
    unit = reductant_for(quantity(1, "mg/l"), quantity(1, "litre"), "potassium metabisulphite", 1.0).magnitude
    assert dose == pytest.approx(chlorine * litre * excess * unit)


def test_errors_name_the_argument() -> None:
    gram, litre = quantity(1, "gram"), quantity(5, "litre")
    with pytest.raises(OutOfRange, match="salt"):
        ions_of_salt("road grit", gram, litre)
    with pytest.raises(OutOfRange, match="salt"):
        salt_for(LOW_MINERAL, "gypsum", "sodium", quantity(10, "mg/l"), litre)
    with pytest.raises(OutOfRange, match="ion"):
        salt_for(LOW_MINERAL, "gypsum", "lead", quantity(10, "mg/l"), litre)
    with pytest.raises(OutOfRange, match="target"):
        salt_for(Water(calcium=quantity(90, "mg/l")), "gypsum", "calcium", quantity(50, "mg/l"), litre)
    with pytest.raises(OutOfRange, match="acid"):
        acid_strength("vinegar")
    with pytest.raises(OutOfRange, match="unit"):
        in_hardness_unit(quantity(1, "mmol/l"), "pinch")
    with pytest.raises(OutOfRange, match="parts"):
        blend([(LOW_MINERAL, quantity(0, "litre"))])
    with pytest.raises(OutOfRange, match="grain"):
        mash_acidity([], LOW_MINERAL, litre)
    with pytest.raises(OutOfRange, match="grain"):
        mash_acidity([Grain(quantity(1, "kg"), "sawdust")], LOW_MINERAL, litre)
    with pytest.raises(OutOfRange, match="reductant"):
        reductant_for(quantity(1, "mg/l"), litre, "hope")
