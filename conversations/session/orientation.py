"""Where somebody stands in the day: what is next, help, a greeting, a slip of the finger."""

from __future__ import annotations

import re
from datetime import UTC, timedelta
from functools import cache

from conversations.intents import Intent
from conversations.session import hop_additions, stage_clocks, watch, weeks_here, wording
from conversations.session.events import Reminder
from conversations.session.stages import cautions
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.words import word_set

_BEGIN = '"brew 8 litres of brown ale" starts a batch; then I ask for its recipe. "what recipes do you have" lists ours.'
_SEND = 'Send readings ("gravity 1.050 at 25 C", "stick 14.5 cm", "67 C"), ask ("what\'s next", "how long left", "why?"),'
_AND = 'set timers ("timer 10 minutes"), take back ("undo").'
_RECIPE_TOLD = '"plan" tells what the recipe gives, "what do I need" what to buy. Then say "next".'
_SLIPS = frozenset({"oops", "whoops", "oopsie"})
_FRESH = timedelta(minutes=10)
"""How long a call that was not answered is what comes next."""
_HEARD = timedelta(minutes=30)
"""How long "the timer went" may be of a call of ours."""
SOON = ":soon"
"""End of the key of a heads-up, which goes before the reminder with the rest of its key."""


def coming(turn: Turn) -> list[Reminder]:
    """What falls due, the first one first; a heads-up is left out where the thing itself follows."""
    waiting = turn.state.reminders
    kept = [each for key, each in waiting.items() if not (key.endswith(SOON) and key.removesuffix(SOON) in waiting) and not watch.is_past(turn, each)]
    return sorted(kept, key=lambda each: each.due)


def next_action(turn: Turn, intent: Intent) -> None:
    """What waits already, else what the stage asks for; then what falls due after it."""
    if turn.stage is None:
        help_here(turn, intent)
        return
    if weeks_here.stands(turn):
        return
    waits = _waits(turn)
    turn.say(*(waits or [_here(turn)]))
    here = turn.now.astimezone(UTC)
    due = next((each for each in coming(turn) if each.text not in waits and (each.kind != "hop" or each.due > here)), None)
    if due is None or (turn.batch is not None and turn.batch.paused_at is not None):
        return
    if due.due < here:
        turn.say(f"Overdue since {wording.clock(due.due.astimezone(turn.now.tzinfo), turn.now)}: {due.text}")
    else:
        turn.say(f"Then in {wording.duration((due.due - here).total_seconds())}: {due.text}")


def _waits(turn: Turn) -> list[str]:
    """What is held, was called and is not done yet, or is over: it comes before anything that the stage asks for."""
    batch, stage = turn.batch, turn.stage
    if batch is None or stage is None:
        return []
    if batch.paused_at is not None:
        on = "back on the boil" if batch.stage == "boil" else "resume"
        return [f'{stage.title} is paused. {stage_clocks.left(turn, batch.stage)} Say "{on}" and it goes on.']
    found = []
    if batch.stage == "boil":
        for hop in hop_additions.waiting(batch):
            told = hop_additions.due(batch, hop, turn.now)
            if told is not None and told <= turn.now:
                found.append(f'{hop_additions.shown(turn, hop)}, due since {wording.clock(told, turn.now)}: say "hops in" when they are, or "skip".')
    if batch.stage in stage_clocks.ENDS and stage_clocks.is_over(turn, batch.stage):
        calls = {row.key: row.text for row in stage.reminders}
        found.append(calls.get(stage_clocks.ENDS[batch.stage]) or 'Flame-out: hob off, then say "flame out".')
    return found


def _here(turn: Turn) -> str:
    if turn.stage is None or turn.batch is None:
        return ""
    batch, stage = turn.batch, turn.stage
    called = turn.state.last_fired
    if called is not None and called.kind == "stage" and called.batch == batch.id and batch.stage_since <= called.due and not called.key.endswith(SOON):
        since = turn.now.astimezone(UTC) - called.due
        if since <= _FRESH and not any(each.at >= called.due for each in batch.readings):
            return f"{stage.title}: {called.text}"
    told = batch.stage == "plan" and bool(batch.recipe.grains)
    asks = stage.then if stage.then and _read_since(batch).issuperset(stage.once) else stage.asks
    return f"{stage.title}: {_RECIPE_TOLD if told else asks}"


def _read_since(batch: Batch) -> set[str]:
    """What was read since the stage began."""
    return {"volume" if each.kind == "depth" else each.kind for each in batch.readings if each.stage == batch.stage and each.at >= batch.stage_since}


def called(turn: Turn, intent: Intent) -> None:
    """ "the timer went": what was called last, and how to say that it is done; what is not told is not ticked."""
    last = turn.state.last_fired
    if last is None or turn.now.astimezone(UTC) - last.due > _HEARD:
        turn.say("None of my clocks rang in the last minutes.", _here(turn))
        return
    since = wording.clock(last.due.astimezone(turn.now.tzinfo), turn.now)
    turn.say(f"{since}: {last.text}", 'Say "done" when it is.')
    turn.offer(("done", "done"), ("in 5 minutes", "in 5 minutes"))


def help_here(turn: Turn, intent: Intent) -> None:
    """How to begin, or what the running stage waits for, and then what can be sent."""
    if weeks_here.stuck(turn):
        return
    turn.say(_here(turn) or _BEGIN, _SEND, _AND)


def greets(text: str) -> bool:
    """Whether a message is a greeting and no more."""
    words = set(text.lower().replace("!", " ").replace(",", " ").strip(" .?").split())
    return bool(words & word_set("greetings")) and words <= word_set("greetings") | word_set("greeted")


_IN_THE_WEEKS = frozenset({"pitch", "ferment", "bottle", "condition"})
_MOST_WORDS = 14
_FIGURES = re.compile(r"\d|\b(two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|forty|fifty|half|point)\b", re.IGNORECASE)


@cache
def _talk() -> re.Pattern[str]:
    return re.compile(r"(?<!\w)(" + "|".join(sorted(map(re.escape, word_set("small_talk")), key=len, reverse=True)) + r")(?!\w)", re.IGNORECASE)


def small_talk(turn: Turn, text: str) -> bool:
    """Answer "it looks so lovely in there" as talk while a beer is at work; False for anything that could be meant."""
    if turn.batch is None or turn.batch.stage not in _IN_THE_WEEKS or len(text.split()) > _MOST_WORDS or _FIGURES.search(text):
        return False
    if asks(text) or has_question_word(text) or _talk().search(text.replace("’", "'")) is None:
        return False
    turn.say('All right, that is only between us: nothing is recorded. "what\'s next" says where it stands.')
    return True


def pleasantry(turn: Turn, text: str) -> None:
    """Answer what asks for nothing; "oops" is told how to take back, since nothing was."""
    slip = not _SLIPS.isdisjoint(text.lower().replace(",", " ").replace("!", " ").replace(".", " ").split())
    if slip and turn.state.undo:
        turn.say(f'Nothing is changed. "undo" takes back the last: {turn.state.undo[-1][0].rstrip(".")}.')
        turn.offer(("undo", "undo"))
    else:
        turn.say("All right.")


def missed(turn: Turn, intent: Intent) -> None:
    """ "did I miss anything": what was called or is due and not told as done, and readings that are still wanted here."""
    batch, stage = turn.batch, turn.stage
    if batch is None or stage is None:
        help_here(turn, intent)
        return
    here = turn.now.astimezone(UTC)
    waits = _waits(turn)
    waits += [f"Not ticked yet, due since {wording.clock(each.due.astimezone(turn.now.tzinfo), turn.now)}: {each.text}" for each in coming(turn) if each.due < here and each.kind != "hop"][:2]
    read = {"volume" if each.kind == "depth" else each.kind for each in batch.readings if each.stage == batch.stage}
    wanted = [kind for kind in stage.once if kind not in read]
    if wanted:
        waits.append(f"Not sent yet: {' and '.join(wanted)}.")
    turn.say(*(waits or ["Nothing by my notes."]))
    turn.say("" if waits else _here(turn))


def why(turn: Turn, intent: Intent) -> None:
    """ "why?": the working behind the last answer; what was asked before stays open, a doubted reading or a list that goes on."""
    turn.expects, turn.question = turn.state.expects, turn.state.question
    turn.say(turn.state.why or "There is no sum behind the last answer.")


def time_now(turn: Turn, intent: Intent) -> None:
    """What time it is."""
    now = turn.now
    turn.say(f"{now.strftime('%H:%M')}, {now.strftime('%A')} {now.day} {now.strftime('%B')}.")


def caution(turn: Turn, intent: Intent) -> None:
    """What to mind at the stage."""
    keys = turn.stage.caution if turn.stage else ()
    turn.say(*(cautions()[key] for key in keys or ("scald",)))


HANDLERS: Handlers = {
    "ask.why": why,
    "ask.time": time_now,
    "ask.caution": caution,
    "ask.next": next_action,
    "ask.status": next_action,
    "ask.help": help_here,
    "ask.called": called,
    "ask.missed": missed,
}
