"""What the model of likely meanings learns from: labelled messages, the examples and forms of the sentences, half-talk."""

from __future__ import annotations

import random
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from conversations.intents import Context
from conversations.understanding.answers import examples
from conversations.understanding.cues import cues
from conversations.understanding.likely_intent import NOTHING, SEVERAL, UNCLEAR
from conversations.understanding.likeness import NEUTRAL, Likeness, likeness
from conversations.understanding.sentences import forms, sentences
from conversations.understanding.understand import understand
from conversations.understanding.wordings import manners
from tests.conversations.corpus import FOLDER, Label, Message, read_message

FORMS, EXAMPLES, OTHERWISE, LEARNING, GUARDS, ANSWERS = "forms", "examples", "said_otherwise", "for_learning", "other_wordings", "answers"
_WEIGHTS = {FORMS: 0.15, ANSWERS: 1.0}
"""Forms of the sentences are many and nobody said them; what is asked and has a written answer is no talk."""
_MOST_FORMS = 30
_SLOTS = {
    "volume": ["6 litres", "9.5 l", "12 litres", "500 ml"], "vol": ["6", "9 litres"],
    "temp": ["65", "66 c", "20 c", "19 degrees", "72 degrees", "152 f"], "temperature": ["66 c", "19.5 c", "72 degrees"],
    "duration": ["15 minutes", "an hour", "20 min", "45 minutes"], "mins": ["10", "60 minutes", "15 mins"],
    "durations": ["5 and 10 minutes"], "mass": ["20 g", "1.5 kg", "11 grams", "300 g"],
    "gravity": ["1.050", "1.012", "1046"], "sg": ["1.050", "1.012", "1046"], "number": ["3", "108", "12"],
    "money": ["3 pounds", "2.50"], "paid": ["3 pounds"], "percent": ["5.2 %", "75 percent"], "percentn": ["5", "4.5 %"],
    "count": ["12", "20", "6"], "depth": ["14 cm", "11.5 cm"], "depthn": ["14", "12 cm"], "diameter": ["28 cm", "30 cm"],
    "quantity": ["14 cm", "20 g", "150 f", "2 pints"], "bare": ["66", "6.5"], "power": ["2000 w", "3 kw"],
    "when": ["tomorrow at 8", "at 6pm", "on sunday", "in 20 minutes"], "until": ["until friday", "until 6pm"],
    "wall": ["10pm", "7 am", "22:00"], "every": ["every day", "every 12 hours"], "past": ["yesterday", "on monday"],
    "date": ["3 march"], "rate": ["2 litres per hour"], "metres": ["600 m"], "share": ["half"], "after": ["after an hour"],
    "bottle_size": ["500 ml"], "hectopascals": ["1013 hpa"], "mgl": ["40 mg/l", "108"], "one": ["one"],
    "halfday": ["morning"], "earlier": ["yesterday"], "unitword": ["litres", "cm", "fahrenheit", "grams"],
    "name": ["porter", "stout", "mash", "goldings", "batch two", "pale"], "hop": ["goldings", "cascade", "fuggles"],
    "grain": ["pale malt", "crystal malt", "munich"], "yeast": ["ale yeast", "yeast"], "goods": ["goldings"],
    "what": ["check the airlock", "stir the mash", "move the bucket"], "zone": ["london", "berlin"],
    "system": ["metric", "us"], "currency": ["euros"], "rest": ["protein rest"],
    "named_durations": ["mash 60 minutes and boil 70"],
}  # fmt: skip
"""What stands in a slot of a form."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One wording and what it means: ``name|slot=word``, or one of the meanings that are no intent."""

    source: str
    text: str
    context: Context
    meaning: str
    likeness: Likeness
    read: bool
    """Whether the sentences read all of it as that."""

    @property
    def anywhere(self) -> bool:
        """Whether it is of no stage, and not of the time without a batch."""
        return self.source in (FORMS, EXAMPLES, LEARNING, ANSWERS) and self.context.stage is None

    @property
    def weight(self) -> float:
        return _WEIGHTS.get(self.source, 2.0 if self.meaning == NOTHING else 1.0)


def _sample(source: str, text: str, context: Context, labels: tuple[Label, ...]) -> Sample | None:
    found, names = likeness(text, context), [label.name for label in labels]
    if len(names) != 1 or names[0].startswith("unclear."):
        other = NOTHING if not names else SEVERAL if len(names) > 1 else UNCLEAR
        return Sample(source, text, context, other, found, False)
    understood = understand(text, context)
    right = [intent.name for intent in understood.intents] == [names[0]]
    if source == FORMS and not right:
        return None
    meant = understood.intents[0] if right else labels[0]
    meaning = manners(meant.name, meant.slots, bool(found.pieces))
    return Sample(source, text, context, meaning, found, right and not understood.unread)


def _of_the_sentences() -> Iterator[tuple[str, str, Context, tuple[Label, ...]]]:
    chance = random.Random(1)
    for entry in (*sentences(), *cues()):
        for text in entry.examples:
            yield EXAMPLES, text, NEUTRAL, (Label(entry.name, {}),)
    for sentence in sentences():
        stages = sorted(sentence.stages - {"none"})
        for template in sentence.sentences:
            every = forms(template, 400)
            for form in chance.sample(every, min(len(every), max(3, int(2 * len(every) ** 0.5)), _MOST_FORMS)):
                stage = chance.choice(stages) if stages else None
                yield FORMS, _filled(form, chance), NEUTRAL.model_copy(update={"stage": stage}), (Label(sentence.name, {}),)
    for cue in cues():
        groups = [sorted(group) for group in cue.groups]
        for _ in range(min(60, max(6, 2 * sum(map(len, groups))))):
            words = [chance.choice(group) for group in groups]
            words += [_in_slot(slot.rstrip("?"), chance) for slot in cue.slots]
            chance.shuffle(words)
            yield FORMS, " ".join(words), NEUTRAL, (Label(cue.name, {}),)


def _filled(form: tuple[str, ...], chance: random.Random) -> str:
    return " ".join(_in_slot(piece.strip("{}"), chance) if piece[0] == "{" else piece for piece in form)


def _in_slot(slot: str, chance: random.Random) -> str:
    return chance.choice(_SLOTS.get(slot.partition(":")[0], ["thing"]))


def _said_otherwise() -> Iterator[tuple[str, str, Context, tuple[Label, ...]]]:
    for line in (FOLDER / "said_otherwise.txt").read_text(encoding="utf-8").splitlines():
        said, arrow, means = line.rpartition("=>")
        if arrow:
            stage, _, text = said.partition("|")
            names = tuple(filter(None, map(str.strip, re.split(r"[;,]", means))))
            context = NEUTRAL.model_copy(update={"stage": None if stage.strip() in ("", "-", "none") else stage.strip()})
            yield OTHERWISE, text.strip(), context, tuple(Label(name, {}) for name in names)


def _for_learning() -> Iterator[Sample]:
    """Wordings under the meaning that they have, whether or not the sentences read them."""
    meaning, stage = NOTHING, ""
    for line in (FOLDER / "for_learning.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            meaning, stage = line.strip("[]"), ""
            if meaning.rpartition("|")[0] and "=" not in meaning.rpartition("|")[2]:
                meaning, _, stage = meaning.rpartition("|")
        elif line and not line.startswith("#"):
            expects = stage if stage == "yes_no" else None
            context = NEUTRAL.model_copy(update={"stage": None if expects else stage or None, "expects": expects})
            yield Sample(LEARNING, line, context, meaning, likeness(line, context), False)


def _of_the_answers() -> Iterator[tuple[str, str, Context, tuple[Label, ...]]]:
    """Questions that have a written answer and that no sentence reads: no intent is meant."""
    for asked in examples().values():
        for text in asked:
            if not understand(text, NEUTRAL).intents:
                yield ANSWERS, text, NEUTRAL, ()


def labelled() -> dict[str, list[Message]]:
    """The labelled messages and the negatives by the name of their file: one author each."""
    found: dict[str, list[Message]] = {}
    for page in sorted(FOLDER.glob("*.toml")):
        if page.stem.startswith(("development", "negatives")):
            rows = tomllib.loads(page.read_text(encoding="utf-8"))["messages"]
            talk = {"ask": True} if page.stem.startswith("negatives") else {}
            found[page.stem] = [read_message({**row, **talk}) for row in rows]
    return found


def guards() -> list[Message]:
    """What guards the sentences: other wordings of what the authors of the development parts said."""
    page = tomllib.loads((FOLDER / "other_wordings.toml").read_text(encoding="utf-8"))
    return [read_message(row) for row in page["messages"]]


@cache
def material() -> tuple[Sample, ...]:
    """Everything that there is to learn from; takes a minute, most of it reading the forms."""
    rows = [*_of_the_sentences(), *_said_otherwise(), *_of_the_answers()]
    for source, each in (*labelled().items(), (GUARDS, guards())):
        for message in each:
            if message.means is not None:
                rows.append((source, message.text, message.context, message.means))
    found = (_sample(*row) for row in rows)
    return tuple(each for each in found if each is not None) + tuple(_for_learning())


