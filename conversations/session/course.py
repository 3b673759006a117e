"""Where a brew is heading by what was measured, and what each way of putting it right would lead to. Pure numbers."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import NamedTuple

from calc import bitterness as table
from calc.alcohol import alcohol_by_volume, gravity_at_attenuation
from calc.errors import OutOfRange
from calc.extract import efficiency as measured_efficiency
from calc.fermentables import fermentable_or_default
from calc.units import Quantity, quantity
from conversations.session import plan
from conversations.session.fit import hot
from conversations.session.joined_since import (
    EXTRACT_L_PER_KG,
    MALT_EXTRACT,
    READ_AT_C,
    cold_litres,
    extract_kg,
    gravity_of,
    joined,
    share_of,
)
from conversations.session.kit_values import capacity
from conversations.session.predictions import alpha_of, attenuation, hop_bitterness
from conversations.session.state import Batch, Kit, Recipe

GRAVITY_OFF = 0.002
"""What a hydrometer and a stick can tell apart; smaller misses are left alone."""
FULL = 0.95
"""Share of a pot or fermenter that may be full while nothing boils. Common practice."""
LEAST_BOIL_OFF_MINUTES = 10.0
BEFORE_BOIL = ("drain", "top_up")
AFTER_BOIL = ("steep", "chill", "transfer", "pitch")
ON_COURSE = (*BEFORE_BOIL, "boil", *AFTER_BOIL)
_SHORTEST_MINUTES, _LONGEST_MINUTES = 2.0, 60.0
_LATE_HOURS = 0.25
"""Litres read so long before flame-out are still those of the wort that is transferred."""
_LEAST_SHARE = 0.5
_LEAST_LEFT = 0.3
"""Share of the wort that is always left in a reckoning: readings that say less are wrong."""


class Position(NamedTuple):
    """Wort as it is now, litres cold and gravity; ``minutes_left`` of the boil."""

    volume_l: float
    gravity: float
    minutes_left: float
    rate_l_h: float


class Course(NamedTuple):
    """What ends up in the fermenter."""

    volume_l: float
    original: float
    alcohol: float
    bitterness: float


class Way(NamedTuple):
    """One way on: water (litres), longer or longer_dry (minutes, with or without the planned top-up), extract (grams)
    or leave, and where it leads."""

    kind: str
    amount: float
    course: Course


def boil_left(batch: Batch, now: datetime) -> float:
    """Minutes of boil that are still to come."""
    if batch.stage in BEFORE_BOIL or (batch.stage == "boil" and batch.boil_started is None):
        return batch.recipe.boil_minutes
    if batch.stage != "boil" or batch.boil_started is None:
        return 0.0
    return max(0.0, batch.recipe.boil_minutes - ((batch.paused_at or now) - batch.boil_started).total_seconds() / 60)


def measured_boil_off(batch: Batch, kit: Kit) -> float | None:
    """Litres an hour by the last reading before the boil and the last one in it; None where they do not tell."""
    if batch.boil_started is None:
        return None
    before = [r for r in batch.readings if r.stage in BEFORE_BOIL and cold_litres(r) is not None]
    during = [
        r for r in batch.readings if r.stage == "boil" and r.at >= batch.boil_started and cold_litres(r) is not None
    ]
    if not before or not during:
        return None
    minutes = (during[-1].at - batch.boil_started).total_seconds() / 60
    added = sum(
        r.value.in_unit("litre") for r in batch.readings if r.kind == "water" and before[-1].at <= r.at <= during[-1].at
    )
    gone = (cold_litres(before[-1]) or 0.0) + added - (cold_litres(during[-1]) or 0.0)
    if minutes < LEAST_BOIL_OFF_MINUTES or gone <= 0:
        return None
    return 60 * gone / minutes


def position(batch: Batch, kit: Kit, now: datetime) -> Position | None:
    """Volume and gravity now, carried on from the readings; None until both are known.

    Extract is what stays: once volume and gravity have met, water and steam only change how thin it is.
    """
    volume: float | None = None
    gravity: float | None = None
    extract: float | None = None
    at: datetime | None = None
    poured = cooling = False
    rate = measured_boil_off(batch, kit) or kit.boil_off.in_unit("litre / hour")
    for reading in batch.readings:
        if reading.stage not in ON_COURSE:
            continue
        litres = cold_litres(reading)
        if litres is not None:
            at = reading.at
            if gravity is not None and cooling:
                # No steam leaves any more: the wort is as strong as it was read, wherever it stands by now.
                volume, extract = litres, extract_kg(litres, gravity)
            elif reading.stage in ("transfer", "pitch") and extract is not None and not poured:
                # In the fermenter now: what stays with the trub has taken its share of the extract along.
                pot = litres + kit.dead_space.in_unit("litre")
                volume, gravity = litres, gravity_of(extract, pot)
                extract *= litres / pot
            elif extract is not None and reading.stage != "drain" and not poured:
                volume, gravity = litres, gravity_of(extract, litres)
            else:
                volume = litres
                extract = extract_kg(volume, gravity) if gravity is not None else None
            poured = reading.stage in ("transfer", "pitch")
        elif reading.kind == "gravity":
            gravity, cooling = float(reading.best.magnitude), reading.stage in AFTER_BOIL
            if volume is not None:
                if at is not None and not poured:
                    # The litres of before the boil are not those that this gravity was read in.
                    volume, at = max(_LEAST_LEFT * volume, volume - rate * _boiled_hours(batch, at, reading.at)), reading.at
                extract = extract_kg(volume, gravity)
        elif reading.kind in ("water", "extract") and volume is not None:
            if reading.kind == "water":
                volume += reading.value.in_unit("litre")
            else:
                kg = reading.value.in_unit("kilogram")
                volume += kg * EXTRACT_L_PER_KG
                extract = extract + kg * share_of(joined(reading)) if extract is not None else None
            gravity = gravity_of(extract, volume) if extract is not None else gravity
    if volume is None or gravity is None or extract is None:
        return None
    if batch.boil_started is not None and at is not None and not poured:
        # What the boil has taken since that reading; after flame-out it takes no more.
        volume = max(_LEAST_LEFT * volume, volume - rate * _boiled_hours(batch, at, now))
        gravity = gravity_of(extract, volume)
    if in_fermenter(batch) and not poured:
        volume = max(_LEAST_LEFT * volume, volume - kit.dead_space.in_unit("litre"))
    return Position(volume, gravity, boil_left(batch, now), rate)


def _boiled_hours(batch: Batch, since: datetime, until: datetime) -> float:
    """Hours of boil between two times; after flame-out there are no more."""
    if batch.boil_started is None:
        return 0.0
    end = min(until, batch.entered.get("steep", until))
    last = min((end - batch.boil_started).total_seconds() / 3600, batch.recipe.boil_minutes / 60)
    return max(0.0, last - max(0.0, (since - batch.boil_started).total_seconds() / 3600))


def volume_is_stale(batch: Batch) -> bool:
    """Whether wort that is in the fermenter was last measured in litres before its boil was over."""
    read = [each.at for each in batch.readings if cold_litres(each) is not None]
    return in_fermenter(batch) and bool(read) and _boiled_hours(batch, max(read), batch.stage_since) > _LATE_HOURS


def in_fermenter(batch: Batch) -> bool:
    """Whether the wort has left the pot: no boil can change it any more."""
    return batch.stage in ("transfer", "pitch")


def course(
    batch: Batch,
    kit: Kit,
    here: Position,
    now: datetime,
    water_l: float = 0.0,
    extract_g: float = 0.0,
    extract: str = MALT_EXTRACT,
    longer: float = 0.0,
) -> Course:
    """What ends up in the fermenter after so much water, malt extract (or a sugar, by name) and extra boiling.

    Raises:
        OutOfRange: nothing would be left, or no wort is that strong.
    """
    recipe = batch.recipe
    kg = extract_kg(here.volume_l, here.gravity) + extract_g / 1000 * share_of(extract)
    for name, mass in () if _read_boiling(batch) else recipe.grains:
        if not fermentable_or_default(name).mashed:
            kg += mass.in_unit("kilogram") * fermentable_or_default(name).extract_fraction
    steam = here.rate_l_h * (here.minutes_left + longer) / 60
    pot = here.volume_l + water_l + extract_g / 1000 * EXTRACT_L_PER_KG - steam
    if pot <= 0.1:
        raise OutOfRange("duration", here.minutes_left + longer, "minute", reason="would boil the pot dry")
    late = recipe.late_water.in_unit("litre") if recipe.late_water is not None and not in_fermenter(batch) else 0.0
    trub = 0.0 if in_fermenter(batch) else kit.dead_space.in_unit("litre")
    over = max(0.05, pot - trub)
    kg_over = kg * over / pot
    original = gravity_of(kg_over, over + late)
    mean = (here.gravity + gravity_of(kg, pot)) / 2
    if in_fermenter(batch):
        # Bitterness was made in the pot; water that joins now only thins it.
        in_pot = here.volume_l + kit.dead_space.in_unit("litre")
        bitter = _ibu(batch, kit, here, now, in_pot, here.gravity, longer) * here.volume_l / pot
    else:
        bitter = _ibu(batch, kit, here, now, pot, mean, longer) * over / (over + late)
    return Course(over + late, original, _alcohol(recipe, original), bitter)


def _alcohol(recipe: Recipe, original: float) -> float:
    gravity = quantity(original, "dimensionless")
    final = gravity_at_attenuation(gravity, quantity(100 * attenuation(recipe)[1], "percent"))
    return float(alcohol_by_volume(gravity, final).to("percent").magnitude)


def _ibu(batch: Batch, kit: Kit, here: Position, now: datetime, pot_l: float, mean: float, longer: float) -> float:
    """Bitterness in the pot at the end: hops that are in count from when they went in."""
    total = 0.0
    for hop in batch.recipe.hops:
        if hop.dry_days or hop.skipped:
            continue
        minutes = batch.recipe.boil_minutes if hop.first_wort else hop.boil_minutes
        ended = batch.entered.get("steep")
        if hop.first_wort or hop.added_at is None:
            minutes += longer if hop.first_wort else 0.0
        elif batch.stage == "boil":
            minutes = (now - hop.added_at).total_seconds() / 60 + here.minutes_left + longer
        elif ended is not None and minutes > 0:
            minutes = max(0.0, (ended - hop.added_at).total_seconds() / 60)
        if minutes <= 0:
            planned = plan.litres(plan.after_boil_volume(batch.recipe, kit))
            total += hop_bitterness(hop, batch.recipe, kit, 0.0) * planned / pot_l
            continue
        total += _boiled(hop.mass.quantity, alpha_of(hop), minutes, mean, pot_l)
    return total


def _boiled(mass: Quantity, alpha: float, minutes: float, mean: float, pot_l: float) -> float:
    found = table.bitterness(
        mass,
        quantity(alpha, "percent"),
        quantity(min(240.0, minutes), "minute"),
        quantity(mean, "dimensionless"),
        quantity(pot_l, "litre"),
    )
    return float(found.to("IBU").magnitude)


def goal(batch: Batch, kit: Kit) -> Course:
    """What was planned: the gravity that is wanted, else the one that the recipe gives in this kit."""
    recipe = batch.recipe
    original = recipe.original_gravity or float(plan.original_gravity(recipe, kit).magnitude)
    hops = sum(hop_bitterness(hop, recipe, kit) for hop in recipe.hops if not hop.dry_days and not hop.skipped)
    return Course(plan.litres(plan.batch_volume(recipe)), original, _alcohol(recipe, original), hops)


def planned_water(batch: Batch, kit: Kit, here: Position) -> float:
    """Water that the plan still wants before the boil; 0 once it boils."""
    if batch.stage not in BEFORE_BOIL:
        return 0.0
    return max(0.0, plan.litres(plan.pre_boil_volume(batch.recipe, kit)) - here.volume_l)


def ways(batch: Batch, kit: Kit, here: Position, now: datetime) -> tuple[Way, ...]:
    """The ways on from here, the one that changes nothing last; only that one where the brew is on course."""
    wanted = goal(batch, kit)
    planned = planned_water(batch, kit, here)
    leave = Way("leave", planned, course(batch, kit, here, now, water_l=planned))
    if off_course(leave.course, wanted) is None:
        return (leave,)
    found: list[Way] = []
    low = leave.course.original < wanted.original - GRAVITY_OFF
    high = leave.course.original > wanted.original + GRAVITY_OFF
    if high or (low and planned > 0.1):
        water = _solve(
            lambda litres: course(batch, kit, here, now, water_l=litres).original - wanted.original,
            0.0,
            2 * here.volume_l,
        )
        if water is not None and abs(water - planned) > 0.1 and _has_room(batch, kit, here.volume_l + water):
            found.append(Way("water", water, course(batch, kit, here, now, water_l=water)))
    if low and batch.stage in (*BEFORE_BOIL, "boil"):
        # With the top-up where that is enough, else without it.
        for kind, litres in (("longer", planned), ("longer_dry", 0.0))[: 2 if planned > 0.1 else 1]:
            minutes = _minutes(batch, kit, here, now, litres, wanted)
            if minutes is not None:
                found.append(Way(kind, minutes, course(batch, kit, here, now, water_l=litres, longer=minutes)))
                break
    if low:
        grams = _solve(
            lambda g: wanted.original - course(batch, kit, here, now, water_l=planned, extract_g=g).original,
            0.0,
            300 * here.volume_l,
        )
        if grams is not None and grams >= 5:
            found.append(Way("extract", grams, course(batch, kit, here, now, water_l=planned, extract_g=grams)))
    return (*found, leave)


def _minutes(batch: Batch, kit: Kit, here: Position, now: datetime, water_l: float, wanted: Course) -> float | None:
    """Extra boil that brings the gravity up; None where it takes over an hour, or half of the beer."""

    def miss(extra: float) -> float:
        return wanted.original - course(batch, kit, here, now, water_l=water_l, longer=extra).original

    minutes = _solve(miss, 0.0, _LONGEST_MINUTES)
    if minutes is None or minutes < _SHORTEST_MINUTES:
        return None
    then = course(batch, kit, here, now, water_l=water_l, longer=minutes)
    return minutes if then.volume_l >= _LEAST_SHARE * wanted.volume_l else None


def _has_room(batch: Batch, kit: Kit, litres: float) -> bool:
    """Whether the pot, or the fermenter, takes so much; True where its size is unknown."""
    room = kit.fermenter_volume.quantity if kit.fermenter_volume else None
    if not in_fermenter(batch):
        room = capacity(kit)
    return room is None or hot(litres, READ_AT_C.get(batch.stage, 20.0)) <= FULL * plan.litres(room)


def off_course(leads_to: Course, wanted: Course) -> str | None:
    """What is off by more than can be measured: gravity, volume, or None."""
    if abs(leads_to.original - wanted.original) > GRAVITY_OFF:
        return "gravity"
    if abs(leads_to.volume_l - wanted.volume_l) > max(0.25, 0.04 * wanted.volume_l):
        return "volume"
    return None


def _solve(miss: Callable[[float], float], low: float, high: float) -> float | None:
    """Where a function that falls with its argument crosses zero; None where it does not between the two."""

    def value(x: float) -> float:
        try:
            return miss(x)
        except OutOfRange:
            return -1.0

    if value(low) < 0 or value(high) > 0:
        return None
    for _ in range(45):
        middle = (low + high) / 2
        if value(middle) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _read_boiling(batch: Batch) -> bool:
    """Whether a gravity was read since the boil began, with the sugars of the recipe in it; before it they are still to come."""
    return any(each.kind == "gravity" and each.stage in ("boil", *AFTER_BOIL) for each in batch.readings)


def batch_efficiency(batch: Batch, here: Position) -> float | None:
    """Share of the malt's extract that this mash gave, by the wort before the boil; None where that makes no sense."""
    mashed = [(name, mass.quantity) for name, mass in batch.recipe.grains if fermentable_or_default(name).mashed]
    if not mashed or batch.stage not in BEFORE_BOIL:
        return None
    share = measured_efficiency(mashed, quantity(here.volume_l, "litre"), quantity(here.gravity, "dimensionless"))
    return share if 0.2 <= share <= 1.0 else None
