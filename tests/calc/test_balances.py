from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.balances import (
    Wort,
    additions_to_reach,
    gravity_after_boiling_down,
    gravity_after_dilution,
    mix,
    points_error,
    sugar_to_reach_gravity,
    water_to_reach_gravity,
    water_to_reach_volume,
)
from calc.density import extract_mass, water_density
from calc.errors import OutOfRange
from calc.units import Quantity, quantity

VOLUMES = st.floats(0.5, 60)
GRAVITIES = st.floats(1.005, 1.120)
WATER_KG_L = water_density(quantity(20, "degC")).m_as("kg/litre")


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def litre(value: float) -> Quantity:
    return quantity(value, "litre")


def extract_kg(volume: Quantity, gravity: Quantity) -> float:
    return float(extract_mass(volume, gravity).m_as("kg"))


def total_kg(wort: Wort) -> float:
    return float(wort.volume.m_as("litre") * wort.gravity.magnitude * WATER_KG_L)


@given(st.lists(st.tuples(VOLUMES, st.floats(1.0, 1.120)), min_size=1, max_size=5))
def test_mixing_keeps_extract_and_mass(parts: list[tuple[float, float]]) -> None:
    worts = [Wort(litre(volume), sg(gravity)) for volume, gravity in parts]
    mixed = mix(worts)
    assert extract_kg(*mixed) == pytest.approx(sum(extract_kg(*wort) for wort in worts), abs=1e-9)
    assert total_kg(mixed) == pytest.approx(sum(total_kg(wort) for wort in worts))
    gravities = [gravity for _, gravity in parts]
    assert min(gravities) - 1e-9 <= mixed.gravity.magnitude <= max(gravities) + 1e-9


@given(VOLUMES, GRAVITIES, st.floats(0, 30))
def test_topping_up_is_mixing_with_water(volume: float, gravity: float, water: float) -> None:
    topped = gravity_after_dilution(litre(volume), sg(gravity), litre(water))
    mixed = mix([(litre(volume), sg(gravity)), (litre(water), sg(1.0))])
    assert topped.magnitude == pytest.approx(mixed.gravity.magnitude, abs=1e-9)
    assert topped.magnitude <= gravity + 1e-12


@given(VOLUMES, GRAVITIES, GRAVITIES)
def test_water_to_a_gravity_reaches_it(volume: float, gravity: float, target: float) -> None:
    water = water_to_reach_gravity(litre(volume), sg(gravity), sg(target))
    assert (water.magnitude >= -1e-9) == (target <= gravity + 1e-12)
    if water.magnitude >= 0:
        reached = gravity_after_dilution(litre(volume), sg(gravity), water)
    else:
        # Boiling off so much water must be undone by adding it to wort of the target gravity.
        left_kg = volume * gravity * WATER_KG_L + water.magnitude * WATER_KG_L
        back = gravity_after_dilution(litre(left_kg / target / WATER_KG_L), sg(target), -water)
        assert back.magnitude == pytest.approx(gravity, abs=1e-7)
        return
    assert reached.magnitude == pytest.approx(target, abs=1e-9)


@given(VOLUMES, GRAVITIES, st.floats(0.6, 1.0))
def test_boiling_down_keeps_the_extract(volume: float, gravity: float, share: float) -> None:
    final = litre(volume * share)
    after = gravity_after_boiling_down(litre(volume), sg(gravity), final)
    assert extract_kg(final, after) == pytest.approx(extract_kg(litre(volume), sg(gravity)))
    assert after.magnitude >= gravity - 1e-12


@given(VOLUMES, GRAVITIES, st.floats(0.6, 2.0))
def test_water_to_a_volume_reaches_it(volume: float, gravity: float, share: float) -> None:
    target = litre(volume * share)
    water = water_to_reach_volume(litre(volume), target, sg(gravity))
    plain = water_to_reach_volume(litre(volume), target)
    assert plain.m_as("litre") == pytest.approx(volume * (share - 1), abs=1e-6)
    assert water.m_as("litre") == pytest.approx(plain.m_as("litre"), abs=0.01 * volume)
    if water.magnitude >= 0:
        mixed = mix([(litre(volume), sg(gravity)), (water, sg(1.0))])
        assert mixed.volume.m_as("litre") == pytest.approx(target.magnitude)


def test_above_the_target_volume_the_answer_is_negative() -> None:
    assert water_to_reach_volume(litre(6), litre(5)).m_as("litre") == pytest.approx(-1)
    assert water_to_reach_volume(litre(6), litre(0)).m_as("litre") == -6


@given(VOLUMES, GRAVITIES, st.floats(0, 0.05), st.floats(0.5, 1))
def test_sugar_adds_its_own_extract(volume: float, gravity: float, more: float, strength: float) -> None:
    target = sg(gravity + more)
    grams = sugar_to_reach_gravity(litre(volume), sg(gravity), target, strength).m_as("gram")
    assert grams >= -1e-6
    now_kg = volume * gravity * WATER_KG_L
    after_kg = now_kg + grams / 1000
    after_l = after_kg / (target.magnitude * WATER_KG_L)
    gained_kg = extract_kg(litre(after_l), target) - extract_kg(litre(volume), sg(gravity))
    assert gained_kg == pytest.approx(strength * grams / 1000, abs=1e-6)


@given(VOLUMES, GRAVITIES, st.floats(0.7, 1.5), GRAVITIES, st.floats(0.7, 1))
def test_both_at_once_reaches_both(
    volume: float, gravity: float, share: float, target: float, strength: float
) -> None:
    wanted = Wort(litre(volume * share), sg(target))
    missing_kg = extract_kg(*wanted) - extract_kg(litre(volume), sg(gravity))
    assume(abs(missing_kg) > 1e-6)
    if missing_kg < 0:
        with pytest.raises(OutOfRange):
            additions_to_reach(litre(volume), sg(gravity), *wanted, strength)
        return
    additions = additions_to_reach(litre(volume), sg(gravity), *wanted, strength)
    sugar_kg = additions.sugar.m_as("kg")
    assert sugar_kg * strength == pytest.approx(missing_kg)
    weighed = volume * gravity * WATER_KG_L + sugar_kg + additions.water.m_as("litre") * WATER_KG_L
    assert weighed == pytest.approx(total_kg(wanted))


def test_a_wort_on_target_needs_nothing() -> None:
    additions = additions_to_reach(litre(5), sg(1.05), litre(5), sg(1.05))
    assert additions.water.m_as("litre") == pytest.approx(0, abs=1e-9)
    assert additions.sugar.m_as("gram") == pytest.approx(0, abs=1e-6)


@given(VOLUMES, GRAVITIES, st.floats(1.1, 4))
def test_points_read_low_after_topping_up(volume: float, gravity: float, share: float) -> None:
    error = points_error(litre(volume), sg(gravity), litre(volume * share)).magnitude
    assert -0.002 < error < 1e-7


@given(VOLUMES, GRAVITIES)
def test_points_are_right_when_nothing_changes(volume: float, gravity: float) -> None:
    assert points_error(litre(volume), sg(gravity), litre(volume)).magnitude == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("volume", lambda: gravity_after_dilution(litre(0), sg(1.05), litre(1))),
        ("added_water", lambda: gravity_after_dilution(litre(5), sg(1.05), litre(-1))),
        ("target_gravity", lambda: water_to_reach_gravity(litre(5), sg(1.05), sg(1.0))),
        ("gravity", lambda: water_to_reach_gravity(litre(5), sg(1.0), sg(1.05))),
        ("final_volume", lambda: gravity_after_boiling_down(litre(6), sg(1.05), litre(0))),
        ("final_volume", lambda: gravity_after_boiling_down(litre(6), sg(1.05), litre(0.2))),
        ("target_volume", lambda: water_to_reach_volume(litre(6), litre(0.2), sg(1.05))),
        ("target_gravity", lambda: sugar_to_reach_gravity(litre(5), sg(1.05), sg(1.04))),
        ("extract_fraction", lambda: sugar_to_reach_gravity(litre(5), sg(1.05), sg(1.09), 0.15)),
        ("extract_fraction", lambda: sugar_to_reach_gravity(litre(5), sg(1.05), sg(1.09), 1.5)),
        ("target_gravity", lambda: additions_to_reach(litre(5), sg(1.05), litre(5), sg(1.04))),
        ("parts", lambda: mix([])),
        ("volume", lambda: water_to_reach_gravity(quantity(5, "kg"), sg(1.05), sg(1.04))),
    ],
)
def test_refusals_name_the_argument(argument: str, call: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == argument
