"""Table and kinetics: monotonicity, additivity, and the repair of an addition at the wrong time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import isomerisation
from calc.bitterness import bitterness, utilisation
from calc.errors import OutOfRange
from calc.history import History
from calc.isomerisation import isomerised, late_addition
from calc.units import quantity

HOPS = quantity(12, "gram")
ALPHA = quantity(6, "percent")
VOLUME = quantity(6, "litre")
tenths_of_a_minute = st.integers(0, 1200).map(lambda tenths: tenths / 10.0)
gravities = st.floats(1.0, 1.15)
BOIL = quantity(100, "degC")


@given(st.floats(0.0, 230.0), st.floats(0.1, 10.0), gravities, st.floats(0.001, 0.05))
def test_utilisation_rises_with_time_and_falls_with_gravity(
    minutes: float, more: float, gravity: float, stronger: float
) -> None:
    here = utilisation(quantity(minutes, "minute"), gravity)
    assert 0.0 <= here < 0.4
    assert utilisation(quantity(minutes + more, "minute"), gravity) > here
    assert utilisation(quantity(minutes + more, "minute"), gravity + stronger) < utilisation(
        quantity(minutes + more, "minute"), gravity
    )


@given(st.floats(0.0, 500.0), st.floats(0.0, 0.25), st.floats(0.0, 120.0), gravities, st.floats(1.0, 50.0))
def test_bitterness_scales(gram: float, alpha: float, minutes: float, gravity: float, litre: float) -> None:
    duration, volume = quantity(minutes, "minute"), quantity(litre, "litre")
    once = bitterness(quantity(gram, "gram"), alpha, duration, gravity, volume).magnitude
    twice = bitterness(quantity(2.0 * gram, "gram"), alpha, duration, gravity, volume).magnitude
    assert twice == pytest.approx(2.0 * once)
    percent = bitterness(
        quantity(gram, "gram"), quantity(100.0 * alpha, "percent"), duration, gravity, volume
    )
    assert percent.magnitude == pytest.approx(once)


@given(tenths_of_a_minute, tenths_of_a_minute, gravities)
def test_repair_gives_back_the_plan(planned: float, actual: float, gravity: float) -> None:
    result = late_addition(
        HOPS, ALPHA, quantity(planned, "minute"), quantity(actual, "minute"), gravity, VOLUME
    )
    if actual >= planned:
        assert result.extra_mass is not None
        assert result.extra_mass.magnitude == 0.0
        assert result.extra_time.magnitude == 0.0
        return
    assert result.bitterness_now < result.bitterness_planned
    longer = History.boiling(quantity(actual, "minute") + result.extra_time, BOIL)
    by_time = isomerisation.bitterness(HOPS, ALPHA, longer, gravity, VOLUME)
    assert by_time.magnitude == pytest.approx(result.bitterness_planned.magnitude, abs=1e-9)
    boil = History.boiling(quantity(actual, "minute"), BOIL)
    if result.extra_mass is None:
        # Twenty times as much again would not be enough, and nobody should try.
        most = isomerisation.bitterness(21.0 * HOPS, ALPHA, boil, gravity, VOLUME)
        assert most <= result.bitterness_planned
        return
    by_mass = isomerisation.bitterness(HOPS + result.extra_mass, ALPHA, boil, gravity, VOLUME)
    assert by_mass.magnitude == pytest.approx(result.bitterness_planned.magnitude, rel=1e-6)


def test_late_addition_with_a_steep() -> None:
    steep = History.starting_at(BOIL).cooling(
        quantity(20, "degC"), quantity(90, "minute"), quantity(20, "minute")
    )
    args = (HOPS, ALPHA, quantity(15, "minute"), quantity(0, "minute"), 1.050, VOLUME)
    bare, steeped = late_addition(*args), late_addition(*args, steep=steep)
    assert bare.extra_mass is None
    assert steeped.extra_mass is not None
    whole = History.boiling(quantity(15, "minute"), BOIL).then(steep)
    planned = isomerisation.bitterness(HOPS, ALPHA, whole, 1.050, VOLUME)
    assert steeped.bitterness_planned.magnitude == pytest.approx(planned.magnitude)
    only_steep = isomerisation.bitterness(HOPS + steeped.extra_mass, ALPHA, steep, 1.050, VOLUME)
    assert only_steep.magnitude == pytest.approx(planned.magnitude)


@given(st.floats(0.0, 100.0), st.floats(0.1, 30.0), st.floats(60.0, 100.0))
def test_up_to_two_hours_longer_is_more_bitter(minutes: float, more: float, celsius: float) -> None:
    here = isomerised(History.boiling(quantity(minutes, "minute"), quantity(celsius, "degC")))
    there = isomerised(History.boiling(quantity(minutes + more, "minute"), quantity(celsius, "degC")))
    assert 0.0 <= here < there < 1.0


def test_first_wort_part_boil_and_quick_chill() -> None:
    plain = History.boiling(quantity(60, "minute"), BOIL)
    first_wort = (
        History.starting_at(quantity(68, "degC"))
        .heating(BOIL, quantity(25, "minute"))
        .holding(quantity(60, "minute"))
    )
    assert isomerised(first_wort) > isomerised(plain)
    # A part boil is stronger while it boils, so the same hops in the same finished volume give less.
    whole = isomerisation.bitterness(HOPS, ALPHA, plain, 1.040, VOLUME)
    part = isomerisation.bitterness(HOPS, ALPHA, plain, 1.080, VOLUME)
    assert part < whole
    hot = History.starting_at(quantity(98, "degC"))
    slow = hot.cooling(quantity(20, "degC"), quantity(90, "minute"), quantity(30, "minute"))
    quick = hot.cooling(quantity(12, "degC"), quantity(8, "minute"), quantity(30, "minute"))
    assert isomerised(quick) < 0.3 * isomerised(slow)


@given(st.lists(st.tuples(st.floats(0.1, 60.0), st.floats(0.0, 100.0)), min_size=1, max_size=5))
def test_any_history_conserves_what_is_there(legs: list[tuple[float, float]]) -> None:
    history = History.starting_at(quantity(68, "degC"))
    for minutes, celsius in legs:
        history = history.heating(quantity(celsius, "degC"), quantity(minutes, "minute"))
    assert sum(minutes for _, minutes in history.steps()) == pytest.approx(history.duration.magnitude)
    assert 0.0 <= isomerised(history) <= 0.7


def test_readings_make_a_history() -> None:
    seen = [(quantity(0, "minute"), quantity(98, "degC")), (quantity(20, "minute"), quantity(85, "degC"))]
    history = History.from_readings(seen)
    straight = History.starting_at(quantity(98, "degC")).heating(quantity(85, "degC"), quantity(20, "minute"))
    assert history == straight
    with pytest.raises(OutOfRange, match="readings"):
        History.from_readings(seen[::-1])
    with pytest.raises(OutOfRange, match="readings"):
        History.from_readings([])


@pytest.mark.parametrize(
    ("argument", "alpha", "minutes", "gravity", "litre"),
    [
        ("alpha_acids", 6.0, 60.0, 1.05, 6.0),
        ("duration", 0.06, -1.0, 1.05, 6.0),
        ("gravity", 0.06, 60.0, 1050.0, 6.0),
        ("volume", 0.06, 60.0, 1.05, 0.0),
    ],
)
def test_errors_name_the_argument(
    argument: str, alpha: float, minutes: float, gravity: float, litre: float
) -> None:
    with pytest.raises(OutOfRange) as caught:
        bitterness(HOPS, alpha, quantity(minutes, "minute"), gravity, quantity(litre, "litre"))
    assert caught.value.argument == argument
