"""A brew that is begun in words that no sentence has, intents that are of one thing, and figures of questions."""

from __future__ import annotations

from itertools import product

import pytest

from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.asked_with_a_figure import with_its_figure
from conversations.understanding.beyond_sentences import read
from conversations.understanding.of_one_thing import of_one_thing
from tests.conversations.corpus import NOW, ZONE

_BEGUN = ("keen to brew {}", "{} is what I'd like to make", "hoping to get {} going today", "could you set up {} for us", "now a new batch of {}")
_NAMES = ("oatmeal stout", "best bitter", "kolsch", "wheat beer")
_AMOUNTS = (("8 litres", 8.0, "litre"), ("seven and a half litres", 7.5, "litre"))


def _here(stage: str | None = "plan") -> Context:
    return Context(now=NOW, zone=ZONE, stage=stage)


@pytest.mark.parametrize(("said", "name", "amount"), list(product(_BEGUN, _NAMES, _AMOUNTS)))
def test_begun_with_its_name_and_volume(said: str, name: str, amount: tuple[str, float, str]) -> None:
    words, value, unit = amount
    (begun,) = read(f"{said.format(name)}, {words}", _here()).intents
    assert begun.name == "brew.start"
    assert begun.slots == {"name": name, "volume": Measured(value=value, unit=unit)}


@pytest.mark.parametrize("turned", ["not keen to brew {}, 8 litres", "if only I could brew {}, 8 litres", "my neighbour was keen to brew {}, 8 litres", "keen to drink {}, 8 litres", "keen to brew {}, 8 litres and 3 bottles of wine", "how long does it take to brew {}, 8 litres"])
def test_nothing_is_begun_by_talk_of_it(turned: str) -> None:
    assert not any(each.name == "brew.start" for each in read(turned.format("a porter"), _here()).intents)


def test_a_brew_that_came_to_nothing_is_none() -> None:
    assert read("we were going to brew an amber ale, 8 litres, but the gas ran out", _here("condition")).intents == ()


@pytest.mark.parametrize(
    ("text", "slots"),
    [
        ("i want to brew a pale ale about 6 litres saturday", {"name": "pale ale", "volume": Measured(value=6.0, unit="litre")}),
        ("brewing a bitter this sunday, 6 litres", {"name": "bitter", "volume": Measured(value=6.0, unit="litre")}),
        ("i want to brew a pale ale saturday", {"name": "pale ale"}),
        ("going to make a stout this coming sat", {"name": "stout"}),
    ],
)
def test_the_day_of_a_brew_is_no_part_of_its_name(text: str, slots: dict[str, object]) -> None:
    (begun,) = read(text, _here(None)).intents
    assert (begun.name, begun.slots) == ("brew.start", slots)


@pytest.mark.parametrize("text", ["brewed 6 litres of stout on saturday", "i made a stout on sunday", "i'd love a pale ale on saturday", "dad is brewing a stout on sunday", "i was going to make a stout sunday"])
def test_what_was_brewed_or_is_drunk_on_a_day_begins_none(text: str) -> None:
    assert read(text, _here(None)).intents == ()


@pytest.mark.parametrize("text", ["we are having 3 pints of mild tonight", "going for 2 pints of stout now"])
def test_what_is_drunk_begins_no_brew(text: str) -> None:
    assert not any(each.name == "brew.start" for each in read(text, _here()).intents)


def test_the_time_behind_a_hop_is_its_own_only_where_it_is_said_of_it() -> None:
    hop = Intent(name="recipe.hop", slots={"name": "saaz"}, text="14 g saaz")
    boil = Intent(name="recipe.boil", slots={"duration_s": 3600.0}, text="boil it 60 minutes")
    ((_, joined),) = of_one_thing([(0, hop), (4, boil)], "plan", [0] * 8, "14 g saaz, boil it 60 minutes")
    assert joined.slots == {"name": "saaz", "duration_s": 3600.0}
    own = boil.model_copy(update={"text": "60 minute boil"})
    assert [each for _, each in of_one_thing([(0, hop), (4, own)], "plan", [0] * 8, "14 g saaz, 60 minute boil")] == [hop, own]


@pytest.mark.parametrize(
    ("stage", "text", "name", "key", "value"),
    [
        ("ferment", "what percent does 1.010 make", "ask.alcohol", "final", 1.010),
        ("heat", "what would be the strike temperature now for my mash of 66.5", "ask.strike", "temperature", 66.5),
        ("bottle", "how much sugar would you put to 4 litres then", "ask.priming", "volume", 4.0),
    ],
)
def test_a_question_keeps_its_figure(stage: str, text: str, name: str, key: str, value: float) -> None:
    (asked,) = read(text, _here(stage)).intents
    assert asked.name == name
    assert asked.slots[key].value == value


@pytest.mark.parametrize("text", ["what percent does 1.010 make, or 1.012", "what percent do 3 litres make"])
def test_a_question_with_two_figures_or_one_of_another_kind_is_given_none(text: str) -> None:
    found = Understanding(text=text, intents=(Intent(name="ask.alcohol", text=text),))
    assert with_its_figure(found, _here("ferment")) == found
