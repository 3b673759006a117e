"""Generated quantities, every kind in every style: what was built from a value is read back as exactly that value."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversations.intents import Context, Measured
from conversations.understanding.understand import understand
from tests.conversations import quantity_forms as forms
from tests.conversations.corpus import NOW, ZONE

FEW = settings(max_examples=40, deadline=None)
ALL = [
    (kind, style)
    for kind in forms.KINDS
    for style in forms.STYLES
    if style != "half after the unit" or kind in forms.HALVED_AFTER
]


def context(form: forms.Form, stage: str | None = None) -> Context:
    return Context(now=NOW, zone=ZONE, units=form.system, stage=stage)


def read_back(form: forms.Form) -> None:
    spans = understand(form.text, context(form)).quantities
    assert [(pytest.approx(form.value, rel=1e-9), form.unit)] == [(s.value, s.unit) for s in spans], form


@pytest.mark.parametrize(("kind", "style"), ALL)
@given(data=st.data())
@FEW
def test_a_quantity_is_read_as_the_value_it_was_built_from(kind: str, style: str, data: st.DataObject) -> None:
    read_back(data.draw(forms.forms(kind, style)))


@pytest.mark.parametrize("kind", ["volume", "mass", "length", "duration"])
@given(data=st.data())
@FEW
def test_parts_of_one_unit(kind: str, data: st.DataObject) -> None:
    read_back(data.draw(forms.parts_of_one(kind)))


@given(form=forms.eighths())
@FEW
def test_eighths_of_an_inch(form: forms.Form) -> None:
    read_back(form)


@given(form=forms.pounds_and_ounces())
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


@given(form=forms.money_before())
@FEW
def test_money_with_its_sign_before(form: forms.Form) -> None:
    read_back(form)


@pytest.mark.parametrize("way", sorted(forms.gravity_texts(57)))
@given(points=st.integers(1, 99))
@FEW
def test_a_gravity_in_every_way_of_saying_it(way: str, points: int) -> None:
    text = forms.gravity_texts(points)[way]
    for said in (f"gravity {text}", text):
        intents = understand(said, Context(now=NOW, zone=ZONE, stage="drain")).intents
        assert [one.name for one in intents] == ["reading.gravity"], said
        assert intents[0].slots == {"gravity": Measured(value=1 + points / 1000, unit="dimensionless")} or (
            intents[0].slots["gravity"].value == pytest.approx(1 + points / 1000, abs=1e-9)
        ), said


@pytest.mark.parametrize(
    ("kind", "stage", "intent"),
    [
        ("temperature", "mash", "reading.temperature"),
        ("volume", "drain", "reading.volume"),
        ("length", "drain", "reading.depth"),
    ],
)
@pytest.mark.parametrize("style", forms.STYLES)
@given(data=st.data())
@FEW
def test_a_bare_quantity_is_one_reading(kind: str, stage: str, intent: str, style: str, data: st.DataObject) -> None:
    form = data.draw(forms.forms(kind, style))
    found = understand(form.text, context(form, stage)).intents
    assert [one.name for one in found] == [intent], form
    slot = {"length": "depth"}.get(kind, kind)
    assert found[0].slots[slot].unit == form.unit, form
    assert found[0].slots[slot].value == pytest.approx(form.value, rel=1e-9), form


@given(hour=st.integers(0, 23), minute=st.integers(0, 59))
@settings(max_examples=100, deadline=None)
def test_a_clock_time_of_24_hours(hour: int, minute: int) -> None:
    at = NOW.replace(hour=hour, minute=minute)
    later = at if at > NOW else at.replace(day=NOW.day + 1)
    [intent] = understand(f"remind me at {hour:02d}:{minute:02d} to stir", Context(now=NOW, zone=ZONE)).intents
    assert (intent.name, intent.slots["at"]) == ("reminder.set", later.isoformat())


@given(
    hour=st.integers(1, 12), minute=st.sampled_from([0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55]), pm=st.booleans()
)
@settings(max_examples=100, deadline=None)
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


@given(days=st.integers(2, 300), hour=st.integers(0, 23), shape=st.integers(0, 3))
@settings(max_examples=100, deadline=None)
def test_a_date_in_words(days: int, hour: int, shape: int) -> None:
    from datetime import timedelta

    from num2words import num2words

    when = (NOW + timedelta(days=days)).replace(hour=hour, minute=0)
    ordinal = str(num2words(when.day, to="ordinal")).replace("-", " ")
    short = str(num2words(when.day, to="ordinal_num"))
    date = [f"{when.day} {when:%B}", f"the {ordinal} of {when:%B}", f"the {short} of {when:%B}", f"{when:%Y-%m-%d}"]
    text = f"remind me on {date[shape]} at {hour:02d}:00 to bottle"
    [intent] = understand(text, Context(now=NOW, zone=ZONE)).intents
    assert (intent.name, intent.slots.get("at")) == ("reminder.set", when.isoformat()), text
