"""The days to come of a beer at work: when it may be bottled, and when it can be drunk."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from conversations.session import watch
from conversations.session.fermentation import pace
from conversations.session.judgement import judge, steady_run
from conversations.session.state import Batch
from conversations.session.turn import Turn

_PROOF_DAYS = 2
"""Days between the two gravities that must agree before it is bottled."""


def in_days(at: date, now: datetime) -> str:
    """A day, and in how many days that is."""
    left = (at - now.date()).days
    return f"{at:%A} {at.day} {at:%B}" + (f", in {left} day{'s' if left != 1 else ''}" if left > 0 else "")


def bottling_day(turn: Turn, batch: Batch) -> date:
    """The first day on which it may be bottled as things stand."""
    judged = judge(batch)
    if judged.ready or batch.stage == "bottle":
        return turn.now.date()
    run = steady_run(judged)
    if run is not None:
        return max(turn.now, run.at.astimezone(turn.now.tzinfo) + timedelta(days=_PROOF_DAYS)).date()
    if judged.forecast is not None:
        finish = max(judged.at_day(judged.forecast.finished).astimezone(turn.now.tzinfo), turn.now).date()
    else:
        usual = round(pace(judged.style)["first_gravity"] * watch.pace_factor(batch)) + _PROOF_DAYS
        finish = max(judged.pitched.astimezone(turn.now.tzinfo).date() + timedelta(days=usual), turn.now.date())
    return finish + timedelta(days=_PROOF_DAYS)


def ahead(turn: Turn, batch: Batch) -> list[str]:
    """When it is ready to drink, and what lies before it."""
    days = watch.conditioning_days(batch)
    bottling = bottling_day(turn, batch)
    lines = [f"Ready to drink about {in_days(bottling + timedelta(days=days), turn.now)}."]
    if batch.stage == "ferment" and not judge(batch).ready:
        return [*lines, f"Bottling about {in_days(bottling, turn.now)}, if two gravities agree; then {days} days in the bottle."]
    return [*lines, f"Bottled today it wants {days} days in the bottle, at room temperature."]
