"""Words that go back to what was said last, ranges, several clocks and repeats.

Source of the expectations: the wording itself; each is how the sentence is commonly meant, no source.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from conversations.intents import Context, Intent, Measured
from conversations.understanding.understand import understand

ZONE = "Europe/London"
NOW = datetime(2026, 11, 25, 14, 0, tzinfo=ZoneInfo(ZONE))
GRAVITY = Intent(name="reading.gravity", slots={"gravity": Measured(value=1.050, unit="dimensionless")})
MASH = Intent(name="reading.temperature", slots={"temperature": Measured(value=68, unit="degC")})
WATER = Intent(name="ask.water_to_volume", slots={"volume": Measured(value=6, unit="litre")})
HOP = Intent(name="recipe.hop", slots={"name": "Fuggle", "mass": Measured(value=6, unit="gram")})
TIMER = Intent(name="timer.start", slots={"duration_s": 300.0})


def read(text: str, **changes: Any) -> list[tuple[str, dict[str, Any]]]:
    found = understand(text, Context(now=NOW, zone=ZONE, **changes)).intents
    return [
        (i.name, {k: (v.value, v.unit) if isinstance(v, Measured) else v for k, v in i.slots.items()}) for i in found
    ]


@pytest.mark.parametrize(
    ("text", "last", "name", "slots"),
    [
        ("same again", GRAVITY, "reading.gravity", {"gravity": (1.05, "dimensionless")}),
        ("double that", HOP, "recipe.hop", {"name": "Fuggle", "mass": (12, "gram")}),
        ("halve that", WATER, "ask.water_to_volume", {"volume": (3, "litre")}),
        ("double that", TIMER, "timer.start", {"duration_s": 600.0}),
        ("it's now 66", MASH, "reading.temperature", {"temperature": (66, "degC")}),
        ("what about 10 litres?", WATER, "ask.water_to_volume", {"volume": (10, "litre")}),
        (
            "and at 20 degrees?",
            GRAVITY,
            "ask.gravity_at",
            {"gravity": (1.05, "dimensionless"), "temperature": (20, "degC")},
        ),
    ],
)
def test_what_was_said_last_fills_in_the_rest(text: str, last: Intent, name: str, slots: dict[str, Any]) -> None:
    assert read(text, last=last, stage="mash") == [(name, slots)]


@pytest.mark.parametrize("text", ["same again", "double that", "and at 20 degrees?", "what about 10 litres?"])
def test_without_a_last_message_nothing_is_made_up(text: str) -> None:
    assert read(text, stage="mash") == []


@pytest.mark.parametrize("text", ["double that", "what about 10 litres?"])
def test_a_gravity_is_not_doubled_nor_turned_into_litres(text: str) -> None:
    assert read(text, last=GRAVITY, stage="mash") == []


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("between 65 and 67", (65, "degC"), (67, "degC")),
        ("65-67 degrees", (65, "degC"), (67, "degC")),
        ("gravity 1.050 or 1.052", (1.05, "dimensionless"), (1.052, "dimensionless")),
    ],
)
def test_a_range_is_asked_about(text: str, low: tuple[float, str], high: tuple[float, str]) -> None:
    [(name, slots)] = read(text, stage="mash")
    assert (name, slots["low"], slots["high"]) == ("unclear.range", low, high)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("set two timers for 5 and 10 minutes", [300, 600]),
        ("three timers: 5, 10 and 15 minutes", [300, 600, 900]),
        ("set a timer for 5 minutes and another one for 10 minutes", [300, 600]),
        ("set a timer for 1 hour, 2 minutes and 3 seconds", [3723]),
    ],
)
def test_several_clocks_in_one_sentence(text: str, seconds: list[float]) -> None:
    found = read(text)
    assert [(name, slots["duration_s"]) for name, slots in found] == [("timer.start", each) for each in seconds]


def test_a_count_that_does_not_match_its_clocks_starts_none() -> None:
    assert read("set three timers for 5 and 10 minutes") == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "remind me every 12 hours until friday to swap the ice",
            {"what": "swap the ice", "every_s": 43200, "until": "2026-11-27T09:00:00+00:00"},
        ),
        ("every other day remind me to rouse the yeast", {"what": "rouse the yeast", "every_s": 172800}),
        (
            "remind me every day at 8 pm to check the temperature",
            {"what": "check the temperature", "every_s": 86400, "at": "2026-11-25T20:00:00+00:00"},
        ),
        (
            "remind me 3 days after pitching to take a gravity",
            {"what": "take a gravity", "after": "pitch", "duration_s": 259200},
        ),
        (
            "remind me on the fifth of december to taste it",
            {"what": "taste it", "at": "2026-12-05T09:00:00+00:00"},
        ),
        ("remind me on the 1st to order malt", {"what": "order malt", "at": "2026-12-01T09:00:00+00:00"}),
        (
            "remind me on the twenty first of december at noon to bottle",
            {"what": "bottle", "at": "2026-12-21T12:00:00+00:00"},
        ),
        ("remind me in a fortnight to taste", {"what": "taste", "at": "2026-12-09T14:00:00+00:00"}),
    ],
)
def test_reminders_that_repeat_wait_or_have_a_date(text: str, expected: dict[str, Any]) -> None:
    assert read(text) == [("reminder.set", expected)]


@pytest.mark.parametrize("text", ["1 litre 250", "1 057", "nine pounds fifty", "19 20 21"])
def test_figures_that_run_on_are_not_recorded(text: str) -> None:
    assert [name for name, _ in read(text, stage="mash") if name.startswith("reading.")] == []


def test_a_time_alone_answers_only_our_question() -> None:
    assert read("at half past seven") == []
    assert read("at half past seven", expects="reminder.when") == [
        ("reminder.when", {"at": "2026-11-25T19:30:00+00:00"})
    ]


@pytest.mark.parametrize("text", ["down to 70", "it's now 66", "now 70"])
def test_a_plain_number_after_a_gravity_is_not_made_a_gravity(text: str) -> None:
    last = Intent(name="reading.gravity", slots={"gravity": Measured(value=1.040, unit="dimensionless")}, text="1.040")
    for stage in ("boil", "steep", "chill"):
        found = understand(text, Context(now=NOW, stage=stage, last=last))
        assert [each.name for each in found.intents if each.name == "reading.gravity"] == []


@pytest.mark.parametrize(
    ("text", "stage", "names"),
    [
        ("match is at sixty six point five", "mash", ["reading.temperature"]),
        ("match is at 7", "mash", []),
        ("match is at sixty six", "boil", []),
        ("remind me in 15 minutes to take the hops out", "boil", ["reminder.set"]),
        ("half an hour for the bus to come", "boil", []),
        ("drop it to 5 litres", "boil", []),
        ("6 of 330 ml", "plan", ["kit.bottles"]),
        ("leave it, its fine", "top_up", ["steer.leave"]),
        ("120 g of malt extract", "plan", ["recipe.grain"]),
        ("120 g of malt extract", "top_up", ["steer.extract"]),
    ],
)
def test_the_same_words_in_another_situation(text: str, stage: str, names: list[str]) -> None:
    assert [name for name, _ in read(text, stage=stage)] == names


@pytest.mark.parametrize(("text", "value"), [("gravity 1.5", 1.5), ("og is 1.48", 1.48), ("gravity is one point five", 1.5)])
def test_a_gravity_with_too_few_figures_is_asked_about(text: str, value: float) -> None:
    [(name, slots)] = read(text, stage="drain")
    assert (name, slots["value"]) == ("unclear.gravity", value)


def test_the_same_again_of_what_came_back_from_the_diary() -> None:
    last = Intent.model_validate_json(Intent(name="reading.temperature", slots={"temperature": Measured(value=20, unit="degC")}).model_dump_json())
    found = understand("same again", Context(now=NOW, zone=ZONE, stage="chill", last=last))
    assert [each.slots for each in found.intents] == [{"temperature": Measured(value=20, unit="degC")}]
