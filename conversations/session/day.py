"""Moving through the stages of the day: what opens, what is asked, which reminders are set and dropped."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from calc.errors import OutOfRange
from conversations.intents import Measured
from conversations.session import course, pitching, plan, reminders, rests, stage_clocks, wording
from conversations.session.rim import on_the_stick
from conversations.session.stages import StageReminder, stages
from conversations.session.state import Batch
from conversations.session.turn import Turn
from conversations.session.yeast_in_hand import yeast_left
from conversations.session.yeast_warmth import yeast_warmth

HEADS_UP = timedelta(minutes=1)
_OTHER_WATER_L = 0.25
"""Litres by which the water in the mash must differ from the plan's before the bag is expected to give other ones."""


def stage_key(batch: int, key: str) -> str:
    """Key of a stage's reminder in the chat."""
    return f"{batch}:{key}"


def enter(turn: Turn, name: str, since: datetime | None = None) -> None:
    """Go to a stage, or say that it began earlier: drop the old one's reminders, set the new one's, say what to do and mind."""
    batch = turn.batch
    if batch is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    stage = stages()[name]
    turn.open(stage.title.lower())
    early = stage_clocks.cut_short(turn, batch, name)
    for key, reminder in turn.state.reminders.items():
        if reminder.batch == batch.id and reminder.kind in ("stage", "hop"):
            turn.drop(key)
    expected: dict[str, Any] = _expected_original(turn, batch) if name == "ferment" and "ferment" not in batch.entered else {}
    told: dict[str, Any] = {"since": since.astimezone(turn.now.tzinfo).isoformat()} if since is not None else {}
    turn.record("stage_entered", label=stage.title.lower(), stage=name, **expected, **told)
    for row in stage.reminders:
        if not row.from_boil:
            set_stage_reminder(turn, batch, row)
    if name == "mash" and batch.recipe.rests:
        _call_rests(turn, batch)
    numbers = _numbers(turn, name)
    turn.say(*([f"{stage.title}. {numbers}", stage.asks] if numbers else [f"{stage.title}: {stage.asks}"]), early)
    for key in stage.caution:
        turn.caution(key)
    if name != "boil":
        reminders.happened(turn, name)


def _expected_original(turn: Turn, batch: Batch) -> dict[str, float]:
    """What the kit that it was brewed with gives of the recipe: the forecast's start where nobody measures it."""
    if not batch.recipe.grains:
        return {}
    kit = next((kit for kit in (turn.state.kit, *turn.state.kits) if kit.name == batch.kit), turn.state.kit)
    try:
        # What was read on the day, and what joined since, say more than the recipe does.
        here = course.position(batch, kit, turn.now)
        original = here.gravity if here is not None else float(plan.original_gravity(batch.recipe, kit).magnitude)
        return {"expected_original": round(original, 5)}
    except OutOfRange:
        return {}


def set_stage_reminder(turn: Turn, batch: Batch, row: StageReminder, gone: timedelta = timedelta()) -> None:
    """Set it, counted from now or from so long ago; one whose time has passed since is not set."""
    due = turn.in_seconds(60 * _minutes(turn, row.after or row.from_boil, batch)) - gone
    if gone and due <= turn.now:
        return
    turn.remind(stage_key(batch.id, row.key), due, row.text, batch=batch.id, kind="stage", name=row.key, data=meaning(row.done))


def meaning(done: str) -> dict[str, str]:
    """What a reminder keeps of the intent that "done" stands for."""
    return {"done": done} if done else {}


def _minutes(turn: Turn, after: str, batch: Batch) -> float:
    if after.startswith("mash"):
        share = after.partition("*")[2]
        return rests.mash_length(batch.recipe, turn.state.kit) * (float(share) if share else 1.0)
    return float(after)


def retime_mash(turn: Turn) -> None:
    """The mash was told anew while it goes on: its calls count from when the grain went in."""
    batch = turn.batch
    if batch is None or batch.stage != "mash":
        return
    gone = timedelta(minutes=(turn.now - batch.entered.get("mash", turn.now)).total_seconds() / 60)
    for key in [key for key in turn.state.reminders if key.startswith(stage_key(batch.id, "rest:"))]:
        turn.drop(key)
    for row in stages()["mash"].reminders:
        turn.drop(stage_key(batch.id, row.key))
        set_stage_reminder(turn, batch, row, gone)


def _call_rests(turn: Turn, batch: Batch) -> None:
    """A call at the end of each rest but the last, with the next temperature."""
    row = rests.steps(batch.recipe, turn.state.kit)
    for number, (step, following) in enumerate(pairwise(row), start=1):
        warmer = wording.temperature(following.rest.temperature.quantity, turn.state.units)
        text = (
            f"Rest {number} of {len(row)} is over: heat gently to {warmer}, stirring, bag off the bottom "
            f"(about {following.climb:.0f} min). Then {following.rest.minutes:.0f} min there."
        )
        key = stage_key(batch.id, f"rest:{number}")
        turn.remind(key, turn.in_seconds(60 * step.ends), text, batch=batch.id, kind="stage", name=f"rest_{number}")


def _numbers(turn: Turn, name: str) -> str:
    """The numbers that the stage starts with, from the recipe and the kit; empty where there is no recipe."""
    batch, kit, units = turn.batch, turn.state.kit, turn.state.units
    if batch is not None and name == "ferment":
        right = yeast_warmth(batch.recipe, units)
        return f"{right.words} for {right.yeast}{' (assumed)' if right.assumed else ''}."
    if batch is None or not batch.recipe.grains:
        return ""
    recipe = batch.recipe
    try:
        if name == "heat":
            water, strike = plan.mash_water(recipe, kit), plan.strike(recipe, kit)
            stick = on_the_stick(plan.litres(water), kit, units)
            turn.working = (
                f"{wording.volume(plan.pre_boil_volume(recipe, kit), units)} before the boil and what a squeezed "
                f"bag keeps of {wording.mass(plan.grain_mass(recipe), units)} grain; heat balance of grain at "
                f"{wording.temperature(kit.grain_temperature.quantity, units)} and water for "
                f"{wording.temperature(plan.first_rest(recipe).quantity, units)}."
            )
            back = f" Hold {_vol(recipe.rinse_water, turn)} back for the rinse." if recipe.rinse_water else ""
            return f"{wording.volume(water, units)} ({stick}) to {wording.temperature(strike, units)}.{back}"
        if name == "mash" and recipe.rests:
            return f"{rests.words(recipe, units)}."
        if name == "mash":
            return f"{recipe.mash_minutes:.0f} min at {wording.temperature(recipe.mash_temperature.quantity, units)}."
        if name in ("drain", "top_up"):
            volume = plan.pre_boil_volume(recipe, kit)
            expected = wording.gravity(plan.gravity_at(volume, recipe, turn.state.kit))
            rinse = recipe.rinse_water if name == "drain" else None
            first = f"Rinse the bag with {_vol(rinse, turn)} at 75 °C (167 °F). " if rinse else ""
            drained = plan.drained_volume(batch, kit) if name == "drain" else None
            if drained is not None and abs(plan.litres(drained) - plan.litres(volume)) > _OTHER_WATER_L:
                # Water was poured into the mash, or less was measured: the bag gives what is there.
                thinner = wording.gravity(plan.gravity_at(drained, recipe, turn.state.kit))
                return f"{first}Expect {wording.volume(drained, units)} at {thinner}; the plan is {wording.volume(volume, units)} at {expected} before the boil."
            return f"{first}Expect {wording.volume(volume, units)} at {expected} before the boil."
        if name == "transfer" and recipe.late_water is not None:
            return f"{_vol(recipe.late_water, turn)} boiled and cooled water joins in the fermenter; stir it in."
        if name == "pitch":
            wanted = pitching.dose(batch, turn.state, turn.now)
            alive = f" ({wanted.viable:.0%} alive)" if wanted.viable < pitching.FRESH else ""
            return (
                f"{wording.mass(wanted.grams, 'metric')} dry yeast{alive} for {wording.volume(wanted.volume, units)} at {wording.gravity(wanted.gravity)}."
                + yeast_left(turn, recipe, wanted.grams)
            )
    except OutOfRange:
        return "The recipe does not fit the pot: check the amounts."
    return ""


def _vol(value: Measured, turn: Turn) -> str:
    return wording.volume(value.quantity, turn.state.units)
