"""Moving through the stages of the day: what opens, what is asked, which reminders are set and dropped."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from calc.errors import OutOfRange
from calc.isomerisation import late_addition
from calc.units import quantity
from calc.yeast import dry_yeast_mass, temperature_range
from conversations.intents import Intent, Measured
from conversations.session import batch_names, orientation, plan, reminders, rests, wording
from conversations.session.events import Reminder
from conversations.session.fermentation import type_words, yeast_type
from conversations.session.predictions import alpha_of
from conversations.session.stages import StageReminder, before, opened_by, stages
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_in_hand import yeast_left

HEADS_UP = timedelta(minutes=1)


def stage_key(batch: int, key: str) -> str:
    """Key of a stage's reminder in the chat."""
    return f"{batch}:{key}"


def enter(turn: Turn, name: str) -> None:
    """Go to a stage: drop the old one's reminders, set the new one's, say what to do and mind."""
    batch = turn.batch
    if batch is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    stage = stages()[name]
    turn.open(stage.title.lower())
    early = orientation.cut_short(turn, batch, name)
    for key, reminder in turn.state.reminders.items():
        if reminder.batch == batch.id and reminder.kind in ("stage", "hop"):
            turn.drop(key)
    expected: dict[str, Any] = _expected_original(turn, batch) if name == "ferment" and "ferment" not in batch.entered else {}
    turn.record("stage_entered", label=stage.title.lower(), stage=name, **expected)
    for row in stage.reminders:
        if not row.from_boil:
            _set_stage_reminder(turn, batch, row)
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
        return {"expected_original": round(float(plan.original_gravity(batch.recipe, kit).magnitude), 5)}
    except OutOfRange:
        return {}


def _set_stage_reminder(turn: Turn, batch: Batch, row: StageReminder, gone: timedelta = timedelta()) -> None:
    """Set it, counted from now or from so long ago; one whose time has passed since is not set."""
    due = turn.in_seconds(60 * _minutes(turn, row.after or row.from_boil, batch)) - gone
    if gone and due <= turn.now:
        return
    turn.remind(stage_key(batch.id, row.key), due, row.text, batch=batch.id, kind="stage", name=row.key, data=_meaning(row.done))


def _meaning(done: str) -> dict[str, str]:
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
        _set_stage_reminder(turn, batch, row, gone)


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
        style = yeast_type(batch.recipe)
        usual = temperature_range(style)
        assumed = "" if batch.recipe.yeast else " (assumed)"
        low, high = wording.temperature(usual.low, units), wording.temperature(usual.high, units)
        return f"{low} to {high} for {type_words(style)} yeast{assumed}."
    if batch is None or not batch.recipe.grains:
        return ""
    recipe = batch.recipe
    try:
        if name == "heat":
            water, strike = plan.mash_water(recipe, kit), plan.strike(recipe, kit)
            stick = wording.depth(plan.depth_of_volume(water, kit), units)
            turn.working = (
                f"{wording.volume(plan.pre_boil_volume(recipe, kit), units)} before the boil and what a squeezed "
                f"bag keeps of {wording.mass(plan.grain_mass(recipe), units)} grain; heat balance of grain at "
                f"{wording.temperature(kit.grain_temperature.quantity, units)} and water for "
                f"{wording.temperature(plan.first_rest(recipe).quantity, units)}."
            )
            back = f" Hold {_vol(recipe.rinse_water, turn)} back for the rinse." if recipe.rinse_water else ""
            return f"{wording.volume(water, units)} ({stick} on the stick) to {wording.temperature(strike, units)}.{back}"
        if name == "mash" and recipe.rests:
            return f"{rests.words(recipe, units)}."
        if name == "mash":
            return f"{recipe.mash_minutes:.0f} min at {wording.temperature(recipe.mash_temperature.quantity, units)}."
        if name in ("drain", "top_up"):
            volume = plan.pre_boil_volume(recipe, kit)
            expected = wording.gravity(plan.gravity_at(volume, recipe, turn.state.kit))
            rinse = recipe.rinse_water if name == "drain" else None
            first = f"Rinse the bag with {_vol(rinse, turn)} at 75 °C (167 °F). " if rinse else ""
            return f"{first}Expect {wording.volume(volume, units)} at {expected} before the boil."
        if name == "transfer" and recipe.late_water is not None:
            return f"{_vol(recipe.late_water, turn)} boiled and cooled water joins in the fermenter; stir it in."
        if name == "pitch":
            volume = plan.volume_now(batch) or plan.batch_volume(recipe)
            gravity = plan.gravity_now(batch) or plan.gravity_at(plan.batch_volume(recipe), recipe, turn.state.kit)
            grams = dry_yeast_mass(volume, gravity, yeast_type(recipe))
            return (
                f"{wording.mass(grams, 'metric')} dry yeast for {wording.volume(volume, units)} at {wording.gravity(gravity)}."
                + yeast_left(turn, recipe, grams)
            )
    except OutOfRange:
        return "The recipe does not fit the pot: check the amounts."
    return ""


def _vol(value: Measured, turn: Turn) -> str:
    return wording.volume(value.quantity, turn.state.units)


def opens(turn: Turn, intent: Intent) -> None:
    """The brewer says that something happened which opens a stage: "it's boiling", "bag out"."""
    name = opened_by()[intent.name]
    if name != "boil":
        enter(turn, name)
        return
    if turn.batch is None:
        enter(turn, name)
        return
    if turn.batch.stage == "boil" and turn.batch.boil_started:
        turn.say(_left_of_boil(turn))
        return
    if turn.batch.stage != "boil":
        enter(turn, "boil")
    start_boil(turn)


def start_boil(turn: Turn) -> None:
    """The boil clock starts now: alarms for each addition with a heads-up, and for flame-out."""
    batch = turn.batch
    if batch is None:
        return
    minutes = batch.recipe.boil_minutes
    turn.record("boil_started", label="boil start")
    reminders.happened(turn, "boil")
    for row in stages()["boil"].reminders:
        if row.from_boil:
            _set_stage_reminder(turn, batch, row)
    for hop in batch.recipe.hops:
        if hop.added_at or hop.boil_minutes <= 0:
            continue
        due = turn.in_seconds(60 * max(0.0, minutes - hop.boil_minutes))
        words = f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}"
        key = stage_key(batch.id, f"hop:{hop.key}")
        turn.remind(key, due, f"Hops now: {words}. Mind the foam.", batch=batch.id, kind="hop", name=hop.key)
        if due - HEADS_UP > turn.now:
            turn.remind(
                key + ":soon",
                due - HEADS_UP,
                f"In 1 min: {words}.",
                batch=batch.id,
                kind="stage",
                name=hop.key,
            )
    end = turn.in_seconds(60 * minutes)
    key = stage_key(batch.id, "flame_out")
    turn.remind(key, end, 'Flame-out: hob off, then say "flame out".', batch=batch.id, kind="stage", name="boil", data=_meaning("done.flame_out"))
    turn.remind(key + ":soon", end - HEADS_UP, "In 1 min: flame-out.", batch=batch.id, kind="stage", name="flame_out")
    turn.say(
        f"{minutes:.0f} min boil started, flame-out at {wording.clock(end.astimezone(turn.now.tzinfo), turn.now)}."
    )


def _left_of_boil(turn: Turn) -> str:
    batch = turn.batch
    if batch is None or batch.boil_started is None:
        return ""
    left = batch.recipe.boil_minutes * 60 - (turn.now - batch.boil_started).total_seconds()
    return f"{wording.duration(max(0, left))} left of the boil."


def hops_in(turn: Turn, intent: Intent) -> None:
    """Hops went in: tick the addition that is meant, say what lateness changed."""
    batch = turn.batch
    name = str(intent.slots.get("name", "")).lower()
    if batch is None:
        turn.say("No batch is running, so there is no addition to tick.")
        return
    dry = batch.stage in ("ferment", "bottle")
    waiting = [hop for hop in batch.recipe.hops if not hop.added_at and not hop.skipped and bool(hop.dry_days) == dry]
    named = [hop for hop in waiting if name and name in hop.name.lower()]
    if not (named or waiting):
        turn.record("note", label="hops in", text="hops in")
        turn.say("Noted: hops in. The recipe has no addition left.")
        return
    hop = _meant(turn, named or waiting)
    hops = tuple(
        each.model_copy(update={"added_at": turn.now}) if each.key == hop.key else each for each in batch.recipe.hops
    )
    recipe = batch.recipe.model_copy(update={"hops": hops})
    turn.record("recipe_told", label=f"{hop.name} in", recipe=recipe.model_dump(mode="json"))
    for key in (f"hop:{hop.key}", f"hop:{hop.key}:soon"):
        turn.drop(stage_key(batch.id, key))
    turn.say(f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name} in at {turn.now.strftime('%H:%M')}.")
    turn.offer(("undo", "undo"))
    if batch.boil_started and hop.boil_minutes > 0:
        late = (turn.now - batch.boil_started).total_seconds() / 60 - (batch.recipe.boil_minutes - hop.boil_minutes)
        if late >= 2:
            turn.say(lateness(turn, hop, late))
            minutes = f"{late:.0f} minutes longer"
            turn.offer((f"boil {minutes}", f"boil {minutes}"), ("leave it", "leave it"))


def _meant(turn: Turn, waiting: list[Hop]) -> Hop:
    """The addition that was just called, else after flame-out the last one, else the next one."""
    fired = turn.state.last_fired
    called = [hop for hop in waiting if fired is not None and fired.kind == "hop" and fired.name == hop.key]
    if called:
        return called[0]
    steeping = turn.batch is not None and turn.batch.stage in ("steep", "chill")
    return (min if steeping else max)(waiting, key=lambda hop: hop.boil_minutes)


def lateness(turn: Turn, hop: Hop, late_minutes: float) -> str:
    """What an addition that is late does to bitterness, and what repairs it."""
    batch = turn.batch
    if batch is None:
        return ""
    volume = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
    gravity = plan.gravity_now(batch)
    if gravity is None:
        gravity = plan.gravity_at(volume, batch.recipe, turn.state.kit) if batch.recipe.grains else quantity(1.045, "dimensionless")
    alpha = alpha_of(hop)
    try:
        change = late_addition(
            hop.mass.quantity,
            quantity(alpha, "percent"),
            quantity(hop.boil_minutes, "minute"),
            quantity(max(0.0, hop.boil_minutes - late_minutes), "minute"),
            gravity,
            volume,
        )
    except OutOfRange:
        return f"{late_minutes:.0f} min late."
    planned, now = (
        float(value.to("milligram / litre").magnitude) for value in (change.bitterness_planned, change.bitterness_now)
    )
    lost = 100 * (1 - now / planned) if planned else 0
    turn.working = (
        f"{late_minutes:.0f} min less in the boil at {wording.gravity(gravity)} and {alpha:g} % alpha"
        f"{'' if hop.alpha_percent else ' (assumed)'}: {now:.0f} instead of {planned:.0f} mg/l iso-alpha acids."
    )
    extra = (
        f", or add {wording.mass(change.extra_mass, turn.state.units)} more" if change.extra_mass is not None else ""
    )
    return f"{late_minutes:.0f} min late: about {lost:.0f} % less bitter. Boil {late_minutes:.0f} min longer{extra}, or leave it."


def move(turn: Turn, intent: Intent) -> None:
    """ "next", "back", "skip", "done", "pause" and "resume" of the current stage."""
    batch = turn.batch
    if batch is None or turn.stage is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    match intent.name:
        case "stage.skip" if _skip_hop(turn, batch):
            return
        case "stage.back":
            enter(turn, before(batch.stage))
        case "stage.pause":
            turn.record("paused", label="pause")
            turn.say(f'Paused at {turn.stage.title.lower()}. Say "resume".')
        case "stage.resume" if batch.paused_at is None:
            turn.say("Nothing is paused.")
        case "stage.resume":
            _resume(turn, batch)
        case _:
            enter(turn, turn.stage.next)
            if turn.batch and turn.batch.stage == "boil" and not turn.batch.boil_started:
                turn.say('Say "it\'s boiling" and the clock starts.')


def _skip_hop(turn: Turn, batch: Batch) -> bool:
    """After a hop alarm "skip" leaves out that addition, not the rest of the boil."""
    fired = turn.state.last_fired
    if fired is None or fired.kind != "hop" or fired.batch != batch.id:
        return False
    hop = next((each for each in batch.recipe.hops if each.key == fired.name), None)
    if hop is None or hop.added_at or hop.skipped:
        return False
    hops = tuple(
        each.model_copy(update={"skipped": True}) if each.key == hop.key else each for each in batch.recipe.hops
    )
    recipe = batch.recipe.model_copy(update={"hops": hops})
    turn.record("recipe_told", label=f"{hop.name} skipped", recipe=recipe.model_dump(mode="json"))
    turn.say(f"{hop.name} skipped.")
    return True


def _resume(turn: Turn, batch: Batch) -> None:
    gone = turn.now - batch.paused_at if batch.paused_at else timedelta()
    turn.record("resumed", label="resume")
    for reminder in tuple(turn.state.reminders.values()):
        if reminder.batch == batch.id and reminder.kind in ("stage", "hop"):
            turn.record(
                "reminder_set",
                reminder=reminder.model_copy(update={"due": reminder.due + gone}).model_dump(mode="json"),
            )
    turn.say(f"Going on; this stage's reminders moved by {wording.duration(gone.total_seconds())}.")


def fire(turn: Turn, reminder: Reminder) -> None:
    """A reminder is due: say it; if it is late, say by how much, and for hops what to do about it."""
    late = (turn.now.astimezone(ZoneInfo("UTC")) - reminder.due).total_seconds()
    turn.note_event("fired", batch=reminder.batch, key=reminder.key)
    batch = next((each for each in turn.state.batches if each.id == reminder.batch), None)
    if batch is not None and batch.paused_at is not None and reminder.kind in ("stage", "hop"):
        # "resume" sets it anew; a paused stage stays silent.
        later = reminder.model_copy(update={"due": turn.in_seconds(300)})
        turn.note_event("reminder_set", batch=reminder.batch, reminder=later.model_dump(mode="json"))
        return
    name = f"{batch_names.label(batch, turn.state)}: " if batch is not None and len(turn.state.batches) > 1 and reminder.kind != "nudge" else ""
    if late < 60:
        turn.say(name + reminder.text)
    else:
        turn.say(f"{wording.duration(late)} late: {name}{reminder.text}")
        if reminder.kind == "hop" and batch is not None:
            hop = next((each for each in batch.recipe.hops if each.key == reminder.name), None)
            if hop is not None and late >= 120:
                turn.say(lateness(turn, hop, late / 60))
    if reminder.kind == "timer":
        turn.note_event("timer_dropped", key=reminder.name)
    reminders.again(turn, reminder)
    asks = reminder.data.get("asks")
    if reminder.kind in ("check", "nudge"):
        hops = "hops out" if reminder.name.startswith("dry_out") else "hops in"
        turn.offer(("done", hops if asks == "hops" else "done"), ("in 2 hours", "in 2 hours"), ("tomorrow", "in 24 hours"))
    else:
        turn.offer(("done", "hops in" if reminder.kind == "hop" else "done"), ("in 5 minutes", "in 5 minutes"))
        skip = (("skip", "skip"),) if reminder.kind == "hop" else ()
        turn.offer(*skip, ("what now", "what's next"))


HANDLERS: Handlers = {"stage": move, "done.hops": hops_in}
