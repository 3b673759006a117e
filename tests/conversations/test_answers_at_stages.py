"""Questions and mishaps as they come up at a stage: each gets the answer of that stage, and what is only like them does not."""

from __future__ import annotations

import pytest

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
