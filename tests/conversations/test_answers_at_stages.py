"""Questions and mishaps as they come up at a stage: each gets the answer of that stage, and what is only like them does not."""

from __future__ import annotations

import pytest

from conversations.session.fermentation import page
from conversations.understanding.answers import find_answer
from tests.conversations.brew_day import at_stage, recorded


@pytest.mark.parametrize(
    ("stage", "text", "answer"),
    [
        *(("mash", text, "Stir and break them") for text in (
            "dry lumps in the mash", "dry lumps, what do I do", "there's dry lumps in it what now", "got dry lumps, leave it or stir?",
            "lots of dry clumps floating", "it's all lumpy and dry in the middle", "66 degrees, dry lumps in the middle",
        )),
        *(("ferment", text, "A little sanitiser or clean water does no harm") for text in ("airlock sucked in", "the airlock got sucked in", "airlock sucked back")),
        *(("ferment", text, "patience") for text in ("creamy head, eggy", "eggy", "it smells a bit eggy", "stinks of eggs", "smells a bit eggy, is that ok")),
        *(("bottle", text, "new sanitised cap") for text in ("caps didn't crimp", "a couple of caps are loose", "one cap won't seal", "the capper didn't crimp them")),
        *(("bottle", text, "By its label") for text in ("bottles soaking in sanitiser how long", "how long to sanitise the bottles", "how long do they soak in the steriliser")),
        *(("boil", text, "8.0 g Goldings") for text in (
            "what were the late hops again", "which were the late hops", "remind me what the late additions are", "what's the hop schedule", "how much of the late hops",
        )),
        *((stage, text, "IBU at") for stage in ("plan", "boil", "ferment", "condition") for text in ("how many IBUs", "how many ibus did it get", "how many ibu will it have")),
    ],
)  # fmt: skip
def test_what_is_asked_or_happens_at_a_stage_is_answered_there(stage: str, text: str, answer: str) -> None:
    said = at_stage(stage).says(text)
    assert answer in said
    assert "I did not get" not in said


def test_foam_beside_a_smell_is_still_noted() -> None:
    chat = at_stage("ferment")
    assert recorded(chat, "creamy head") is not None
    said = chat.says("creamy head, eggy")
    assert "it has begun" in said.lower()


@pytest.mark.parametrize("text", ["dry hops in", "dry yeast", "dry malt extract in", "the bag is dry", "hang the bag up to dry", "dry the pot"])
def test_dry_alone_is_no_lump(text: str) -> None:
    found = find_answer(text, "mash")
    assert found is None or found.key != "dough_balls"


@pytest.mark.parametrize("text", ["put the egg timer on", "egg sandwich", "two eggs for breakfast"])
def test_eggs_in_the_kitchen_are_no_smell(text: str) -> None:
    found = find_answer(text, "ferment")
    assert found is None or found.key != "smell_sulphur"


@pytest.mark.parametrize("text", ["lumpy", "dry lumps in the mash"])
def test_what_belongs_to_one_stage_is_not_answered_at_another(text: str) -> None:
    assert find_answer(text, "mash") is not None
    found = find_answer(text, "condition")
    assert found is None or found.key != "dough_balls"


@pytest.mark.parametrize(("stage", "text"), [("mash", "66 degrees, nobody home"), ("ferment", "gravity 1.012, my cap is loose on my tooth")])
def test_what_is_left_and_means_nothing_is_said_not_to_be_understood(stage: str, text: str) -> None:
    assert "did not get" in at_stage(stage).says(text).lower()


@pytest.mark.parametrize(
    "text",
    [
        "theres a white film on top should i bin it", "white skin on top do i throw it away", "got a funny skin on the beer", "there's like a cobweb on the top", "white bits floating on top",
        "powdery white layer on the surface, is it ruined", "oily sheen on top", "is it infected, theres a film", "white spots on the surface",
    ],
)  # fmt: skip
@pytest.mark.parametrize("stage", ["ferment", "bottle"])
def test_a_skin_on_the_beer_is_told_from_foam_and_is_no_smell(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "Do not bottle a beer with a skin" in said
    assert "Taken as" not in said
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["my skin is dry", "watching a film tonight", "cling film over the top", "500 g of white sugar", "that white wine was nice"])
def test_other_films_and_white_things_are_no_skin(text: str) -> None:
    assert "with a skin" not in at_stage("ferment").says(text)


@pytest.mark.parametrize(
    "text",
    [
        "same hops for dry hopping", "do i dry hop with the same hops as the boil", "can i use the leftover fuggle for dry hopping", "which hop do i dry hop with", "dry hop with a different one?",
        "should the dry hops be the same kind", "is bittering hop ok as dry hop", "what hop should I dry hop with",
    ],
)  # fmt: skip
def test_which_hop_to_dry_hop_with_is_told_and_none_goes_in(text: str) -> None:
    chat = at_stage("ferment")
    assert chat.says(text).startswith("The same ones or any others")
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["when do i dry hop", "how long do I dry hop", "dry hops in", "dry hop 20 g of the same hop", "same again"])
def test_other_words_of_dry_hops_are_no_question_of_the_kind(text: str) -> None:
    assert "The same ones or any others" not in at_stage("ferment").says(text)


@pytest.mark.parametrize(
    ("told", "asked", "answer"),
    [
        ("smells a bit like egg", "is that normal", "Yes, while it ferments"), ("smells a bit like egg", "normal?", "Yes, while it ferments"), ("it smells of banana", "is this ok", "In wheat beer yes"),
        ("smells of vinegar", "should i worry", "Vinegar no: do not bottle it"), ("theres brown stuff on the side", "is that ok", "Yes: yeast, protein"), ("theres a ring of gunk round the bucket", "is that bad", "Yes: yeast"),
        ("theres a white film on top", "is that bad", "web-like skin no"), ("creamy head", "is that normal", "Yes, that is as it should be"), ("airlock has gone quiet", "should i be worried", "an airlock falls quiet as it ends"),
        ("bubbling every 10 seconds", "is that ok", "well at work"), ("there is sediment at the bottom", "is it normal", "Yes: yeast"), ("tastes a bit watery", "is that normal then", "Yes, in flat and young beer"),
        ("bubbling like mad", "thats normal right?", "Yes, that is as it should be"),
    ],
)  # fmt: skip
def test_is_that_normal_asks_about_what_was_told_last(told: str, asked: str, answer: str) -> None:
    chat = at_stage("ferment")
    chat.says("gravity 1.014", told)
    said = chat.says(asked)
    assert answer in said
    assert "Not proven" not in said
    assert not recorded(chat, asked)
    assert chat.says(asked) == said


@pytest.mark.parametrize(("told", "asked", "answer"), [("bottle is rock hard", "is that normal", "bulging or domed no"), ("theres stuff at the bottom of the bottles", "is that ok", "Yes: yeast"), ("first one was flat", "normal?", "In the first two weeks")])
def test_is_that_normal_of_bottles(told: str, asked: str, answer: str) -> None:
    chat = at_stage("condition")
    chat.says(told)
    assert answer in chat.says(asked)


def test_is_that_ok_asks_about_the_reading_where_that_came_last() -> None:
    chat = at_stage("ferment")
    chat.says("smells a bit like egg", "gravity 1.014")
    assert chat.says("is that ok").startswith("1.014:")
    chat.says("smells a bit like egg", "fermenter at 24")
    assert "too warm for ale yeast" in chat.says("is that normal")
    chat.says("smells a bit like egg")
    assert "too warm for ale yeast" in chat.says("is that too warm")


@pytest.mark.parametrize(("text", "answer"), [("smells like egg is that normal", "Yes, while it ferments"), ("it tastes of cardboard, is that ok", "No: that is air")])
def test_a_smell_that_is_asked_about_in_one_breath_is_normal_or_not(text: str, answer: str) -> None:
    assert answer in at_stage("ferment").says(text)


def test_each_fault_says_whether_it_is_normal() -> None:
    assert all(row["normal"] for row in page("faults")["fault"])


@pytest.mark.parametrize("text", ["green spots on top", "white furry stuff on top", "black fuzzy bits on the surface", "blue patches on top", "furry brown stuff on the side"])
def test_coloured_or_furry_growth_is_mould_and_no_smell(text: str) -> None:
    said = at_stage("ferment").says(text)
    assert "pour the batch away" in said
    assert "Taken as" not in said
