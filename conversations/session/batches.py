"""Finding a batch by what the person calls it; batches of one name are told apart by their date."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from conversations.intents import Intent
from conversations.session import readings
from conversations.session.state import Batch, State
from conversations.session.turn import Handlers, Turn

_SHOWN = 8
_LAST = frozenset(["last", "last batch", "last one", "last brew", "last beer", "previous", "previous batch", "one before"])
_THIS = frozenset(["this", "this one", "this batch", "current", "current batch", "batch", "beer", "it"])


def day_words(at: datetime, state: State) -> str:
    """A day with its year: "14 March 2026"."""
    here = at.astimezone(ZoneInfo(state.zone))
    return f"{here.day} {here:%B} {here.year}"


def label(batch: Batch, state: State) -> str:
    """The batch's name, with the date (and hour, on one day) where another one has the same."""
    same = [each for each in state.batches if each.name.lower() == batch.name.lower() and each.id != batch.id]
    if not same:
        return batch.name
    day = day_words(batch.started, state)
    if any(day_words(each.started, state) == day for each in same):
        day += f" {batch.started.astimezone(ZoneInfo(state.zone)):%H:%M}"
    return f"{batch.name} ({day})"


def before(state: State, batch: Batch | None) -> Batch | None:
    """The batch that was begun before this one; the newest where there is none."""
    older = [each for each in state.batches if batch is None or each.started < batch.started]
    return max(older, key=lambda each: each.started, default=None)


def find(state: State, words: str) -> list[Batch]:
    """The batches that are meant, newest first: by name, by a word of it, or "last" and "this"."""
    said = words.lower().strip(" .?!'\"").removeprefix("the ").removeprefix("my ")
    current = next((each for each in state.batches if each.id == state.current), None)
    if said in _LAST:
        found = before(state, current)
        return [found] if found is not None else []
    if not said or said in _THIS:
        return [current] if current is not None else []
    newest = sorted(state.batches, key=lambda each: each.started, reverse=True)
    exact = [each for each in newest if each.name.lower() == said]
    partly = [each for each in newest if said in each.name.lower()]
    by_word = [each for each in newest if set(said.split()) & set(each.name.lower().split())]
    return exact or partly or by_word


def switch(turn: Turn, intent: Intent) -> None:
    """Turn to another batch; several of one name are offered with their dates."""
    state = turn.state
    if "number" in intent.slots:
        found = [each for each in state.batches if each.id == int(float(intent.slots["number"]))]
    else:
        found = find(state, str(intent.slots.get("name", "")))
    if not found:
        turn.say(f"No batch is called {intent.slots.get('name', 'that')}. \"batches\" lists them.")
        return
    running = [each for each in found if each.stage != "condition"]
    choices = running if len(running) > 1 else []
    if len({each.name for each in choices}) == 1:
        turn.say(f"{len(choices)} batches are called {choices[0].name}. Which one?")
        turn.offer(*((label(each, state), f"switch to number {each.id}") for each in choices[:4]))
        turn.expects, turn.question = state.expects, state.question
        return
    chosen = running[0] if running else found[0]
    turn.record("switched", label=f"switch to {chosen.name}", batch=chosen.id, chosen=True)
    turn.say(f"{label(chosen, turn.state)}, at {chosen.stage}.")
    if state.expects == "batch.switch" and state.question is not None:
        readings.record(turn, Intent.model_validate(state.question["intent"]))


def listed(turn: Turn, intent: Intent) -> None:
    """Every batch with its stage, the newest last."""
    state = turn.state
    turn.say(*(f"{label(each, state)}: {each.stage}" for each in state.batches[-_SHOWN:]))
    if not state.batches:
        turn.say('No batch yet. "brew 5 litres of ..." starts one.')


HANDLERS: Handlers = {"batch.switch": switch, "batch.number": switch, "batch.list": listed}
