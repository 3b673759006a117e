"""Several things in one breath, with little or nothing between them: each is read, or none of what is only talked about."""

from __future__ import annotations

import pytest

from conversations.intents import Context
from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import NOW, ZONE


def names(text: str, stage: str) -> list[str]:
    return [each.name for each in read(text, Context(now=NOW, zone=ZONE, stage=stage)).intents]


@pytest.mark.parametrize(
    ("stage", "text", "means"),
    [
        ("pitch", "yeast is in the wort was nineteen degrees", ["done.pitched", "reading.temperature"]),
        ("boil", "right gas off and hops in at the same moment", ["done.flame_out", "done.hops"]),
        ("mash", "righto the grain's in and she's sitting on sixty six and a half", ["done.grain_in", "reading.temperature"]),
        ("mash", "stirred again sixty five point three", ["done.stirred", "reading.temperature"]),
        ("ferment", "dry hops in and the temp is 17", ["done.hops", "reading.temperature"]),
        ("ferment", "it's gone quiet 1.011 on the hydrometer", ["look.quiet", "reading.gravity"]),
        ("chill", "sanitised the bucket and moved the wort over", ["done.sanitised", "done.transferred"]),
        ("boil", "first hops are in timer on for thirty please nurse", ["done.hops", "timer.start"]),
        ("prepare", "my hydrometer's calibrated at 20c, we lose 2 litres an hour boiling", ["kit.calibration", "kit.boil_off"]),
        ("plan", "right new brew please love, a golden ale, 7 litres", ["brew.start"]),
        ("pitch", "yeast chucked in at nineteen degrees lid on", ["done.pitched", "reading.temperature"]),
        ("pitch", "i've put the yeast in the wort was eighteen degrees", ["done.pitched", "reading.temperature"]),
        ("bottle", "nine bottles of 500 and that's all of it bottled", ["bottle.count", "done.bottled"]),
        ("boil", "flame's off and it's in the sink", ["done.flame_out", "done.chilling"]),
        ("chill", "chilling has started eighty two degrees", ["done.chilling", "reading.temperature"]),
        ("prepare", "the pot is 29 cm across and weighs 1.9 kg", ["kit.pot", "kit.pot_mass"]),
        ("drain", "lifted the bag out stick says fourteen and a half", ["done.bag_out", "reading.depth"]),
    ],
)
def test_every_thing_of_one_breath_is_read(stage: str, text: str, means: list[str]) -> None:
    found = names(text, stage)
    assert [each for each in found if not each.startswith("ask.")] == means


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("mash", "if the grain's in and she's sitting on sixty six we can eat"),
        ("mash", "my brother says the grain's in and she's sitting on sixty six"),
        ("pitch", "hopefully the yeast is in by eight the wort was nineteen degrees"),
        ("boil", "back in 5"),
        ("boil", "the gas is nearly off and the hops would be in"),
        ("mash", "it dripped for ten minutes and she was cross"),
        ("ferment", "bring it to 72 then grain goes in"),
    ],
)
def test_what_turns_one_of_them_round_turns_all_of_them(stage: str, text: str) -> None:
    assert [each for each in names(text, stage) if each.startswith(("done.", "reading.", "timer."))] == []


def test_two_brews_are_not_one() -> None:
    assert names("porter is at 1012 n stout at 1018", "ferment") == []


def test_figures_before_a_question_may_be_its_own_and_are_not_kept() -> None:
    assert "reading.volume" not in names("7.2 l in there then how much sugar", "bottle")


def test_a_question_keeps_what_was_told_before_it_where_it_wants_no_figure() -> None:
    assert names("today 1.011, is finish?", "ferment") == ["reading.gravity", "ask.finished"]


@pytest.mark.parametrize(
    ("stage", "text", "means"),
    [
        ("drain", "gravitys 1.041 what is the target gravity", ["reading.gravity", "ask.target"]),
        ("heat", "water now 70c what is the strike temperature?", ["reading.temperature", "ask.strike"]),
        ("condition", "first one gushed write down too much sugar", ["bottle.found", "note"]),
        ("condition", "first one was completely flat", ["bottle.found"]),
    ],
)
def test_what_is_asked_or_noted_stands_last(stage: str, text: str, means: list[str]) -> None:
    assert names(text, stage) == means
