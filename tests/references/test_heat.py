"""Heat balances against handbooks and the steam tables."""

import chemicals
import pytest
from CoolProp.CoolProp import PropsSI

from calc.cold_bath import settled_temperature
from calc.heat import heating_efficiency, strike_temperature, time_to_heat, water_to_correct_mash
from calc.partial_mash import joined_temperature
from calc.tables import read_table
from calc.units import quantity
from tests.references.conftest import Agree

ATMOSPHERE_PA = 101325.0


def enthalpy_kj_per_kg(celsius: float) -> float:
    return float(PropsSI("H", "T", celsius + 273.15, "P", ATMOSPHERE_PA, "Water")) / 1000.0


def water_kg(litre: float) -> float:
    return litre * float(PropsSI("D", "T", 293.15, "P", ATMOSPHERE_PA, "Water")) / 1000.0


def test_strike_us_handbook(agree: Agree) -> None:
    # Source: J. Palmer, How to Brew: Tw = (0.2 / r)(T2 - T1) + T2; 2 qt/lb, 70 to 152 degF gives 160.2.
    # Tolerance: 0.2 is printed with one digit, so that 8.2 degF is good to 5 %.
    strike = strike_temperature(
        quantity(20, "quart"), quantity(10, "pound"), quantity(70, "degF"), quantity(152, "degF")
    )
    agree(
        "strike temperature, 2 qt/lb from 70 to 152 degF",
        strike.to("degF").magnitude,
        160.2,
        0.4,
        "J. Palmer, How to Brew, strike water example",
        "degF",
    )


@pytest.mark.parametrize(("ratio", "mash_c"), [(2.5, 66.0), (4.0, 67.0), (5.77, 68.0)])
def test_strike_metric_handbook(agree: Agree, ratio: float, mash_c: float) -> None:
    # Source: J. Palmer, How to Brew, metric form: Tw = (0.41 / r)(T2 - T1) + T2.
    # Tolerance: 0.41 is printed with two digits, a litre is taken as a kilogram.
    strike = strike_temperature(
        quantity(ratio, "litre"), quantity(1, "kg"), quantity(20, "degC"), quantity(mash_c, "degC")
    )
    agree(
        f"strike temperature, {ratio} l/kg for {mash_c:.0f} degC",
        strike.magnitude,
        0.41 / ratio * (mash_c - 20.0) + mash_c,
        0.1,
        "J. Palmer, How to Brew, metric strike formula",
        "degC",
    )


def test_strike_enthalpy(agree: Agree) -> None:
    # Source: enthalpy of water, IAPWS-95 by CoolProp. The heat that the water gives must be what grain takes.
    strike_c = strike_temperature(
        quantity(7.5, "litre"), quantity(1.3, "kg"), quantity(20, "degC"), quantity(67, "degC")
    ).magnitude
    given_kj = water_kg(7.5) * (enthalpy_kj_per_kg(strike_c) - enthalpy_kj_per_kg(67.0))
    agree(
        "heat from 7.5 l of strike water to 1.3 kg of malt at 1.7 kJ/(kg K)",
        1.3 * 1.7 * (67.0 - 20.0),
        given_kj,
        0.5,
        "enthalpy of water, IAPWS-95 by CoolProp",
        "kJ",
    )


@pytest.mark.parametrize(("from_c", "to_c"), [(15.0, 70.0), (67.0, 99.0)])
def test_time_to_heat(agree: Agree, from_c: float, to_c: float) -> None:
    # Source: IAPWS-95 by CoolProp. Tolerance 0.5 %: the heat capacity is taken as constant.
    minutes = time_to_heat(
        quantity(6, "litre"), quantity(from_c, "degC"), quantity(to_c, "degC"), quantity(2, "kW"), 0.7
    ).magnitude
    outside = water_kg(6.0) * (enthalpy_kj_per_kg(to_c) - enthalpy_kj_per_kg(from_c)) / 1.4 / 60.0
    agree(
        f"minutes for 6 l from {from_c:.0f} to {to_c:.0f} degC with 1.4 kW net",
        minutes,
        outside,
        0.005 * outside,
        "enthalpy of water, IAPWS-95 by CoolProp",
        "min",
    )
    assert heating_efficiency(
        quantity(6, "litre"),
        quantity(from_c, "degC"),
        quantity(to_c, "degC"),
        quantity(2, "kW"),
        quantity(outside, "minute"),
    ) == pytest.approx(0.7, rel=0.005)


@pytest.mark.parametrize(("now_c", "target_c", "addition_c"), [(63.0, 67.0, 100.0), (71.0, 67.0, 12.0)])
def test_water_to_correct(agree: Agree, now_c: float, target_c: float, addition_c: float) -> None:
    # Source: IAPWS-95 by CoolProp; the boiling water is liquid at 99.97 degC and 1 atm.
    litre = water_to_correct_mash(
        quantity(7.5, "litre"),
        quantity(1.3, "kg"),
        quantity(now_c, "degC"),
        quantity(target_c, "degC"),
        quantity(addition_c, "degC"),
    ).magnitude
    target_kj_per_kg = enthalpy_kj_per_kg(target_c)
    mash_kj = water_kg(7.5) * (target_kj_per_kg - enthalpy_kj_per_kg(now_c)) + 1.3 * 1.7 * (target_c - now_c)
    outside = mash_kj / (enthalpy_kj_per_kg(min(addition_c, 99.97)) - target_kj_per_kg) / water_kg(1.0)
    agree(
        f"water of {addition_c:.0f} degC to bring 7.5 l and 1.3 kg from {now_c:.0f} to {target_c:.0f} degC",
        litre,
        outside,
        0.01 * outside,
        "enthalpy of water, IAPWS-95 by CoolProp",
        "l",
    )


def test_joined_water(agree: Agree) -> None:
    # Source: IAPWS-95 by CoolProp: enthalpy of 4 l at 67 and 4 l at 90 degC, found back as a temperature.
    joined = joined_temperature(
        quantity(4, "litre"),
        quantity(0, "kg"),
        quantity(67, "degC"),
        quantity(4, "litre"),
        quantity(90, "degC"),
    ).magnitude
    mean_j_per_kg = 500.0 * (enthalpy_kj_per_kg(67.0) + enthalpy_kj_per_kg(90.0))
    outside = float(PropsSI("T", "H", mean_j_per_kg, "P", ATMOSPHERE_PA, "Water")) - 273.15
    agree("4 l at 67 and 4 l at 90 degC", joined, outside, 0.05, "IAPWS-95 by CoolProp", "degC")


def test_ice_in_the_bath(agree: Agree) -> None:
    # Source: heat of fusion of ice 333.55 kJ/kg (chemicals library, Hfus of water) and IAPWS-95.
    fusion_kj_per_kg = chemicals.Hfus("7732-18-5") / 18.015
    outside_k = fusion_kj_per_kg / (enthalpy_kj_per_kg(30.0) / 30.0)
    settled = settled_temperature(
        quantity(4, "litre"), quantity(80, "degC"), quantity(1, "litre"), quantity(-80, "degC")
    ).magnitude
    agree(
        "4 l at 80 degC with 1 kg of melting ice",
        settled,
        (4.0 * 80.0 - outside_k) / 5.0,
        0.3,
        "heat of fusion, chemicals library; IAPWS-95 by CoolProp",
        "degC",
    )


def test_specific_heats(agree: Agree) -> None:
    materials = read_table("heat_capacity")["material"]
    # Source: IAPWS-95 by CoolProp, mean from 20 to 100 degC. Tolerance 0.3 %.
    agree(
        "specific heat of water",
        materials["water"]["kilojoule_per_kg_kelvin"],
        (enthalpy_kj_per_kg(99.9) - enthalpy_kj_per_kg(20.0)) / 79.9,
        0.013,
        "enthalpy of water, IAPWS-95 by CoolProp",
        "kJ/(kg K)",
    )
    # Source: CRC Handbook, standard heat capacity of aluminium, by the chemicals library.
    agree(
        "specific heat of aluminium",
        materials["aluminium"]["kilojoule_per_kg_kelvin"],
        chemicals.heat_capacity.CRC_standard_data.at["7429-90-5", "Cps"] / 26.982,
        0.01,
        "CRC Handbook by the chemicals library",
        "kJ/(kg K)",
    )
