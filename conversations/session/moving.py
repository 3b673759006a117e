"""The fermenter moved to another place: asked by what it reads now and where to, told as a note."""

from __future__ import annotations

import re
from functools import cache

from conversations.intents import Intent
from conversations.session import noted, rests_of_beer, warmth, wording
from conversations.session.judgement import judge
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth
from conversations.understanding.words import word_set

_GENTLY = "Lift it with the lid on and set it down softly; let it settle a day before a gravity or bottling."
_COLDER = re.compile(r"\b(cold|colder|cool|cooler|chilly|fridge|cellar|basement|garage|shed|outside|balcony|porch)\b", re.IGNORECASE)
_WARMER = re.compile(r"\b(warm|warmer|hot|hotter|radiator|boiler|airing|heated|upstairs)\b", re.IGNORECASE)

_OF_PEOPLE = re.compile(r"\W*(ok\W+|right\W+|and\W+)*(i['’]?m|i am|we['’]?re|we are)\b", re.IGNORECASE)
_TOO_WARM = re.compile(r"\b(too|so|very|getting) (warm|hot)\b|\b(warm|hot)(er)? (in |out |over )?(here|where it is)\b", re.IGNORECASE)
_TOO_COLD = re.compile(r"\b(too|so|very|getting) (cold|cool|chilly)\b|\b(cold|cool|chilly)(er)? (in |out |over )?(here|where it is)\b", re.IGNORECASE)


_COLD = re.compile(r"\b(fridge|refrigerator)\b", re.IGNORECASE)


@cache
def _spots() -> re.Pattern[str]:
    which, spots = ("|".join(sorted(word_set(name), key=len, reverse=True)) for name in ("which_spot", "spots"))
    rooms = "|".join(sorted(word_set("rooms"), key=len, reverse=True))
    before = r"\b(in|into|to|on|onto|under|by|beside|near|next to)"
    return re.compile(rf"{before} ((?:(?:the|a|my|our) )?(?:(?:{which}|{rooms}) )*(?:{rooms}|{spots}))\b", re.IGNORECASE)


def _there(text: str) -> str:
    """The spot that is named, as it is said: "in the hall cupboard"; empty where none is."""
    found = _spots().search(text)
    if found is None:
        return ""
    before = {"into": "in", "to": "in", "onto": "on"}.get(found[1].lower(), found[1].lower())
    return f"{before} {found[2].lower()}"


def _message(turn: Turn, intent: Intent) -> str:
    """All that was said: "it's colder in there" stands behind the question."""
    return next((str(event.data["text"]) for event in turn.events if event.kind == "heard"), intent.text)


def _wanted(text: str) -> tuple[bool, bool]:
    """Whether it is to go where it is colder, or where it is warmer: "it's too warm here" asks for the cold."""
    if _TOO_WARM.search(text) is not None:
        return True, False
    if _TOO_COLD.search(text) is not None:
        return False, True
    return _COLDER.search(text) is not None, _WARMER.search(text) is not None


def asked(turn: Turn, intent: Intent) -> None:
    """ "can I move it to the bathroom, it's colder in there": by the last temperature and by where it goes."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        turn.say("No batch is open.")
        return
    colder, warmer = _wanted(_message(turn, intent))
    right, finished = yeast_warmth(batch.recipe, units), judge(batch).ready
    read = [each for each in batch.readings if each.kind == "temperature" and each.stage in ("pitch", "ferment") and turn.now - each.at <= warmth.FRESH]
    if finished and colder and not warmer:
        turn.say(f"Yes: it has finished, and two days in the cold let the yeast settle. {_GENTLY}")
        return
    if colder == warmer:
        turn.say(f"You can move it, at any time. {_GENTLY}", f"What counts is what it reads there: {right.words} for {right.yeast}, dark and steady.")
        return
    if not read:
        turn.say(f"It wants {right.words} ({right.yeast}): send what the fermenter reads now, and I say whether {'colder' if colder else 'warmer'} is better.")
        turn.expects = "reading.temperature"
        return
    value = read[-1].best
    shown = wording.temperature(value, units)
    if (colder and value > right.high) or (warmer and value < right.low):
        turn.say(f"Yes, move it: {shown} is too {'warm' if colder else 'cold'} for {right.yeast} ({right.words}). {_GENTLY}", "Send what it reads there in a few hours.")
    elif (colder and value < right.low) or (warmer and value > right.high):
        turn.say(f"Better not: it is at {shown} already, and {right.yeast} wants {right.words}.")
    else:
        turn.say(f"No need: {shown} is right for {right.yeast} ({right.words}).", _further(turn, batch, colder))


def _further(turn: Turn, batch: Batch, colder: bool) -> str:
    if colder:
        return "Much colder, and the yeast may fall asleep before it has finished."
    return "A little warmer does good towards the end; in the first days it does not." if not judge(batch).ready else ""


def moved(turn: Turn, intent: Intent) -> None:
    """ "moved it into the hall cupboard": a note, what it wants there, and a word of warning for a fridge."""
    if _COLD.search(_message(turn, intent)) and turn.batch is not None and turn.batch.stage in ("ferment", "bottle") and judge(turn.batch).ready:
        rests_of_beer.begun(turn, intent)
        return
    if _OF_PEOPLE.match(_message(turn, intent)) is not None:
        # "I'm in the kitchen now"
        turn.say("All right. Nothing is recorded.")
        return
    batch, there = turn.batch, _there(intent.text)
    if batch is not None and ("fridge" in there or "freezer" in there) and not judge(batch).ready:
        turn.record("note", label=intent.text, text=intent.text)
        turn.say("Noted. A fridge stops the yeast, and it is not proven finished: take it out again unless it is set to the yeast's warmth.")
        turn.offer(("undo", "undo"))
    else:
        noted.keep(turn, intent)
    if batch is not None:
        right = yeast_warmth(batch.recipe, turn.state.units)
        turn.say(f"It wants {right.words} there ({right.yeast}).")


HANDLERS: Handlers = {"ask.move": asked, "done.fermenter_moved": moved}
