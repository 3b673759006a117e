"""Generated quantities, every kind in every style: what was built from a value is read back as exactly that value."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from conversations.intents import Context, Measured
from conversations.understanding.money import money_at
from conversations.understanding.numbers import number_items
from conversations.understanding.quantities import quantity_items
from conversations.understanding.understand import understand
from conversations.understanding.words import split
from tests.conversations import quantity_forms as forms
from tests.conversations.corpus import NOW, ZONE
from tests.conversations.judging import records

FEW = settings(max_examples=12, deadline=None)
MANY = settings(max_examples=100, deadline=None)
# What is not read yet; a name leaves these lists when it is, and none is added.
OPEN = frozenset(
    [
        *("degC", "American pints", "American gallons", "gms", "°Bx", "mil and a half"),
        *("eighths", "{}lbs, {}oz", "pounds sterling"),
    ]
)
OPEN_STYLES: frozenset[str] = frozenset()
OPEN_DATES = frozenset({"2026-12-05", "the fifth of December"})
OPEN_WAYS = frozenset({"point oh tail"})
ALL = [
    (kind, style)
    for kind in forms.KINDS
    for style in forms.STYLES
    if kind != "money" and style not in OPEN_STYLES and (style != "half after the unit" or kind in forms.HALVED_AFTER)
]
# An amount of money is read only where a sentence has a place for it, so it has tests of its own.
MONEY_STYLES = ["digits", "decimal point", "decimal comma", "words", "halves and quarters"]


def context(form: forms.Form, stage: str | None = None) -> Context:
    return Context(now=NOW, zone=ZONE, units=form.system, stage=stage)


def read_back(form: forms.Form) -> None:
    spans = understand(form.text, context(form)).quantities
    assert [(pytest.approx(form.value, rel=1e-9), form.unit)] == [(s.value, s.unit) for s in spans], form


@pytest.mark.parametrize(("kind", "style"), ALL)
@given(data=st.data())
@FEW
def test_a_quantity_is_read_as_the_value_it_was_built_from(kind: str, style: str, data: st.DataObject) -> None:
    read_back(data.draw(forms.forms(kind, style, OPEN)))


@pytest.mark.parametrize("kind", ["volume", "mass", "length", "duration"])
@given(data=st.data())
@FEW
def test_parts_of_one_unit(kind: str, data: st.DataObject) -> None:
    read_back(data.draw(forms.parts_of_one(kind, OPEN)))


@given(form=forms.eighths(OPEN))
@FEW
def test_eighths_of_an_inch(form: forms.Form) -> None:
    read_back(form)


@given(form=forms.pounds_and_ounces(OPEN))
@FEW
def test_pounds_and_ounces_are_one_mass(form: forms.Form) -> None:
    read_back(form)


@given(form=forms.hours_and_minutes())
@FEW
def test_hours_and_minutes_are_one_duration(form: forms.Form) -> None:
    read_back(form)


@given(form=forms.short_fahrenheit())
@FEW
def test_temperatures_said_by_digits_and_tens(form: forms.Form) -> None:
    read_back(form)


def paid(form: forms.Form) -> None:
    items = quantity_items(number_items(split(form.text)), form.system)
    assert money_at(items, 0) == (len(items), pytest.approx(form.value, rel=1e-9), form.unit), form


@given(form=forms.money_before())
@MANY
def test_money_with_its_sign_before(form: forms.Form) -> None:
    paid(form)


@pytest.mark.parametrize("style", MONEY_STYLES)
@given(data=st.data())
@FEW
def test_money_with_its_word_behind(style: str, data: st.DataObject) -> None:
    paid(data.draw(forms.forms("money", style, OPEN, bare=True)))


@pytest.mark.parametrize("way", sorted(set(forms.gravity_texts(57)) - OPEN_WAYS))
@given(points=st.integers(1, 99))
@MANY
def test_a_gravity_in_every_way_of_saying_it(way: str, points: int) -> None:
    text = forms.gravity_texts(points)[way]
    for said in (f"gravity {text}", text):
        intents = understand(said, Context(now=NOW, zone=ZONE, stage="drain")).intents
        assert [one.name for one in intents] == ["reading.gravity"], said
        assert intents[0].slots == {"gravity": Measured(value=1 + points / 1000, unit="dimensionless")} or (
            intents[0].slots["gravity"].value == pytest.approx(1 + points / 1000, abs=1e-9)
        ), said


@pytest.mark.slow
@pytest.mark.parametrize(
    ("kind", "stage", "intent"),
    [
        ("temperature", "mash", "reading.temperature"),
        ("volume", "drain", "reading.volume"),
        ("length", "drain", "reading.depth"),
    ],
)
@pytest.mark.parametrize("style", sorted(set(forms.STYLES) - OPEN_STYLES))
@given(data=st.data())
@FEW
def test_a_bare_quantity_is_one_reading(kind: str, stage: str, intent: str, style: str, data: st.DataObject) -> None:
    form = data.draw(forms.forms(kind, style, OPEN))
    found = [one for one in understand(form.text, context(form, stage)).intents if records(one.name)]
    assert [one.name for one in found] == [intent], form
    slot = {"length": "depth"}.get(kind, kind)
    assert found[0].slots[slot].unit == form.unit, form
    assert found[0].slots[slot].value == pytest.approx(form.value, rel=1e-9), form


# 10:00 to 12:59 may be either half of the day.
@given(hour=st.integers(0, 9) | st.integers(13, 23), minute=st.integers(0, 59))
@MANY
def test_a_clock_time_of_24_hours(hour: int, minute: int) -> None:
    at = NOW.replace(hour=hour, minute=minute)
    later = at if at > NOW else at.replace(day=NOW.day + 1)
    [intent] = understand(f"remind me at {hour:02d}:{minute:02d} to stir", Context(now=NOW, zone=ZONE)).intents
    assert (intent.name, intent.slots["at"]) == ("reminder.set", later.isoformat())


@given(
    hour=st.integers(1, 12), minute=st.sampled_from([0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55]), pm=st.booleans()
)
@MANY
def test_a_clock_time_in_words(hour: int, minute: int, pm: bool) -> None:
    at = NOW.replace(hour=hour % 12 + 12 * pm, minute=minute)
    later = at if at > NOW else at.replace(day=NOW.day + 1)
    following = forms.words(hour % 12 + 1)
    half = "pm" if pm else "am"
    said = [f"{forms.words(hour)} {'oh ' if 0 < minute < 10 else ''}{forms.words(minute) if minute else ''} {half}"]
    if minute and minute % 15 == 0:
        name = {15: "quarter past", 30: "half past", 45: "quarter to"}[minute]
        if minute < 45 or hour not in (11, 12):
            said.append(f"{name} {following if minute == 45 else forms.words(hour)} {half}")
    for one in said:
        text = f"remind me at {' '.join(one.split())} to stir"
        [intent] = understand(text, Context(now=NOW, zone=ZONE)).intents
        assert (intent.name, intent.slots["at"]) == ("reminder.set", later.isoformat()), text


DATES: dict[str, Callable[[datetime], str]] = {
    "5 December": lambda when: f"{when.day} {when:%B}",
    "December 5": lambda when: f"{when:%B} {when.day}",
    "5 Dec": lambda when: f"{when.day} {when:%b}",
    "5th December": lambda when: f"{num2words(when.day, to='ordinal_num')} {when:%B}",
    "the 5th of December": lambda when: f"the {num2words(when.day, to='ordinal_num')} of {when:%B}",
    "the fifth of December": lambda when: f"the {num2words(when.day, to='ordinal').replace('-', ' ')} of {when:%B}",
    "2026-12-05": lambda when: f"{when:%Y-%m-%d}",
}


@pytest.mark.parametrize("way", sorted(set(DATES) - OPEN_DATES))
@given(days=st.integers(2, 200), hour=st.integers(13, 23))
@FEW
def test_a_date(way: str, days: int, hour: int) -> None:
    when = (NOW + timedelta(days=days)).replace(hour=hour, minute=0)
    text = f"remind me on {DATES[way](when)} at {hour}:00 to phone mum"
    intents = understand(text, Context(now=NOW, zone=ZONE)).intents
    assert [(one.name, one.slots.get("at")) for one in intents] == [("reminder.set", when.isoformat())], text
