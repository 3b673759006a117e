"""One step of the session: a message or a due reminder in, an outcome out. No clock, no I/O, no chance."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pint

from calc.errors import OutOfRange
from conversations.intents import Context, Intent, Measured
from conversations.session import (
    about_another,
    batch_names,
    before_the_end,
    boil_clock,
    bottling,
    echo,
    edits,
    hop_additions,
    learned,
    not_got,
    orientation,
    overdue,
    pictures,
    readings,
    recipe_line,
    recipe_paste,
    recipe_rests,
    remedies,
    stock_drawn,
    timers,
    two_figures,
    watch,
    water_beside,
    water_report,
    wording,
)
from conversations.session.events import Due, Heard
from conversations.session.handlers import BESIDE, FREE_TEXT, GATHERED
from conversations.session.outcome import Outcome
from conversations.session.stages import opened_by
from conversations.session.state import State
from conversations.session.turn import Handlers, Turn
from conversations.understanding.answers import find_answer
from conversations.understanding.asking import asks
from conversations.understanding.beyond_sentences import read
from conversations.understanding.glossary import defined
from conversations.understanding.understand import understand
from conversations.understanding.words import MOST_PIECES, count_pieces

LONGEST = 2000
_VERB = re.compile(r"\b(is it|is|are|does|do|did|was|will it|will|can it)\W*$", re.IGNORECASE)
CORRECTED = "Corrected:"
LONGEST_RECIPE = 12_000


def context_of(state: State, now: datetime) -> Context:
    """What understanding may know of this chat."""
    turn = Turn(state, now)
    batch = turn.batch
    names = [timer.name for timer in state.timers if timer.name]
    pending = (state.question or {}).get("intent")
    if batch:
        names += [hop.name for hop in batch.recipe.hops]
    return Context(
        now=turn.now,
        zone=state.zone,
        units=state.units,
        stage=batch.stage if batch else None,
        # What is taken by its own words alone changes nothing of how another message is read.
        expects=None if state.expects in BESIDE else state.expects,
        # A reading that was questioned is what is spoken of, though nothing of it is recorded yet.
        last=Intent.model_validate(pending) if pending else state.last,
        names=tuple(names),
        reminded_of=tuple(each.text for each in state.reminders.values() if each.kind == "reminder"),
    )


def step(state: State, message: Heard | Due, now: datetime) -> Outcome:
    """What this message does to this chat; the same three arguments always give the same outcome."""
    turn = Turn(state, now)
    if isinstance(message, Due):
        named = (state.reminders[key] for key in (message.key, *message.also) if key in state.reminders)
        # One that was put off while this waited to be read (a full disk, a stop) has not fallen due.
        due = [each for each in named if each.due <= now]
        if not due:
            return Outcome(state=state)
        overdue.fire_all(turn, due)
        turn.expects, turn.question = state.expects, state.question
        asks = due[-1].data.get("asks")
        if turn.question is None and asks in ("gravity", "temperature"):
            turn.expects = f"reading.{asks}"
        watch.settle(turn)
        return turn.outcome()
    # Control characters could move a terminal's cursor when a message is shown again.
    text = "".join(letter for letter in message.text if letter.isprintable() or letter in "\n\t")
    turn.note_event("heard", text=text[:LONGEST_RECIPE], who=message.who)
    turn.who = "" if message.who == "me" else message.who
    if state.clock is not None and turn.now < state.clock - timedelta(minutes=2):
        turn.say(
            f"The clock went back {wording.duration((state.clock - turn.now).total_seconds())}; times below follow it."
        )
    if message.recording:
        turn.note_event("recording", path=message.recording, text=text[:LONGEST])
    if message.photo:
        pictures.keep(turn, message.photo, text[:LONGEST])
    if message.photo and pictures.of_writing(text):
        return turn.outcome()
    if message.photo and not (text.strip() and understand(text, context_of(turn.state, turn.now)).intents):
        # A caption is a name for the picture, unless it says something that is to be done.
        return turn.outcome()
    if message.spoken and not text.strip():
        echo.ask(turn, message.perhaps, message.complaint)
    elif not text.strip():
        turn.say('That was empty. Send a reading or "help".')
    elif recipe_paste.is_recipe(text, turn):
        handle(turn, Intent(name="recipe.text", slots={"text": text}, text=text[:60]))
        turn.understood = "a recipe. "
    elif (line := recipe_line.told(text, turn)) is not None:
        handle(turn, line)
        turn.understood = f'"{line.text}" as {line.name.replace(".", ", ")}. '
    elif water_report.is_told(text):
        handle(turn, Intent(name="kit.report", slots={"text": text}, text=text[:60]))
        turn.understood = "a report on the water. "
    elif recipe_rests.are_told(text, turn):
        handle(turn, Intent(name="recipe.rests", slots={"text": text}, text=text[:60]))
        turn.understood = "the rests of a mash. "
    elif len(text) > LONGEST:
        turn.say(f"That is too long ({len(text)} characters, {LONGEST} at most). Send it in parts.")
    elif not edits.edited(turn, message, text, context_of(turn.state, turn.now)):
        _understood(turn, text)
        if message.spoken:
            echo.say_back(turn, read(text, context_of(state, turn.now)).intents)
    return turn.outcome()


def _understood(turn: Turn, text: str) -> None:
    if (turn.state.expects or "") not in FREE_TEXT and (of_one := about_another.asked(turn, text)) is not None:
        handle(turn, of_one)
        return
    reading = read(text, context_of(turn.state, turn.now))
    taken = FREE_TEXT.get(turn.state.expects or "")
    if taken is not None and taken(turn, reading, text):
        watch.settle(turn)
        return
    if defined(text, certain=True) is not None and _answers(turn, text):
        return
    idle = turn.state.question is None and turn.state.expects is None
    asked = reading.intents and all(intent.name.startswith("ask.") or (idle and intent.name in ("yes", "no")) for intent in reading.intents)
    names = {intent.name for intent in reading.intents}
    found = find_answer(text, turn.batch.stage if turn.batch is not None else "none") if names else None
    if (asked and _answers(turn, text, hazard=not reading.unread)) or (found is not None and names <= found.instead and _answers(turn, text)):
        # "can I open a bottle that is bulging" asks when to drink; what could hurt somebody is answered first, and what was
        # read as a question in part only ("dry lumps, what do I do") may have its answer as a whole.
        return
    if reading.taken_for:
        # Before what comes of it: it was said in other words.
        turn.say(f'Taken as "{reading.taken_for}":')
    for intent in two_figures.agreed(turn, water_beside.set_apart(turn, text, reading.intents)):
        said = len(turn.lines)
        with about_another.answered_of(turn, text, intent):
            handle(turn, recipe_paste.meant_size(turn, intent))
        if intent.name.startswith("ask."):
            # "where do they go and how warm" has one answer.
            turn.lines[said:] = [line for line in turn.lines[said:] if line not in turn.lines[:said]]
        if intent.name != "ask.understood":
            turn.understood += f'"{intent.text}" as {intent.name.replace(".", ", ").replace("_", " ")}. '
    if not reading.intents and count_pieces(text) > MOST_PIECES:
        turn.say(f"That is too much at once (more than {MOST_PIECES} words and figures). Send it in parts.")
        return
    if not reading.intents and orientation.greets(text):
        orientation.next_action(turn, Intent(name="ask.next"))
        return
    if not reading.intents and _answers(turn, text):
        return
    if reading.intents and reading.unread:
        # "66 degrees, dry lumps in the middle": what is left may be a mishap or a question that has its answer.
        left = tuple(piece for piece in reading.unread if not _answers(turn, _with_its_verb(text, piece), beside=True))
        if not left:
            return
        reading = reading.model_copy(update={"unread": left})
    if not reading.intents and not turn.lines and orientation.small_talk(turn, text):
        return
    if reading.unread and not (turn.lines and not reading.intents):
        not_got.say(turn, text, reading)
    elif not reading.intents and any(letter.isalpha() for letter in text):
        orientation.pleasantry(turn, text)
    elif not reading.intents:
        turn.say(f"I did not get that. {not_got.TRY}")


def _with_its_verb(text: str, piece: str) -> str:
    """A piece that was not read with the small word before it that makes it a question: "is squeezing bad"."""
    before = _VERB.search(text[: max(0, text.find(piece))])
    return f"{before[1]} {piece}" if before is not None else piece


def _answers(turn: Turn, text: str, *, hazard: bool = False, beside: bool = False) -> bool:
    """Answer a question about the trade from the curated file; False where it holds no answer.

    ``hazard`` gives only what is of safety, ``beside`` only what is surely meant beside what was read.
    """
    answer = find_answer(text, turn.batch.stage if turn.batch is not None else "none")
    if answer is None or (hazard and not answer.hazard) or (beside and not (answer.told or asks(text))):
        return False
    turn.say(*answer.text.splitlines(), answer.caution or "")
    turn.working = answer.source
    turn.about = answer.normal or answer.text
    return True


def handle(turn: Turn, intent: Intent) -> None:
    """Do what one intent asks; a value that calc refuses becomes a sentence, and nothing half-done is kept."""
    before, batches, said = turn.mark(), turn.state.batches, len(turn.lines)
    try:
        _handler(intent.name)(turn, intent)
        if intent.name != "undo":
            stock_drawn.draw_down(turn, batches, before[1])
            learned.settle(turn, batches)
            boil_clock.settle(turn, batches)
            before_the_end.settle(turn)
    except OutOfRange as error:
        turn.back_to(before)
        del turn.lines[said:]  # What is not kept is not told as done.
        limits = (
            f" (from {error.low:g} to {error.high:g}{'' if error.unit == 'dimensionless' else ' ' + error.unit})"
            if error.low is not None and error.high is not None
            else ""
        )
        turn.say(f"That does not work out: {error.argument.replace('_', ' ')} is out of range{limits}. Nothing is changed.")
    except pint.DimensionalityError:
        turn.back_to(before)
        turn.say("Those units do not go together. Please send it again with its unit.")
    watch.settle(turn)


def _handler(name: str) -> Callable[[Turn, Intent], None]:
    if name in opened_by() and name not in _HANDLERS:
        return boil_clock.opens
    return _HANDLERS.get(name) or _HANDLERS.get(name.partition(".")[0]) or _unknown


def _unknown(turn: Turn, intent: Intent) -> None:
    turn.say(f'I understood "{intent.text or intent.name}" but cannot do that yet.')


def _done(turn: Turn, intent: Intent) -> None:
    """ "done": of the batch that was called last; where several are on their way it is named."""
    fired, here = turn.state.last_fired, turn.state.current
    running = {batch.id: batch for batch in turn.state.batches if not batch.closed}
    meant = running.get(fired.batch) if fired is not None and fired.batch is not None else turn.batch
    other = meant is not None and meant.id != here
    if meant is not None and other:
        turn.record("switched", batch=meant.id)
    if meant is not None and len(running) > 1:
        turn.say(f"For {batch_names.label(meant, turn.state)}:")
    _done_here(turn, intent)
    if other and here is not None and turn.batch is not None and turn.batch.id != here:
        turn.record("switched", batch=here)


def _done_here(turn: Turn, intent: Intent) -> None:
    fired = turn.state.last_fired
    if fired is not None and fired.kind == "hop":
        hop_additions.hops_in(turn, Intent(name="done.hops"))
        return
    batch = turn.batch
    if fired is not None and batch is not None and "done" in fired.data and fired.batch == batch.id and batch.stage_since <= fired.due:
        # "Flame-out: hob off": done means that, and the day goes on.
        name = str(fired.data["done"])
        _handler(name)(turn, Intent(name=name, text=intent.text))
        return
    if remedies.first_taken(turn):
        return
    what = fired.text.removeprefix("Reminder: ").split(". ")[0].rstrip(".") + ": " if fired is not None else ""
    turn.record("note", label=intent.text or "done", text=f"{what}{intent.text or 'done'}")
    turn.say("Noted.")
    if batch is not None and batch.paused_at is not None and boil_clock.running(batch):
        turn.say('The boil clock is still held: say "back on the boil" when it rolls.')
        turn.offer(("back on the boil", "back on the boil"))


def _note(turn: Turn, intent: Intent) -> None:
    turn.record("note", label="note", text=str(intent.slots["text"]))
    turn.say(f"Noted: {intent.slots['text']}")


def _undo(turn: Turn, intent: Intent) -> None:
    if not turn.state.undo:
        turn.say("There is nothing to take back.")
        return
    label = turn.state.undo[-1][0]
    turn.note_event("undone", label=label)
    turn.say(f"Taken back: {label.rstrip('.')}.")


def _correct(turn: Turn, intent: Intent) -> None:
    """ "no, 1.052": take back the last reading or sum and do it again with the new number."""
    pending = (turn.state.question or {}).get("intent")
    # A reading that was questioned is the one that is being corrected; nothing of it is recorded yet.
    last = Intent.model_validate(pending) if pending else turn.state.last
    if not pending and edits.by_its_figure(turn, intent):
        return
    if not pending and (amount := edits.of_an_amount(turn, intent, last)) is not None:
        handle(turn, amount)
        return
    if last is None:
        turn.say("There is nothing to correct. Send the reading again.")
        return
    if last.name in ("timer.start", "timer.change"):
        unit = str(intent.slots.get("unit", "minute"))
        unit = unit if unit in ("second", "minute", "hour", "day", "week") else "minute"
        seconds = Measured(value=float(intent.slots["value"]), unit=unit).in_unit("second") if "value" in intent.slots else 0
        timers.change_to(turn, last.model_copy(update={"slots": {"duration_s": seconds}}))
        return
    if last.name in readings.SLOT:
        slot = readings.SLOT[last.name]
    else:
        slot = next((key for key, value in last.slots.items() if isinstance(value, Measured | dict)), "")
    if not slot:
        turn.say("I do not know what to correct. Send it again in full.")
        return
    old = readings.measured(last.slots[slot])
    unit = str(intent.slots.get("unit") or old.unit)
    if slot == "gravity" and unit in ("degC", "degF") and "value" in intent.slots:
        # "that was at 25 C": the sample's temperature, not another gravity.
        slot, old = "temperature", Measured(value=20, unit=unit)
    value = float(intent.slots.get("value", old.value))
    if slot == "gravity" and value > 900:
        value /= 1000
    new = last.model_copy(update={"slots": {**last.slots, slot: Measured(value=value, unit=unit)}})
    wrong = _last_reading(turn.state, readings.SLOT[last.name]) if last.name in readings.SLOT and not pending else None
    if wrong is None:
        handle(turn, new)
        return
    mark, before = turn.mark(), len(turn.events)
    # Out first, so that the new one is judged without it.
    _replace(turn, wrong)
    handle(turn, new)
    if any(event.kind == "reading" for event in turn.events[before:]):
        return
    turn.back_to(mark)
    turn.lines.remove(CORRECTED)
    if turn.question is not None:
        turn.question["replaces"] = wrong


def _last_reading(state: State, kind: str) -> int | None:
    """Number of the newest reading of a kind in any batch."""
    return max(
        (reading.id for batch in state.batches for reading in batch.readings if reading.kind == kind), default=None
    )


def _replace(turn: Turn, number: int) -> None:
    """A newer value stands in for this reading; the diary keeps both, and an undo brings the old one back."""
    batch = next(each for each in turn.state.batches if any(reading.id == number for reading in each.readings))
    turn.record("reading_dropped", batch=batch.id, id=number, by=turn.state.next_id)
    turn.lines.insert(0, CORRECTED)


def _yes_no(turn: Turn, intent: Intent) -> None:
    question = turn.state.question
    if question is None:
        turn.say('There is no open question. "what\'s next" says where we are.')
    elif intent.name == "yes" and question.get("either"):
        not_got.ask_which(turn, question["either"])
    elif intent.name == "yes" and question.get("heard"):
        _understood(turn, str(question["heard"]))
    elif intent.name == "yes" and turn.state.expects == "yes_no":
        if question.get("replaces") is not None:
            _replace(turn, int(question["replaces"]))
        readings.record(turn, Intent.model_validate(question["intent"]), sure=True)
    elif question.get("bottle"):
        turn.say(f'Nothing is bottled. Only the whole sentence goes on: "{bottling.SENTENCE}".')
    else:
        turn.say("Dropped, nothing recorded. Send it again.")


_HANDLERS: Handlers = {
    **GATHERED,
    "done": _done,
    "ask.understood": lambda turn, intent: turn.say(turn.state.understood or "Nothing yet."),
    "note": _note,
    "undo": _undo,
    "correct": _correct,
    "yes": _yes_no,
    "no": _yes_no,
}
