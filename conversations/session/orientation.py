"""Where somebody stands in the day: what is next, help, a greeting, a slip of the finger."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import stage_clocks, wording
from conversations.session.events import Reminder
from conversations.session.stages import stages
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.understanding.words import word_set

_BEGIN = '"brew 8 litres of brown ale" starts a batch; then I ask for its recipe. "what recipes do you have" lists ours.'
_SEND = 'Send readings ("gravity 1.050 at 25 C", "stick 14.5 cm", "67 C"), ask ("what\'s next", "how long left", "why?"),'
_AND = 'set timers ("timer 10 minutes"), take back ("undo").'
_RECIPE_TOLD = '"plan" tells what the recipe gives, "what do I need" what to buy. Then say "next".'
_SLIPS = frozenset({"oops", "whoops", "oopsie"})
_TIMED = ("mash", "boil")
_EARLY_S = 600.0
"""Seconds before the end of a stage from which leaving it may be a slip."""
SOON = ":soon"
"""End of the key of a heads-up, which goes before the reminder with the rest of its key."""


def coming(turn: Turn) -> list[Reminder]:
    """What falls due, the first one first; a heads-up is left out where the thing itself follows."""
    waiting = turn.state.reminders
    kept = [each for key, each in waiting.items() if not (key.endswith(SOON) and key.removesuffix(SOON) in waiting)]
    return sorted(kept, key=lambda each: each.due)


def next_action(turn: Turn, intent: Intent) -> None:
    """The stage, what it asks for, and what falls due after it."""
    if turn.stage is None:
        help_here(turn, intent)
        return
    turn.say(_here(turn))
    due = next(iter(coming(turn)), None)
    if due is not None and due.due < turn.now:
        turn.say(f"Overdue since {wording.clock(due.due.astimezone(turn.now.tzinfo), turn.now)}: {due.text}")
    elif due is not None:
        turn.say(f"Then in {wording.duration((due.due - turn.now).total_seconds())}: {due.text}")


def _here(turn: Turn) -> str:
    if turn.stage is None or turn.batch is None:
        return ""
    told = turn.batch.stage == "plan" and bool(turn.batch.recipe.grains)
    return f"{turn.stage.title}: {_RECIPE_TOLD if told else turn.stage.asks}"


def help_here(turn: Turn, intent: Intent) -> None:
    """How to begin, or what the running stage waits for, and then what can be sent."""
    turn.say(_here(turn) or _BEGIN, _SEND, _AND)


def cut_short(turn: Turn, batch: Batch, following: str) -> str:
    """What is said where a mash or boil is left long before its end; empty where it is not."""
    names = list(stages())
    end = stage_clocks.end_of(turn, batch.stage) if batch.stage in _TIMED else None
    if end is None or names.index(following) < names.index(batch.stage):
        return ""
    left = (end.due - turn.now).total_seconds()
    return f'That is {wording.duration(left)} before the end of the {batch.stage}. A slip? "undo" goes back to it.' if left > _EARLY_S else ""


def greets(text: str) -> bool:
    """Whether a message is a greeting and no more."""
    words = set(text.lower().replace("!", " ").replace(",", " ").strip(" .?").split())
    return bool(words & word_set("greetings")) and words <= word_set("greetings") | word_set("greeted")


def pleasantry(turn: Turn, text: str) -> None:
    """Answer what asks for nothing; "oops" is told how to take back, since nothing was."""
    slip = not _SLIPS.isdisjoint(text.lower().replace(",", " ").replace("!", " ").replace(".", " ").split())
    if slip and turn.state.undo:
        turn.say(f'Nothing is changed. "undo" takes back the last: {turn.state.undo[-1][0].rstrip(".")}.')
        turn.offer(("undo", "undo"))
    else:
        turn.say("All right.")


HANDLERS: Handlers = {"ask.next": next_action, "ask.status": next_action, "ask.help": help_here}
