"""The warm rest and the cold rest of a fermentation, as the person wants them: which day, how warm, how long, or none."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from conversations.intents import Intent, Measured
from conversations.recipe.beer_rests import beer_rests
from conversations.session import watch, wording
from conversations.session.fermentation import pace, table
from conversations.session.hours import at_hour
from conversations.session.judgement import judge
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_USUAL_COLD = 2.0
_BEFORE = ("plan", "prepare", "heat", "mash", "drain", "top_up", "boil", "steep", "chill", "transfer", "pitch", "ferment")


def _days(days: float) -> str:
    return f"{days:g} day{'s' if days != 1 else ''}"


def _told(turn: Turn, label: str, **fields: Any) -> Batch | None:
    batch = turn.batch
    if batch is None:
        return None
    turn.record("recipe_told", label=label, recipe=batch.recipe.model_copy(update=fields).model_dump(mode="json"))
    turn.offer(("undo", "undo"))
    return turn.batch


def _open(turn: Turn) -> Batch | None:
    batch = turn.batch
    if batch is None:
        turn.say("No batch is running.")
    elif batch.stage not in _BEFORE:
        turn.say(f"{batch.name} is past that: it is at {batch.stage}.")
        return None
    return batch


def warm(turn: Turn, intent: Intent) -> None:
    """ "warm rest on day 4 at 22 C", "no warm rest"."""
    batch, rows, slots = _open(turn), table("rests"), intent.slots
    if batch is None:
        return
    if slots.get("none"):
        _told(turn, "no warm rest", warm_day=0.0)
        turn.say(str(rows["no_warm"]))
        return
    usual = pace(judge(batch).style)
    to = Measured.model_validate(slots["temperature"]) if "temperature" in slots else batch.recipe.warm_to
    if to is not None and not rows["warm_least_c"] <= to.in_unit("degC") <= rows["warm_most_c"]:
        turn.say(f"{wording.temperature(to.quantity, turn.state.units)} for a warm rest? Nothing is changed. {rows['warm_usual']}")
        return
    day = _day(turn, batch, slots)
    if day is None and not usual["warm_rest"] and batch.recipe.warm_day is None:
        day = usual["first_gravity"]
    told = _told(turn, "warm rest", warm_day=day if day is not None else batch.recipe.warm_day, warm_to=to)
    if told is None:
        return
    aim = to.quantity if to is not None else Measured(value=usual["warm_rest_c"], unit="degC").quantity
    when = f"day {told.recipe.warm_day:g}" if told.recipe.warm_day else "when most of the sugar is gone"
    turn.say(f"Warm rest: about {wording.temperature(aim, turn.state.units)}, {when}. I call it.")
    turn.working = str(rows["warm_why"])


def _day(turn: Turn, batch: Batch, slots: dict[str, Any]) -> float | None:
    """The day after pitching that was named; a day of the week counts from the pitching that was."""
    if "day" in slots:
        return max(1.0, float(slots["day"]))
    if "at" in slots and batch.stage == "ferment":
        return float(max(1, watch.day_of(judge(batch).pitched, datetime.fromisoformat(str(slots["at"])), turn.state)))
    return None


def cold(turn: Turn, intent: Intent) -> None:
    """ "cold rest for 3 days", "no cold rest"."""
    batch, rows = _open(turn), table("rests")
    if batch is None:
        return
    if intent.slots.get("none"):
        _told(turn, "no cold rest", cold_days=0.0)
        turn.say(str(rows["no_cold"]))
        return
    days = float(intent.slots["duration_s"]) / 86400 if "duration_s" in intent.slots else batch.recipe.cold_days or _USUAL_COLD
    if not 0.5 <= days <= rows["cold_most_days"]:
        turn.say(f"{_days(days)} in the cold? Nothing is changed. {rows['cold_usual']}")
        return
    _told(turn, "cold rest", cold_days=days)
    turn.say(f"Cold rest: {_days(days)}, once the gravity is steady. I call it.", str(rows["cold_only_then"]))
    if batch.stage == "ferment" and judge(batch).ready:
        turn.say(str(rows["cold_now"]))
    turn.working = str(rows["cold_why"])


def begun(turn: Turn, intent: Intent) -> None:
    """ "it's in the fridge now": counted from now, and called when it is over; too early it proves nothing."""
    batch, rows = turn.batch, table("rests")
    if batch is None or batch.stage not in ("ferment", "bottle"):
        turn.say("Nothing is fermenting that could rest in the cold.")
        return
    judged = judge(batch)
    days = float(intent.slots["duration_s"]) / 86400 if "duration_s" in intent.slots else batch.recipe.cold_days or _USUAL_COLD
    over = at_hour((turn.now + timedelta(days=days)).date(), turn.state)
    turn.record("note", label="in the cold", text=f"in the cold: {intent.text}")
    turn.working = str(rows["cold_why"])
    turn.offer(("undo", "undo"))
    if not judged.ready:
        turn.say(str(rows["cold_too_early"]))
        return
    # It stands for the check that asks for the cold rest.
    turn.remind(f"{batch.id}:watch:cold_rest", over, str(rows["cold_over"]).format(days=_days(days)), batch=batch.id, kind="check", name="cold_rest", data={"asked": turn.now.isoformat()})
    turn.say(f"Noted. {_days(days)} in the cold, until {wording.local_clock(turn.now, over)}: I call it.")


def of_a_recipe(turn: Turn, text: str) -> None:
    """The rests that a recipe's text asks for, kept with it and said in one line."""
    found, batch = beer_rests(text), turn.batch
    fields = {key: value for key, value in (("warm_day", found.warm_day), ("warm_to", found.warm_to), ("cold_days", found.cold_days)) if value is not None}
    if batch is None or not fields:
        return
    turn.record("recipe_told", label="recipe", recipe=batch.recipe.model_copy(update=fields).model_dump(mode="json"))
    parts = []
    if found.warm_day is not None or found.warm_to is not None:
        to = f" at {wording.temperature(found.warm_to.quantity, turn.state.units)}" if found.warm_to is not None else ""
        parts.append(f"warm rest{to}{f' from day {found.warm_day:g}' if found.warm_day is not None else ''}")
    if found.cold_days is not None:
        parts.append(f"{_days(found.cold_days)} of cold rest")
    turn.say(f"After brewing: {', '.join(parts)}. I call them.")


def advise(turn: Turn, intent: Intent) -> None:
    """ "should I cold crash it": now or not yet; nothing is recorded."""
    batch, rows = turn.batch, table("rests")
    ready = batch is not None and judge(batch).ready
    turn.say(str(rows["cold_now" if ready else "cold_later"]), str(rows["cold_usual"]))
    turn.working = str(rows["cold_why"])


def advise_warm(turn: Turn, intent: Intent) -> None:
    """ "do I need a warm rest"."""
    turn.say(str(table("rests")["warm_usual"]))
    turn.working = str(table("rests")["warm_why"])


HANDLERS: Handlers = {
    "weeks.warm_rest": warm,
    "weeks.cold_rest": cold,
    "weeks.cold_begun": begun,
    "ask.cold_rest": advise,
    "ask.warm_rest": advise_warm,
}
