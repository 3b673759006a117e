"""Every example of the sentence file, the sentences of the day, chit-chat, and any text at all."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversations.intents import Context, Intent, Measured
from conversations.understanding.cues import cues
from conversations.understanding.sentences import sentences
from conversations.understanding.understand import list_intents, understand
from conversations.understanding.words import LONGEST_TEXT

LISBON = "Europe/Lisbon"
NOW = datetime(2026, 3, 14, 9, 30, tzinfo=ZoneInfo(LISBON))


def context(**changes: Any) -> Context:
    return Context(now=NOW, zone=LISBON).model_copy(update=changes)


def read(text: str, **changes: Any) -> list[tuple[str, dict[str, Any]]]:
    found = understand(text, context(**changes)).intents
    return [
        (i.name, {k: (v.value, v.unit) if isinstance(v, Measured) else v for k, v in i.slots.items()}) for i in found
    ]


EVERYWHERE = [
    (s.name, x, stage) for s in sentences() if not s.stages for x in s.examples for stage in ("mash", "ferment", None)
]
ELSEWHERE = [
    (s.name, x, None if stage == "none" else stage) for s in sentences() for x in s.examples for stage in sorted(s.stages)
]


def missed(name: str, text: str, stage: str | None) -> str:
    """What an example of a sentence is taken for, where that is not its intent alone."""
    last = Intent(name="ask.strike", slots={"volume": LITRES, "temperature": DEGREES})
    found = understand(text, context(stage=stage, last=last if name.startswith("again.") else None))
    if name == "again.now":
        # A bare number is read by the stage; without one it is asked about.
        in_ferment = "reading.gravity" if "66" in text or "64" in text else "unclear.number"
        name = {"mash": "reading.temperature", "ferment": in_ferment, None: "unclear.number"}[stage]
    expected = "ask.strike" if name.startswith("again.") else name
    if {intent.name for intent in found.intents} == {expected} and found.unread == ():
        return ""
    return f"{text} ({stage}): {[intent.name for intent in found.intents]}, unread {found.unread}"


# One test for all examples of an intent: thousands of tests of a millisecond each cost more than what they do.
@pytest.mark.parametrize("name", sorted({name for name, _, _ in EVERYWHERE + ELSEWHERE}))
def test_examples_of_the_sentence_file(name: str) -> None:
    examples = [each for each in EVERYWHERE + ELSEWHERE if each[0] == name]
    assert [wrong for each in examples if (wrong := missed(*each))] == []


@pytest.mark.parametrize("name", sorted({cue.name for cue in cues()}))
def test_examples_of_the_cues(name: str) -> None:
    wrong = []
    for cue in (each for each in cues() if each.name == name):
        for text in cue.examples:
            stage = sorted(cue.stages - {"none"})[0] if cue.stages else "boil"
            found = understand(text, context(stage=stage))
            if [intent.name for intent in found.intents] != [name] or found.unread:
                wrong.append((text, stage, found))
    assert wrong == []


@pytest.mark.parametrize(
    "text",
    ["should I take the bag out", "is the bag out?", "don't put the hops in", "when do the hops go in", "if the yeast is in"],
)
def test_what_is_asked_or_denied_is_not_done(text: str) -> None:
    assert [i.name for i in understand(text, context(stage="boil")).intents if i.name.startswith("done.")] == []


LITRES, DEGREES = Measured(value=6, unit="litre"), Measured(value=67, unit="degC")
C, SG, L = "degC", "dimensionless", "litre"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("gravity 1.050 at 25 C", [("reading.gravity", {"gravity": (1.05, SG), "temperature": (25, C)})]),
        ("1050 @ 25", [("reading.gravity", {"gravity": (1.05, SG), "temperature": (25, C)})]),
        ("98 deg", [("reading.temperature", {"temperature": (98, C)})]),
        ("6.2 l", [("reading.volume", {"volume": (6.2, L)})]),
        ("5,2 l", [("reading.volume", {"volume": (5.2, L)})]),
        ("stick 14.5cm", [("reading.depth", {"depth": (14.5, "centimetre")})]),
        ("stick says fourteen and a half", [("reading.depth", {"depth": (14.5, "centimetre")})]),
        ("gravity 1.500", [("reading.gravity", {"gravity": (1.5, SG)})]),
        ("gravity 1057", [("reading.gravity", {"gravity": (1.057, SG)})]),
        ("gravity 10.57", [("reading.gravity", {"gravity": (1.057, SG)})]),
        ("gravity 57", [("reading.gravity", {"gravity": (1.057, SG)})]),
        ("gravity one oh five seven", [("reading.gravity", {"gravity": (1.057, SG)})]),
        ("strike at 71", [("reading.temperature", {"what": "strike", "temperature": (71, C)})]),
        ("add 5 minutes to the mash", [("timer.extend", {"duration_s": 300, "name": "mash"})]),
        ("start a 60 minute boil", [("timer.start", {"duration_s": 3600, "name": "boil"})]),
        ("5 minute pasta timer", [("timer.start", {"duration_s": 300, "name": "pasta"})]),
        ("timer 10 min called eggs", [("timer.start", {"duration_s": 600, "name": "eggs"})]),
        ("take 2 minutes off", [("timer.shorten", {"duration_s": 120})]),
        ("cancel the 5 minute timer", [("timer.cancel", {"duration_s": 300})]),
        ("how much time is left on the eggs", [("timer.status", {"name": "eggs"})]),
        ("wake me in an hour and a half", [("reminder.set", {"what": "", "duration_s": 5400})]),
        (
            "remind me tomorrow at 8 to check the airlock",
            [("reminder.set", {"at": "2026-03-15T08:00:00+00:00", "what": "check the airlock"})],
        ),
        (
            "12 g Fuggle 5% at 60",
            [
                (
                    "recipe.hop",
                    {"mass": (12, "gram"), "name": "Fuggle", "percent": (5, "percent"), "duration_s": 3600},
                )
            ],
        ),
        (
            "6 g Goldings at flame-out",
            [("recipe.hop", {"mass": (6, "gram"), "name": "Goldings", "duration_s": 0})],
        ),
        ("1.6 kg pale malt", [("recipe.grain", {"mass": (1.6, "kilogram"), "name": "pale malt"})]),
        ("mash at 66 for 60 minutes", [("recipe.mash", {"temperature": (66, C), "duration_s": 3600})]),
        ("2 litres is 6.3 cm", [("kit.mark", {"volume": (2, L), "depth": (6.3, "centimetre")})]),
        ("no, 1.052", [("correct", {"value": 1.052})]),
        ("make that 6", [("correct", {"value": 6})]),
        ("that was Fahrenheit", [("correct", {"unit": "degF"})]),
        ("note: smells of toast", [("note", {"text": "smells of toast"})]),
        ("how much water to get to 6 litres", [("ask.water_to_volume", {"volume": (6, L)})]),
        ("what is 152 F in C", [("ask.convert", {"quantity": (152, "degF"), "to": "degC"})]),
        ("1.050 to 1.010 how strong", [("ask.alcohol", {"original": (1.05, SG), "final": (1.01, SG)})]),
        (
            "hops in, 98 deg, 6.2 l",
            [
                ("done.hops", {}),
                ("reading.temperature", {"temperature": (98, C)}),
                ("reading.volume", {"volume": (6.2, L)}),
            ],
        ),
        (
            "6.2 l and hops in 98 deg",
            [
                ("reading.volume", {"volume": (6.2, L)}),
                ("done.hops", {}),
                ("reading.temperature", {"temperature": (98, C)}),
            ],
        ),
    ],
)
def test_sentences_of_the_day(text: str, expected: list[tuple[str, dict[str, Any]]]) -> None:
    found = read(text, stage="mash")
    assert [name for name, _ in found] == [name for name, _ in expected]
    for (_, slots), (_, wanted) in zip(found, expected, strict=True):
        assert slots.keys() == wanted.keys()
        for key, value in wanted.items():
            assert slots[key] == (pytest.approx(value) if not isinstance(value, str | tuple) else value)


@pytest.mark.parametrize(
    ("text", "changes", "name", "value"),
    [
        ("67", {"stage": "mash"}, "reading.temperature", 67),
        ("152", {"stage": "mash", "units": "us"}, "reading.temperature", 152),
        ("1057", {"stage": "drain"}, "reading.gravity", 1.057),
        ("1.048", {"stage": "boil"}, "reading.gravity", 1.048),
        ("ten fifty seven", {"stage": "drain"}, "reading.gravity", 1.057),
        ("10.57", {"stage": "top_up"}, "reading.gravity", 1.057),
        ("1012", {"stage": "ferment"}, "reading.gravity", 1.012),
        ("57", {"stage": "boil", "expects": "reading.gravity"}, "reading.gravity", 1.057),
        ("6", {"stage": "mash", "expects": "reading.volume"}, "reading.volume", 6),
        ("42", {"stage": "drain"}, "unclear.number", 42),
        ("42", {}, "unclear.number", 42),
    ],
)
def test_a_bare_number_is_read_by_question_then_stage(
    text: str, changes: dict[str, Any], name: str, value: float
) -> None:
    [(found, slots)] = read(text, **changes)
    assert found == name
    [only] = slots.values()
    assert (only[0] if isinstance(only, tuple) else only) == pytest.approx(value)


def test_twelve_plato() -> None:
    # Source: ASBC table 1 as commonly printed, 12.0 degrees Plato is specific gravity 1.0484 (20/20).
    [(name, slots)] = read("12 plato")
    assert name == "reading.gravity"
    assert slots["gravity"][0] == pytest.approx(1.0484, abs=0.0003)


CHIT_CHAT = """
my aunt is 67
it was 30 degrees outside yesterday
we had 3 beers last night
the oven is 200 C
I paid 12 pounds for the sofa
my son weighs 30 kg
she ran 10 km in 52 minutes
the match ended 2 to 1
lovely weather today
how was your holiday
I live at number 57
the bus comes at 10.57
call me at 7
there were 1057 people at the concert
my phone number is 5550157
he is 180 cm tall
the baby drank 120 ml of milk
we drove 98 miles
did you see the game
I love the smell of bread
my cat knocked the bowl over
the neighbour has a new car
in 1998 we moved house
the film lasted 2 hours
dinner was great thanks
I need 2 tickets for saturday
the room is 21 degrees and my sister is cold
the shop closes at half past five
7 of us are coming
a dozen eggs cost 4 euro
the train is 20 minutes late
the dog ate 500 g of cheese
my coffee is 60 degrees
put the kids to bed
the tank in my car holds 50 litres
the garden hose gives 9 litres a minute
my flat is 65 square metres
it rained 12 mm
the marathon is 42 km
room 12 on floor 3
my grandmother turned 98
I slept 8 hours
he scored 57 points
the bill was 6.20
version 1.050 of the app is out
the stock fell 5 percent
asdf qwer zxcv
is it cold where you live
why did the chicken cross the road
next year we go to Spain
my teeth are done at the dentist
the bag is out of stock at the shop
""".strip().splitlines()


@pytest.mark.parametrize("text", CHIT_CHAT)
@pytest.mark.parametrize("stage", ["mash", "drain", "ferment", None])
def test_chit_chat_is_never_recorded(text: str, stage: str | None) -> None:
    found = understand(text, context(stage=stage))
    recorded = [i.name for i in found.intents if not i.name.startswith("ask.")]
    assert recorded == []


@given(st.text(max_size=300))
@settings(max_examples=150, deadline=None)
def test_no_text_raises(text: str) -> None:
    found = understand(text, context(stage="mash"))
    assert found.text == text[:2000]
    for span in found.quantities:
        assert text[span.start : span.end] == span.text


WORDS = st.sampled_from(
    [
        "set",
        "timer",
        "5",
        "minutes",
        "half",
        "an",
        "hour",
        "and",
        "gravity",
        "1.050",
        "at",
        "25",
        "C",
        "remind",
        "me",
        "to",
        "tomorrow",
        "8",
        ",",
        "1/2",
        "-",
        "oh",
        "point",
        "one",
        "hundred",
        "no",
        "make",
        "that",
        "note",
        "in",
        "from",
        "now",
        "past",
        "quarter",
        "19:30",
        "%",
        "pm",
        "kg",
        "malt",
        "hops",
        "9999999999999999999",
        "?",
        "1:99",
    ]
)


@given(st.lists(WORDS, max_size=25))
@settings(max_examples=250, deadline=None)
def test_no_heap_of_known_words_raises(words: list[str]) -> None:
    understand(" ".join(words), context(stage="boil"))


def test_long_text_is_cut() -> None:
    for text in ("set a timer for 5 minutes and 1,050 " * 3000, "remind me to " * 3000, "9" * 100_000):
        assert len(understand(text, context()).text) == LONGEST_TEXT


def test_list_intents_gives_each_name_once() -> None:
    names = [name for name, _ in list_intents()]
    assert len(names) == len(set(names)) > 60


@pytest.mark.parametrize(
    "text",
    ["between 65 and 67", "65-67", "66 or 67 degrees", "gravity 1.050 or 1.052", "is it 67?", "67 degrees or my aunt"],
)
def test_a_range_a_choice_or_a_question_is_no_reading(text: str) -> None:
    assert [i.name for i in understand(text, context(stage="mash")).intents if i.name.startswith("reading")] == []


def test_a_reading_beside_chit_chat_is_kept_and_the_rest_reported() -> None:
    found = understand("gravity 1.050 at 25 C and my aunt is 67", context(stage="mash"))
    assert [i.name for i in found.intents] == ["reading.gravity"]
    assert found.unread == ("and my aunt is 67",)


def test_slips_of_typing_and_hearing() -> None:
    assert read("grvity 1.050") == [("reading.gravity", {"gravity": (1.05, SG)})]
    assert read("temprature 67") == [("reading.temperature", {"temperature": (67, C)})]
    assert read("mass is at 66") == [("reading.temperature", {"temperature": (66, C)})]
    assert read("hobs in") == [("done.hops", {})]


@pytest.mark.parametrize("text", ["a", "67 degrees, gravity 1.050", "Smells of TOAST!"])
def test_a_note_is_kept_as_written(text: str) -> None:
    found = understand(f"note: {text}", Context(now=datetime(2026, 3, 14, 9, 30, tzinfo=UTC)))
    assert [(intent.name, intent.slots) for intent in found.intents] == [("note", {"text": text})]
