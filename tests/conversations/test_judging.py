"""The judge of the corpus, on readings made up here: it must find what is wrong and let pass what is right."""

from __future__ import annotations

from collections import Counter
from typing import Any, cast

import pytest

from conversations.intents import Context, Intent, Measured, Understanding
from tests.conversations.corpus import NOW, PARTS, ZONE, Message, messages, read_label
from tests.conversations.judging import Verdict, judge

CONTEXT = Context(now=NOW, zone=ZONE, stage="mash")


def verdict(means: str, *got: tuple[str, dict[str, Any]], last: str = "") -> Verdict:
    labels = tuple(read_label(one) for one in means.split(" ; ")) if means else ()
    message = Message("x", "typed", CONTEXT, labels, not means, (), read_label(last) if last else None)
    intents = tuple(Intent(name=name, slots=slots) for name, slots in got)
    return judge(message, lambda text, context: Understanding(text=text, intents=intents))


def m(value: float, unit: str) -> Measured:
    return Measured(value=value, unit=unit)


GOOD = [
    ("reading.temperature temperature=66 degC", [("reading.temperature", {"temperature": m(66, "degC")})], ""),
    ("reading.volume volume=0.3 litre", [("reading.volume", {"volume": m(300, "millilitre")})], ""),
    ("reading.gravity gravity=12 degree_plato", [("reading.gravity", {"gravity": m(1.0484, "dimensionless")})], ""),
    ("reminder.set at=2026-11-19T15:50, what=stir", [("reminder.set", {"duration_s": 1800.0, "what": "to stir"})], ""),
    ("reminder.set at=2026-11-20", [("reminder.set", {"at": "2026-11-20T08:00:00+00:00"})], ""),
    ("timer.cancel name=hops", [("timer.cancel", {"name": "the hop timer"})], ""),
    ("correct value=1.052", [("correct", {"value": 1.052})], "reading.gravity gravity=1.050"),
    ("correct value=1.052", [("correct", {"value": 1052.0})], "reading.gravity gravity=1.050"),
    ("recipe.volume volume=10 litre", [("correct", {"value": 10.0})], "recipe.volume volume=5 litre"),
    ("", [("unclear.number", {"value": 42.0})], ""),
    ("", [("ask.correct_mash", {})], ""),
]
SILENT = [
    ("reading.temperature temperature=66 degC", [("reading.temperature", {"temperature": m(66, "degF")})], ""),
    ("reading.gravity gravity=1.05", [("reading.gravity", {"gravity": m(1.0502, "dimensionless")})], ""),
    (
        "reading.gravity gravity=1.05, temperature=30 degC",
        [("reading.gravity", {"gravity": m(1.05, "dimensionless")})],
        "",
    ),
    ("reading.gravity gravity=1.05", [("reading.temperature", {"temperature": m(50, "degC")})], ""),
    ("timer.start duration_s=300", [("timer.start", {"duration_s": 5.0})], ""),
    ("reminder.set every_s=3600", [("reminder.set", {"duration_s": 3600.0})], ""),
    ("correct value=1.052", [("correct", {"value": 1.025})], "reading.gravity gravity=1.050"),
    ("", [("reading.temperature", {"temperature": m(12, "degC")})], ""),
]


@pytest.mark.parametrize(("means", "got", "last"), GOOD)
def test_right_readings_pass(means: str, got: list[Any], last: str) -> None:
    found = verdict(means, *got, last=last)
    assert found.good, found


@pytest.mark.parametrize(("means", "got", "last"), SILENT)
def test_wrong_numbers_are_silent_errors(means: str, got: list[Any], last: str) -> None:
    assert verdict(means, *got, last=last).silent


def test_a_needless_question_is_a_miss_and_no_silent_error() -> None:
    found = verdict("reading.temperature temperature=66 degC")
    assert found.missed == Counter(["reading.temperature"])
    assert not found.silent


def test_a_deed_recorded_out_of_talk_is_found() -> None:
    found = verdict("", ("done.hops", {}))
    assert found.recorded == ["done.hops"]
    assert not found.good


def test_the_corpus_has_the_size_and_spread_it_claims() -> None:
    development, held_out, negatives = (messages(part) for part in PARTS)
    assert len(development) >= 620
    assert len(negatives) >= 100
    everything = development + held_out
    styles = Counter(one.style for one in everything)
    # Of each style more than forty percent of the first 1,500 messages were; some of the later writers typed most of theirs.
    assert min(styles.values()) >= 620
    assert {one.context.stage for one in everything} >= {
        "plan",
        "prepare",
        "heat",
        "mash",
        "drain",
        "top_up",
        "boil",
        "steep",
        "chill",
        "transfer",
        "pitch",
        "ferment",
        "bottle",
        "condition",
    }
    assert len({(one.text, one.context.model_dump_json()) for one in everything}) == len(everything)


def test_every_labelled_unit_is_a_unit() -> None:
    for part in PARTS:
        for message in messages(part):
            for label in message.means or ():
                for value in label.slots.values():
                    if isinstance(value, Measured) and value.unit != "degree_plato":
                        assert cast(Any, value.quantity).units is not None
