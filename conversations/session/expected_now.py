""" "what should it be down to": what the beer should read by now and where it ends; of what is not beer yet, what is waited for."""

from __future__ import annotations

from datetime import timedelta

from calc.alcohol import gravity_at_attenuation
from calc.errors import OutOfRange
from calc.units import quantity
from calc.yeast import attenuation_range
from conversations.intents import Intent
from conversations.session import batch_questions, progress, wording
from conversations.session.fermentation import type_words
from conversations.session.judgement import Judgement, days_since, judge
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth

_TO_BE_COOLED = ("steep", "chill", "transfer", "pitch")
_JUST_READ = timedelta(hours=12)
"""A gravity as young as this is what it is down to by now."""


def down_to(turn: Turn, intent: Intent) -> None:
    """By the stage: degrees of wort that cools, the gravity of beer."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.")
    elif batch.stage in _TO_BE_COOLED:
        right = yeast_warmth(batch.recipe, turn.state.units)
        turn.say(f"{right.words} for {right.yeast}: then the yeast goes in.")
    elif batch.stage == "ferment":
        _beer(turn, batch)
    elif batch.stage in ("bottle", "condition"):
        judged = judge(batch)
        turn.say(f"It ended at {wording.gravity(judged.last.best)}, and stays there." if judged.last is not None else "No gravity was taken in the fermenter.")
    else:
        batch_questions.target(turn, Intent(name="ask.target", slots={"kind": "temperature"}, text=intent.text))


def _beer(turn: Turn, batch: Batch) -> None:
    judged = judge(batch)
    turn.working = progress.working(judged, batch, turn.now)
    if judged.original is None:
        turn.say('That hangs on the original gravity, which I do not know: "og was 1.046" tells me.')
        return
    if judged.last is None:
        usual = attenuation_range(judged.style)
        low, high = (wording.gravity(gravity_at_attenuation(judged.original, share)) for share in (usual.high, usual.low))
        turn.say(f"{low} to {high} when it is done, from {wording.gravity(judged.original)}: usual for {type_words(judged.style)} yeast.")
        turn.say("How far it is by now a first gravity tells.")
        progress.say_next(turn, batch)
        return
    shown = f"{wording.gravity(judged.last.best)} on {progress.date_words(judged.last.at, turn.now)}"
    if judged.ready:
        turn.say(f"It is down: {shown}. {progress.verdict(judged)}")
        return
    band = _by_now(judged, turn)
    if band:
        turn.say(f"{band} It was {shown}.")
    turn.say(progress.forecast_line(judged, turn.now) or progress.verdict(judged))
    if not band:
        turn.say(f"{shown} is the newest.")


def _by_now(judged: Judgement, turn: Turn) -> str:
    """What it should read now by the curve of its gravities; empty where the last one is of today or they make no curve."""
    if judged.last is None or judged.original is None or turn.now - judged.last.at < _JUST_READ:
        return ""
    # numpy and scipy take half a second to load, and most messages need no forecast.
    from calc.final_gravity import forecast_curve

    usual = attenuation_range(judged.style)
    points = [(quantity(days_since(judged.pitched, each.at), "day"), each.best) for each in judged.gravities if each.at > judged.pitched and each is not judged.left_out]
    try:
        low, middle, high = forecast_curve(points, judged.original, [quantity(days_since(judged.pitched, turn.now), "day")], attenuation=(usual.low, usual.high))[0]
    except OutOfRange:
        return ""
    return f"About {wording.gravity(middle)} by now ({wording.gravity(low)} to {wording.gravity(high)})."


def target(turn: Turn, intent: Intent) -> None:
    """ "what gravity should I expect": of fermenting beer what it is down to and where it ends, else the plan's figures."""
    if turn.batch is not None and turn.batch.stage == "ferment" and intent.slots["kind"] == "gravity":
        down_to(turn, intent)
    else:
        batch_questions.target(turn, intent)


HANDLERS: Handlers = {"ask.down_to": down_to, "ask.target": target}
