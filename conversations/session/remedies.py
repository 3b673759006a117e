"""What helps a fermentation, in its order: what was tried already is left out, what is done is kept, and the next step is named."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.session.fermentation import page
from conversations.session.judgement import judge
from conversations.session.state import Batch, State
from conversations.session.turn import Handlers, Turn

AT_A_TIME = 2
_TRIED = re.compile(r"^tried \((\w+)\)")


def tried(batch: Batch, state: State) -> frozenset[str]:
    """The remedies of a stuck fermentation that this batch has had."""
    found = {match[1] for note in batch.notes if (match := _TRIED.match(note)) is not None}
    return frozenset(found | ({"hydrometer"} if "hydrometer_offset" in state.kit.told else set()))


def left(turn: Turn, name: str) -> list[str]:
    """The remedies of a list that were not tried yet; only those for a stuck beer are ticked off."""
    lines: list[str] = page("remedies")[name]
    batch = turn.batch
    if name != "stuck" or batch is None:
        return lines
    gone = tried(batch, turn.state)
    return [line for key, line in zip(page("remedies")["stuck_keys"], lines, strict=True) if key not in gone]


def say_some(turn: Turn, name: str, start: int = 0) -> None:
    """The first remedies of a list; "what else" gives the next ones."""
    lines = left(turn, name)
    turn.say(*lines[start : start + AT_A_TIME])
    turn.question = {"more": name, "start": start + AT_A_TIME}
    turn.expects = "more"
    if start + AT_A_TIME < len(lines):
        turn.offer(("what else?", "what else"))


def more(turn: Turn, intent: Intent) -> None:
    """ "what else": the next remedies of the list that was begun."""
    question = turn.state.question or {}
    name = question.get("more")
    if name is None:
        turn.say("There is no list to go on with. Send the temperature or a gravity.")
    elif int(question["start"]) >= len(left(turn, str(name))):
        turn.say(page("remedies")["no_more"][str(name)])
    else:
        say_some(turn, str(name), int(question["start"]))


def took(turn: Turn, intent: Intent) -> None:
    """ "I swirled it", "warmed it to 22": kept, and what comes next if that does not help."""
    batch, step = turn.batch, str(intent.slots["step"])
    if batch is None:
        return
    page_ = page("remedies")
    judged = judge(batch)
    turn.record("note", label=intent.text or step, text=f"tried ({step}): {intent.text or step}")
    if not judged.stuck:
        turn.say(page_["stuck_taken"][step] if judged.last is None else f"Noted. {page_['not_stuck_taken']}")
        return
    turn.say(page_["stuck_taken"][step])
    following = left(turn, "stuck")
    if following:
        turn.say(f"If it has not moved then, next: {following[0]}")
        turn.question, turn.expects = {"more": "stuck", "start": 1}, "more"
    turn.offer(("undo", "undo"))


def first_taken(turn: Turn) -> bool:
    """ "done" behind the remedies of a stuck beer: the first of them that was not tried; False where none was spoken of."""
    if (turn.state.question or {}).get("more") != "stuck" or turn.batch is None:
        return False
    open_steps = [key for key in page("remedies")["stuck_keys"] if key not in tried(turn.batch, turn.state)]
    if not open_steps:
        return False
    took(turn, Intent(name="weeks.remedy", slots={"step": open_steps[0]}, text="done"))
    return True


def more_yeast(turn: Turn, intent: Intent) -> None:
    """ "should I add more yeast": the last of the remedies, and none before it is needed."""
    batch, rows = turn.batch, page("remedies")
    if batch is None or not judge(batch).stuck:
        turn.say(rows["no_yeast_needed"])
        return
    open_steps = left(turn, "stuck")
    last = rows["stuck"][-1]
    if open_steps and open_steps[0] != last:
        turn.say(f"Only when nothing gentler helps. First: {open_steps[0]}")
        turn.question, turn.expects = {"more": "stuck", "start": 1}, "more"
    turn.say(last)


def sugar(turn: Turn, intent: Intent) -> None:
    """ "should I add sugar" while it ferments."""
    rows = page("remedies")
    stuck = turn.batch is not None and judge(turn.batch).stuck
    turn.say(rows["no_sugar"], rows["stuck_never"] if stuck else "")
    turn.say("" if stuck else 'Fizz is another thing: "how much sugar" tells that for bottling.')


HANDLERS: Handlers = {
    "ask.more_yeast": more_yeast,
    "ask.sugar_help": sugar,
    "ask.more": more,
    "weeks.cannot": more,
    "weeks.remedy": took,
}
