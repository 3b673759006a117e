"""What is told in a chatty way at the pot: water poured into the mash, what a gravity was read at, hops that were more after all, dregs."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Measured, Understanding
from conversations.understanding.answers import find_answer
from conversations.understanding.beyond_sentences import read
from tests.conversations.brew_day import at_stage
from tests.conversations.corpus import NOW, ZONE


def _read(text: str, stage: str) -> Understanding:
    return read(text, Context(now=NOW, zone=ZONE, stage=stage))


def _figures(text: str, stage: str) -> list[tuple[str, dict[str, float]]]:
    return [
        (each.name, {key: round(value.value, 4) for key, value in each.slots.items() if isinstance(value, Measured)}) for each in _read(text, stage).intents
    ]


@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("boiling water in, about half a litre, kettle was only that full", 0.5),
        ("boiling water in, 500 ml", 0.5),
        ("boiling water's in, half a litre", 0.5),
        ("hot water in, half a litre or so", 0.5),
        ("poured in the kettle water, about 500 ml", 0.5),
        ("ok boiling water is in now, about 600 ml", 0.6),
        ("tipped in the boiling water, roughly 0.6 l", 0.6),
        ("boiling water went in, 300 ml", 0.3),
        ("poured the boiling water in, half a litre", 0.5),
    ],
)
def test_boiling_water_that_goes_into_the_mash_is_added_and_starts_no_boil(text: str, litres: float) -> None:
    read_so = _read(text, "mash")
    assert [each.name for each in read_so.intents] == ["done.water_added"]
    volume = read_so.intents[0].slots["volume"]
    assert isinstance(volume, Measured)
    assert volume.in_unit("litre") == pytest.approx(litres)
    assert read_so.unread == ()


def test_the_mash_has_so_much_more_and_goes_on() -> None:
    chat = at_stage("mash")
    chat.says("boiling water in, about half a litre, kettle was only that full")
    assert chat.batch.stage == "mash"
    assert chat.batch.mash_water is not None
    assert not any(each.kind == "volume" for each in chat.batch.readings)


@pytest.mark.parametrize(
    "text",
    ["boiling water in the kettle, 2 litres", "boiling water in five minutes", "is the boiling water in?", "should I put boiling water in, half a litre", "I'll put boiling water in, half a litre", "boiling water ready, half a litre"],
)
def test_water_that_is_not_in_is_not_added_and_boils_nothing(text: str) -> None:
    assert not {"done.water_added", "done.boiling"} & {each.name for each in _read(text, "mash").intents}


@pytest.mark.parametrize("text", ["it's boiling", "bag out and it's boiling"])
def test_a_boil_is_still_one(text: str) -> None:
    assert "done.boiling" in [each.name for each in _read(text, "mash").intents]


@pytest.mark.parametrize(
    ("text", "gravity", "degrees"),
    [
        ("1.040 but its about 60 degrees hot", 1.040, 60),
        ("1.040 but it's about 60 degrees", 1.040, 60),
        ("1040 and its 58", 1.040, 58),
        ("hydrometer says 1 0 5 0 and its 22", 1.050, 22),
        ("1.046, sample's at 35", 1.046, 35),
        ("ten forty six but its sixty degrees", 1.046, 60),
        ("1.050 and its twenty two", 1.050, 22),
        ("1.044 but thats still 55 degrees hot", 1.044, 55),
        ("1.044 taken at 40", 1.044, 40),
    ],
)
def test_a_gravity_has_the_degrees_of_its_sample(text: str, gravity: float, degrees: float) -> None:
    assert _figures(text, "drain") == [("reading.gravity", {"gravity": gravity, "temperature": degrees})]


@pytest.mark.parametrize("text", ["1 0 4 4", "gravity 1 0 4 4"])
def test_a_gravity_dictated_figure_by_figure_is_one(text: str) -> None:
    assert _figures(text, "boil") == [("reading.gravity", {"gravity": 1.044})]


@pytest.mark.parametrize("text", ["1.040 and the pot's at 60", "1.036 and the mash was at 66 degrees", "1.040 but it should be 1.044", "is it 1.040 but its 60", "1.040 and its 22?"])
def test_degrees_of_something_else_or_asked_are_not_the_samples(text: str) -> None:
    assert not any(name == "reading.gravity" and "temperature" in slots for name, slots in _figures(text, "drain"))


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("shoot it was more like 13 grams, scale was wobbly", 13),
        ("it was more like 13 g", 13),
        ("oops that was actually 13 grams", 13),
        ("sorry it was nearer 15 g, scales were off", 15),
        ("damn they were more like thirteen grams", 13),
        ("actually it was more like 9 g, misread the scale", 9),
        ("hmm that was closer to 14 grams", 14),
    ],
)
def test_hops_that_were_more_after_all_are_put_right(text: str, grams: float) -> None:
    chat = at_stage("boil")
    chat.says("hops in", text)
    hop = next(each for each in chat.batch.recipe.hops if each.added_at is not None)
    assert hop.mass.in_unit("gram") == pytest.approx(grams)
    assert not any(each.kind == "mass" for each in chat.batch.readings)


def test_before_hops_are_in_there_is_nothing_to_put_right() -> None:
    chat = at_stage("boil")
    before = chat.batch
    chat.says("it was more like 13 grams, scale was wobbly")
    assert chat.batch.recipe == before.recipe
    assert chat.batch.readings == before.readings


@pytest.mark.parametrize("text", ["was it more like 13 grams", "the recipe was more like 13 grams", "it was more like 13 grams last time", "it should be more like 13 grams", "it was more like 13 grams?"])
def test_what_is_asked_or_of_another_time_puts_no_hops_right(text: str) -> None:
    assert not {"done.put_in", "reading.mass"} & {each.name for each in _read(text, "boil").intents}


@pytest.mark.parametrize(
    "text",
    [
        "leave the gunk in the pot or not, there's about half a litre of it",
        "half a litre of gunk at the bottom",
        "there's a litre of sludge left",
        "do i pour the sediment in, there's about 300 ml of it",
        "the trub, there's 500 ml of it, does it go in",
    ],
)
def test_litres_of_dregs_are_no_volume_of_the_batch(text: str) -> None:
    assert not any(each.name in ("reading.volume", "done.transferred") for each in _read(text, "transfer").intents)


@pytest.mark.parametrize("text", ["left the gunk behind, 5.6 litres in the fermenter", "6 litres of it in the fermenter, gunk stayed behind", "5.5 litres in the fermenter and a bit of gunk"])
def test_litres_beside_dregs_stay_the_batchs(text: str) -> None:
    assert "reading.volume" in [each.name for each in _read(text, "transfer").intents]


@pytest.mark.parametrize("text", ["right so do i heat it straight up now", "should i bring it to the boil now", "can i start heating it now"])
def test_with_the_bag_out_no_water_is_added_to_warm_a_mash(text: str) -> None:
    chat = at_stage("mash")
    chat.says("64.8", "bag out")
    said = chat.says(text).lower()
    assert "boiling water" not in said
    assert "full heat" in said


@pytest.mark.parametrize("text", ["blue black on the plate still, what now", "it went dark blue, is that bad", "its dark blue", "iodine turned blue"])
def test_a_drop_that_turns_blue_is_not_done(text: str) -> None:
    answer = find_answer(text, "mash")
    assert answer is not None
    assert answer.key == "starch_is_left"
