"""An order beside why it is given is done; what is only talked about, asked or somebody else's is not."""

from __future__ import annotations

import pytest

from conversations.intents import Context
from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import NOW, ZONE, Message, read_label
from tests.conversations.judging import judge


def _message(stage: str | None, text: str, *means: str) -> Message:
    context = Context(now=NOW, zone=ZONE, stage=stage)
    return Message(text, "typed", context, tuple(map(read_label, means)), not means, (), None)


@pytest.mark.parametrize(
    ("stage", "text", "means"),
    [
        ("plan", "only got the little pan clean so scale it to 5 litres", "recipe.scale volume=5 litre"),
        ("plan", "no room in the fridge so make it five litres instead", "recipe.scale volume=5 litre"),
        ("plan", "can't find the amber malt anywhere, swap it for munich", "recipe.swap old=amber malt, new=munich"),
        ("plan", "shop was out of goldings so use fuggles instead of goldings", "recipe.swap old=goldings, new=fuggles"),
        ("plan", "no crystal left in the cupboard so leave the crystal out", "recipe.drop name=crystal"),
        ("plan", "bit much on a school night, take the strength down to 3.8%", "recipe.strength percent=3.8 percent"),
        ("plan", "husband wants it less bitter", "recipe.bitter direction=less"),
        ("plan", "the missus would like it a bit stronger", "recipe.strength direction=more"),
        ("mash", "give the mash another ten minutes the iodine's still blue", "timer.extend name=mash, duration_s=600"),
        ("boil", "the phone's ringing so pause the boil timer", "timer.pause name=boil"),
        ("boil", "my hands are full so could you set a timer for ten minutes", "timer.start duration_s=600"),
        (None, "the pan's free all night so new brew please, 6 litres of dark mild", "brew.start name=dark mild, volume=6 litre"),
        (None, "kids are away so let's crack on with a new batch, 8 litres of red ale", "brew.start name=red ale, volume=8 litre"),
        (None, "I've got twelve three thirty mil bottles", "kit.bottles count=12, volume=330 millilitre"),
    ],
)
def test_the_order_is_done(stage: str | None, text: str, means: str) -> None:
    verdict = judge(_message(stage, text, means), read)
    assert verdict.good, (read(text, _message(stage, text).context).intents, verdict)


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("plan", "he said take the chocolate malt out"),
        ("plan", "if there's no chocolate malt so be it take the chocolate malt out"),
        ("plan", "should I take the chocolate malt out, I couldn't get any"),
        ("plan", "wife says it's less bitter"),
        ("plan", "my mate says his is less bitter"),
        ("plan", "my neighbour told me so take the chocolate malt out he said"),
        ("plan", "the recipe is too dark so would you take the chocolate malt out if you were me"),
        ("ferment", "wife says less bitter"),
        ("mash", "sorry hang on the dog's just knocked a chair over"),
        (None, "day off tomorrow, 5 litres of nonsense with the kids"),
        (None, "finally a day off"),
        ("plan", "no time so drop the kids off"),
        ("plan", "it's late so drop the subject"),
        ("plan", "couldn't sleep so take the bins out"),
        ("plan", "I'm tired so pause the film"),
        ("boil", "the baby's asleep so stop the noise"),
        ("plan", "maybe put the fuggle down to 14 g from 18 g"),
        ("plan", "the wife says the soup is less bitter"),
    ],
)
def test_what_is_no_order_changes_nothing(stage: str | None, text: str) -> None:
    found = read(text, Context(now=NOW, zone=ZONE, stage=stage))
    assert [each for each in found.intents if not each.name.startswith(("ask.", "unclear."))] == []
