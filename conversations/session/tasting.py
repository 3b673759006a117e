"""A tasting note by conversation: a question at a time, faults named in plain words with their likely causes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta

from conversations.intents import Intent, Understanding
from conversations.session import orientation
from conversations.session.batch_names import find, label
from conversations.session.diary_of_one import tasting as told
from conversations.session.fermentation import page
from conversations.session.stages import stage_now
from conversations.session.state import Batch, Tasting
from conversations.session.turn import Handlers, Turn

QUESTIONS: dict[str, tuple[str, tuple[str, ...]]] = {
    "appearance": ("Look: clear or hazy, what colour, how is the foam?", ("clear, good foam", "hazy, good foam", "hazy, no foam")),
    "aroma": ("Smell: what does it remind you of?", ("malt and bread", "hops, citrus", "fruit", "nothing much")),
    "taste": ("Taste: sweet, bitter, sour, anything odd?", ("balanced", "too bitter", "too sweet", "sour")),
    "mouthfeel": ("Feel: thin or full, how is the fizz?", ("full, right fizz", "thin", "flat", "too fizzy")),
    "score": ("Out of ten?", ("6", "7", "8", "9")),
    "change": ("What would you change next time?", ("nothing", "more hops", "more bitter", "less bitter")),
}
ORDER = tuple(QUESTIONS)
INTERRUPTS = frozenset(
    ["undo", "ask", "diary", "reminder", "batch", "snooze", "timer", "reading", "kit", "stock", "settings", "brew", "done", "bottle",
     "priming", "stage", "hops", "cost", "learned", "timeline", "picture", "export", "edit", "correct", "note", "nudges", "again"]
)
"""Intents and families of them that are taken for what they are even while a question of the note is open."""
ONLY_MEANT = frozenset(["undo", "timer", "reminder", "done", "bottle", "stage", "reading.gravity"])
"""Of these what is taken for what it is though a word beside it was not read; no answer about a beer sounds like one."""
_ASKS_NORMAL = re.compile(r"\b(is|are|was) (that|this|it|they) (\w+ )?(normal|usual|ok|okay|alright|all right|fine|bad|a problem)\b", re.IGNORECASE)
_BEFORE = r"\W*((and|so|but|ok|okay|oh|right|wait|hang on|actually|btw|by the way|sorry)\W+)*"
_QUESTION = re.compile(
    _BEFORE + r"((should|shall|can|could|may|must|do|did|will|would) (i|we|you)|how (much|many|long|often|warm|cold|strong|soon|full|do|does|did|can|should)|how('s|s| is) it going"
    r"|(whats?|what's|whens?|when's|wheres?|where's|which) (?!an?\b)|why|does (it|that|this) (matter|mean|make|need|hurt)|is (it|that|this) (ok|okay|alright|all right|safe|ready|done|finished|normal|time|bad|a problem))\b",
    re.IGNORECASE,
)
"""Begins a question without its sign. What is said of a beer may begin alike: "is a bit thin", "could be sweeter", "what a head"."""
_EXCLAIMS = re.compile(_BEFORE + r"(what (an?|lovely|nice|great|good)|how (lovely|nice|good|clear|pretty|gorgeous|beautiful|odd|strange|funny))\b(?!.*\?)", re.IGNORECASE)
_GRAVITY = re.compile(r"\b[01][.,]\d{3}\b")
_ANSWERS = frozenset(["done.generic", "ask.fault"])
"""What is said of the beer itself: "smells of bread" beside a question of ours asks nothing."""
ANSWERED_WITHIN = timedelta(hours=3)
"""What comes later answers no question of a note any more."""
SKIPS = frozenset(["skip", "next", "pass", "-"])
STOPS = frozenset(["stop", "done", "enough", "end", "that's it", "finished", "cancel", "never mind", "nevermind", "forget it", "leave it", "not now", "later", "another time", "some other time", "no more", "that's all", "that's enough"])
_NOTES_OF = re.compile(r"notes? (?:of|on|for|from|about) (?:the |my |our )?([^,;:]+)", re.IGNORECASE)
_OUT_OF = re.compile(r"\b(10|[0-9](?:[.,][05])?)\s*(?:/|out of)\s*(?:10|ten)\b", re.IGNORECASE)


def begin(turn: Turn, intent: Intent) -> None:
    """ "tasting": a new note on the batch in the bottle; "tasting: ..." keeps it all in one go."""
    asked = _NOTES_OF.fullmatch(str(intent.slots.get("text", "")).strip(" :,.?!"))
    if asked is not None and find(turn.state, asked[1]):
        # "tasting notes of the porter" asks for what was said.
        told(turn, Intent(name="diary.tasting", slots={"name": asked[1]}))
        return
    batch = _bottled(turn)
    if batch is None:
        return
    note = Tasting(id=turn.number(), at=turn.now)
    said = str(intent.slots.get("text", "")).strip(" :,.")
    if said:
        _in_one(turn, batch, note, said)
        return
    if batch.stage != "condition":
        turn.say(f"{batch.name} is still {stage_now(batch.stage)}: a taste from the fermenter, then.")
    else:
        turn.say(f"{label(batch, turn.state)}, a note in six questions; \"skip\" passes one, \"stop\" ends.")
    _save(turn, batch, note)
    _ask(turn, "appearance", note.id)


def _bottled(turn: Turn) -> Batch | None:
    """The batch that is tasted: the current one, or the newest in the bottle."""
    current = turn.batch
    if current is not None and current.stage in ("condition", "bottle", "ferment"):
        return current
    found = next((each for each in reversed(turn.state.batches) if each.stage == "condition"), None)
    if found is None:
        turn.say("Nothing is in the bottle yet.")
    return found


def _save(turn: Turn, batch: Batch, note: Tasting) -> None:
    turn.record("tasted", label="tasting note", batch=batch.id, tasting=note.model_dump(mode="json"))


def _ask(turn: Turn, part: str, number: int) -> None:
    question, choices = QUESTIONS[part]
    turn.say(question)
    turn.offer(*((choice, choice) for choice in choices), ("skip", "skip"))
    turn.expects = f"tasting.{part}"
    turn.question = {"tasting": number, "part": part, "asked": turn.now.isoformat()}


def _open_note(turn: Turn) -> tuple[Batch, Tasting] | None:
    number = (turn.state.question or {}).get("tasting")
    return next(
        ((batch, note) for batch in turn.state.batches for note in batch.tastings if note.id == number), None
    )


def _of(intent: Intent, names: frozenset[str]) -> bool:
    return intent.name in names or intent.name.partition(".")[0] in names


def answers(turn: Turn, reading: Understanding, text: str) -> bool:
    """Take a message as the answer to the open question of a note; False where it is something else."""
    question = turn.state.question or {}
    found = _open_note(turn) if "tasting" in question else None
    if found is None:
        return False
    said = text.strip()
    plain = said.lower().rstrip(".!")
    if turn.now - datetime.fromisoformat(str(question.get("asked", turn.now.isoformat()))) > ANSWERED_WITHIN:
        return False
    part = str(question["part"])
    # "same as last time" reads nothing here, and "what a lovely colour" asks nothing.
    told = [intent for intent in reading.intents if reading.quantities or not intent.name.startswith("reading.")]
    between = [] if _says_how_it_is(plain, part, said) else [_of(intent, INTERRUPTS) and intent.name not in _ANSWERS and not _of_this_glass(intent) for intent in told]
    meant = bool(reading.intents) and _of(reading.intents[0], ONLY_MEANT) and text.strip().startswith(reading.intents[0].text[:4])
    asks = (said.endswith("?") and len(plain.split()) > 2) or _QUESTION.match(said) is not None or orientation.greets(said) or _GRAVITY.search(said) is not None
    if plain not in STOPS | SKIPS and (asks or (between and all(between) and (meant or not reading.unread))):
        # The question stays open behind what came between.
        turn.expects, turn.question = turn.state.expects, turn.state.question
        return False
    batch, note = found
    if plain in STOPS:
        empty = not (note.appearance or note.aroma or note.taste or note.mouthfeel or note.score is not None)
        turn.say(*(['All right. Say "tasting" when you pour one.'] if empty else ["Noted, as far as it goes.", *summary(turn, batch, note)]))
        return True
    if plain not in SKIPS:
        # A score is a whole or a half: 1.020 is no verdict.
        scores = (span.value for span in reading.quantities if 0 <= span.value <= 10 and span.value * 2 % 1 == 0)
        number = next(scores, None)
        changed = _with(turn, note, part, said, number)
        if changed is None:
            return True
        _save(turn, batch, changed)
        note = changed
    following = ORDER.index(part) + 1
    if following < len(ORDER):
        _ask(turn, ORDER[following], note.id)
    else:
        turn.say("Noted.", *summary(turn, batch, note))
    return True


def _of_this_glass(intent: Intent) -> bool:
    """Whether "fine I guess" or "a bit flat" is said of what is tasted; what gushes or bursts is dealt with at once."""
    return intent.name in ("bottle.found", "weeks.found") and intent.slots.get("how") in ("fine", "flat", "short")


def _says_how_it_is(plain: str, part: str, said: str) -> bool:
    """Whether words that do something elsewhere are said of the beer here: "flat", "clear as a bell", "what a lovely colour"."""
    chosen = plain in QUESTIONS[part][1] or plain in ("flat", "fine", "good", "ok")
    clear = plain.startswith(("clear ", "crystal clear")) and not {"timer", "timers", "reminder", "reminders", "alarm", "alarms"} & set(plain.split())
    return chosen or clear or _EXCLAIMS.match(said) is not None


def _with(turn: Turn, note: Tasting, part: str, said: str, number: float | None) -> Tasting | None:
    """The note with one part answered; None where a score could not be read and is asked again."""
    if part == "score":
        if number is None:
            turn.say('A number from 0 to 10, please, or "skip".')
            _ask(turn, "score", note.id)
            return None
        return note.model_copy(update={"score": number})
    found = faults_in(said) if part != "change" else []
    names = tuple(dict.fromkeys((*note.faults, *(str(row["name"]) for row in found))))
    for row in [row for row in found if str(row["name"]) not in note.faults][:1]:
        # What was said of the smell already is not said again of the taste.
        turn.say(f"{str(row['name']).capitalize()}. {row['causes']}", str(row["next"]))
    return note.model_copy(update={part: said, "faults": names})


def faults_in(said: str) -> list[dict[str, str]]:
    """The faults of the table whose plain words are in what was said, but not behind "no" or "not".

    >>> [row["name"] for row in faults_in("a bit of butter, no apple")]
    ['butter (diacetyl)']
    """
    words = f" {re.sub(r'[^a-z ]+', ' , ', said.lower())} "
    words = re.sub(r"\s+", " ", words)
    found = []
    for row in page("faults")["fault"]:
        for word in row["words"]:
            for match in re.finditer(rf" {re.escape(word)}(?= )", words):
                before = words[: match.start()].rpartition(",")[2].split()[-3:]
                if not {"no", "not", "without", "never", "isn", "hardly"} & set(before) and row not in found:
                    found.append(row)
    return found


def _in_one(turn: Turn, batch: Batch, note: Tasting, said: str) -> None:
    """A whole note in one message: the words as taste, a score where one is written."""
    score = _OUT_OF.search(said)
    found = faults_in(said)
    words = _OUT_OF.sub("", said).strip(" ,.;:-") if score is not None else said
    update: dict[str, object] = {"taste": words, "faults": tuple(str(row["name"]) for row in found)}
    if score is not None:
        update["score"] = float(score[1].replace(",", "."))
    note = note.model_copy(update=update)
    _save(turn, batch, note)
    turn.say("Tasting noted.", *summary(turn, batch, note))
    for row in found[:1]:
        turn.say(f"{row['causes']} {row['next']}")
    if note.score is None:
        _ask(turn, "score", note.id)


def summary(turn: Turn, batch: Batch, note: Tasting) -> list[str]:
    """Score, faults and what to change, a line each."""
    score = f"{note.score:g}/10" if note.score is not None else "no score"
    lines = [f"{label(batch, turn.state)}: {score}."]
    if note.faults:
        lines.append("Heard: " + ", ".join(note.faults) + ".")
    if note.change and note.change.lower() not in ("nothing", "no"):
        lines.append(f"Next time: {note.change}")
    return lines


def why_taste(turn: Turn, intent: Intent) -> None:
    """ "why does it taste of butter": the likely causes and what to do."""
    said = f"{intent.slots.get('text', '')} {intent.text}"
    found = faults_in(said)
    if not found:
        turn.say('I know butter, apple, corn, plaster, solvent, banana, sour, eggs, cardboard, skunk, tea and more.')
        turn.say('Say it in plain words: "tastes of butter".')
        return
    for row in found[:2]:
        # "smells of eggs, is that normal"
        told = row["normal"] if _ASKS_NORMAL.search(said) else row["causes"]
        turn.say(f"{str(row['name']).capitalize()}. {told}", str(row["next"]))
    turn.about = "\n".join(str(row["normal"]) for row in found[:2])
    turn.working = "Likely causes as tasting panels and handbooks agree on them; from memory, no single source."


def remark(turn: Turn, intent: Intent) -> None:
    """ "gravity 1.020, sample tasted nice and bready": said beside a reading it is a note, and opens no questions."""
    said = str(intent.slots["text"])
    turn.record("note", label="note", text=said)
    turn.say(f"Noted: {said}")
    for row in faults_in(said)[:1]:
        turn.say(f"{str(row['name']).capitalize()}. {row['causes']}")
        turn.about = str(row["normal"])


HANDLERS: Handlers = {"tasting.begin": begin, "tasting.remark": remark, "ask.fault": why_taste}

FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {f"tasting.{part}": answers for part in ORDER}
"""What takes a whole message while its question is open, by what the chat expects."""
