"""The day as a row of stages with times: from a start, or backwards from a wanted finish."""

from __future__ import annotations

import math
import tomllib
from datetime import datetime, time, timedelta
from functools import lru_cache
from importlib.resources import files
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from calc.errors import OutOfRange
from calc.heat import time_to_heat
from calc.units import Quantity, quantity
from conversations.session import plan
from conversations.session.kit_values import TAP_WATER, boils_at, hob
from conversations.session.rests import mash_length
from conversations.session.state import Batch, Kit, Recipe

STAGES = ("prepare", "heat", "mash", "drain", "top_up", "boil", "steep", "chill", "transfer", "clean")
_OF_STAGE = {"plan": "prepare", "pitch": "transfer"}
_BATH = quantity(15.0, "degC")
_PITCHING = quantity(21.0, "degC")
_AFTER_STEEP_C = 90.0
_LEAST_MINUTES = 1.0
_UTC = ZoneInfo("UTC")


class Step(NamedTuple):
    """One stage with its times, in UTC; ``working`` says where its length comes from."""

    name: str
    title: str
    begins: datetime
    ends: datetime
    working: str


@lru_cache(maxsize=1)
def usual() -> dict[str, dict[str, Any]]:
    """The page timeline.toml."""
    page = files("conversations.session").joinpath("timeline.toml")
    return tomllib.loads(page.read_text(encoding="utf-8"))


def minutes_of(recipe: Recipe, kit: Kit) -> dict[str, tuple[float, str]]:
    """Length of each stage in minutes and where it comes from; a stage that nothing is known of gets its usual one."""
    found = {name: (float(minutes), "usual") for name, minutes in usual()["minutes"].items()}
    found["mash"] = mash_length(recipe, kit), "recipe"
    found["boil"] = recipe.boil_minutes, "recipe"
    if not any(hop.boil_minutes <= 0 for hop in recipe.hops):
        found["steep"] = 5.0, "no late hops"
    found["heat"], found["top_up"] = _heating(recipe, kit)
    found["chill"] = _chilling(kit)
    return found


def _heating(recipe: Recipe, kit: Kit) -> tuple[tuple[float, str], tuple[float, str]]:
    """To strike temperature, and from the mash to the boil."""
    power = hob(kit)
    kilowatts = f"{float(power.to('kilowatt').magnitude):.2f} kW reach the pot"
    words = f"{kilowatts}{'' if kit.hob_power else ', assumed'}"
    grain = plan.grain_mass(recipe)

    def minutes(volume: Quantity, start: Quantity, end: Quantity) -> float:
        taken = time_to_heat(
            volume, start, end, power, 1.0, pot_mass=kit.pot_mass.quantity, pot_material=kit.pot_material
        )
        return max(_LEAST_MINUTES, float(taken.to("minute").magnitude))

    mash = plan.first_rest(recipe).quantity
    drained = (recipe.rests[-1].temperature if recipe.rests else recipe.mash_temperature).quantity
    try:
        water = plan.mash_water(recipe, kit)
        strike = plan.strike(recipe, kit) if float(grain.to("gram").magnitude) else mash
        return (
            (minutes(water, TAP_WATER, strike), words),
            (minutes(plan.pre_boil_volume(recipe, kit), drained, boils_at(kit)), words),
        )
    except OutOfRange:
        return (30.0, "usual"), (25.0, "usual")


def _chilling(kit: Kit) -> tuple[float, str]:
    constant = kit.cooling.in_unit("minute")
    bath, goal = (float(value.to("degC").magnitude) for value in (_BATH, _PITCHING))
    minutes = constant * math.log((_AFTER_STEEP_C - bath) / (goal - bath))
    known = "as your batches cooled" if "cooling" in kit.learned else "usual"
    return minutes, f"cold bath, {known}"


def steps_from(start: datetime, recipe: Recipe, kit: Kit, first: str = "prepare", spent: float = 0.0) -> tuple[Step, ...]:
    """The stages from ``first`` on, one after the other; ``spent`` seconds of the first one have passed."""
    lengths, titles = minutes_of(recipe, kit), usual()["titles"]
    begins = start.astimezone(_UTC)
    made = []
    for name in STAGES[STAGES.index(first) :]:
        minutes, working = lengths[name]
        seconds = max(0.0, minutes * 60 - (spent if name == first else 0.0))
        # Whole minutes: nobody at the hob counts finer, and the row adds up as it is shown.
        ends = begins + timedelta(minutes=round(seconds / 60))
        made.append(Step(name, str(titles[name]), begins, ends, working))
        begins = ends
    return tuple(made)


def steps_until(finish: datetime, recipe: Recipe, kit: Kit) -> tuple[Step, ...]:
    """The same, ending when it should."""
    row = steps_from(finish, recipe, kit)
    shift = row[-1].ends - finish.astimezone(_UTC)
    return tuple(step._replace(begins=step.begins - shift, ends=step.ends - shift) for step in row)


def rest_of(batch: Batch, kit: Kit, now: datetime) -> tuple[Step, ...]:
    """What is left of a day that has begun; empty once the yeast is in."""
    name = _OF_STAGE.get(batch.stage, batch.stage)
    if name not in STAGES:
        return ()
    since = batch.boil_started if name == "boil" and batch.boil_started else batch.stage_since
    spent = 0.0 if name == "prepare" else (now - since).total_seconds()
    return steps_from(now, batch.recipe, kit, name, spent)


def days_after(pitched: datetime, zone: str, kit: Kit) -> tuple[Step, ...]:
    """What comes in the days after: gravities, bottling, tasting, each at seven in the evening for half an hour."""
    days, titles = usual()["days"], usual()["titles"]
    bottle = float(days["bottle"])
    if kit.days_to_stable is not None:
        # Two gravities that agree lie two days apart.
        bottle = max(float(days["second_gravity"]) + 1, math.ceil(kit.days_to_stable) + 2)
    on_day = {
        "first_gravity": float(days["first_gravity"]),
        "second_gravity": float(days["second_gravity"]),
        "bottle": bottle,
        "taste": bottle + float(days["taste"]),
    }
    local = pitched.astimezone(ZoneInfo(zone)).date()
    made = []
    for name, day in on_day.items():
        at = datetime.combine(local + timedelta(days=day), time(19, 0), ZoneInfo(zone)).astimezone(_UTC)
        made.append(Step(name, str(titles[name]), at, at + timedelta(minutes=30), "usual"))
    return tuple(made)


def in_quiet(step: Step, zone: str, quiet_from: str, quiet_to: str) -> bool:
    """Whether any of a step lies in the quiet hours, which may run over midnight; both are local HH:MM."""
    if quiet_from == quiet_to:
        return False
    here = ZoneInfo(zone)
    first = step.begins.astimezone(here).date() - timedelta(days=1)
    begin, end = time.fromisoformat(quiet_from), time.fromisoformat(quiet_to)
    for ahead in range((step.ends - step.begins).days + 3):
        day = first + timedelta(days=ahead)
        until = day if begin < end else day + timedelta(days=1)
        opens = datetime.combine(day, begin, here).astimezone(_UTC)
        closes = datetime.combine(until, end, here).astimezone(_UTC)
        if step.begins < closes and opens < step.ends:
            return True
    return False
