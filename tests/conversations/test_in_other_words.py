"""Ways of saying things that a stranger used: figures told apart, misspelt names, remarks beside what is told."""

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
        ("plan", "drop the goldings from 18 g down to 14 g", ["recipe.amount name=goldings, mass=14 gram, old=18 gram"]),
        ("plan", "crystal malt up to 150 grams from 120 grams", ["recipe.amount name=crystal malt, mass=150 gram, old=120 gram"]),
        ("plan", "pale malt should be 1.2 kg not 1.1 kg", ["recipe.amount name=pale malt, mass=1.2 kilogram, old=1.1 kilogram"]),
        ("plan", "yeast is 11 g of dry ale yeast", ["recipe.yeast name=dry ale yeast, mass=11 gram"]),
        ("plan", "bring the strength down to 3.9%", ["recipe.strength percent=3.9 percent"]),
        ("plan", "dial the bitterness back a touch", ["recipe.bitter direction=less"]),
        ("plan", "remind me of all the water volumes", ["ask.water"]),
        (None, "got 2 kg of maris otter yesterday, paid 6.20", ["stock.bought name=maris otter, mass=2 kilogram, money=6.2"]),
        (None, "grabbed 50g of saaz from the brew shop for £3", ["stock.bought name=saaz, mass=50 gram, money=3, currency=GBP"]),
        (None, "chucked out 30 g of stale saaz", ["stock.used name=saaz, mass=30 gram"]),
        (None, "the saaz is down to its last 20 g", ["stock.left name=saaz, mass=20 gram"]),
        (None, "house is about 250 metres up a hill", ["kit.altitude altitude=250 metre"]),
        (None, "the sticker on the bottom says the hob is 2.2 kW", ["kit.hob_power power=2.2 kilowatt"]),
        ("boil", "goldngs in", ["done.hops name=goldings"]),
        ("boil", "fuggels in now", ["done.hops name=fuggles"]),
        ("boil", "hps in", ["done.hops"]),
        ("boil", "one timer for 5 minutes and another for 15 minutes", ["timer.start duration_s=300", "timer.start duration_s=900"]),
        ("boil", "12 min timer for the rice and a 5 min one for the peas", ["timer.start name=rice, duration_s=720", "timer.start name=peas, duration_s=300"]),
        ("boil", "three timers, five ten and fifteen minutes", ["timer.start duration_s=300", "timer.start duration_s=600", "timer.start duration_s=900"]),
        ("drain", "finished w 6.2 litres and 1.048", ["reading.volume volume=6.2 litre", "reading.gravity gravity=1.048"]),
        ("drain", "gravity is 1.041, bit low", ["reading.gravity gravity=1.041"]),
        ("top_up", "topping it up w 600 ml", ["steer.water volume=600 millilitre"]),
        ("chill", "pot's sitting in the sink", ["done.chilling"]),
        ("chill", "31 c in the sink", ["reading.temperature temperature=31 degC"]),
        ("chill", "down to 20c, took ages tho", ["reading.temperature temperature=20 degC"]),
        ("ferment", "how's it goin in there", ["ask.fermentation"]),
        ("ferment", "how strong would a beer be that went from 1.050 to 1.011", ["ask.alcohol original=1.050, final=1.011"]),
        ("ferment", "i meant the porter, switch to that one", ["batch.switch name=porter"]),
        ("bottle", "go for 2.4 volumes", ["priming.told volumes=2.4"]),
        ("boil", "she's boiling, the hour starts now", ["done.boiling"]),
        ("mash", "she's sitting at 66.5", ["reading.temperature temperature=66.5 degC"]),
        ("chill", "20c now, it took an hour and a half", ["reading.temperature temperature=20 degC"]),
        ("heat", "it's at 40 after 15 minutes", ["reading.temperature temperature=40 degC"]),
        ("transfer", "all in the fermenter, lost a bit to the trub", ["done.transferred"]),
        ("bottle", "that's eleven 500 ml and two 330 ml bottles done", ["bottle.count count=11, volume=500 millilitre", "bottle.count count=2, volume=330 millilitre"]),
        ("bottle", "how much sugar per bottle for 330s", ["ask.priming volume=330 millilitre"]),
        (None, "pot's 30 cm wide and 24 deep", ["kit.pot diameter=30 centimetre", "kit.pot_height height=24 centimetre"]),
        (None, "I'm in Leeds by the way, set the clock for here", ["settings.zone zone=Europe/London"]),
        (None, "give us a shout in twenty minutes", ["timer.start duration_s=1200"]),
        ("plan", "what's going in this one", ["ask.recipe"]),
        ("heat", "it's hit 72", ["reading.temperature temperature=72 degC"]),
        ("heat", "hob's on, it's at 22 degrees", ["reading.temperature temperature=22 degC"]),
        ("plan", "chuck 12 g of cascade in at flameout", ["recipe.hop name=cascade, mass=12 gram, duration_s=0"]),
        ("plan", "no munich left, use vienna instead of munich", ["recipe.swap old=munich, new=vienna"]),
        ("plan", "is that enough yeast", ["ask.yeast"]),
        (None, "the pan is 32 across", ["kit.pot diameter=32 centimetre"]),
        (None, "how much goldings have I got left", ["stock.show name=goldings"]),
        (None, "can we begin a new beer please, it's gonna be a cherry porter", ["brew.start name=cherry porter"]),
        ("condition", "that was the last bottle, all gone", ["batch.close"]),
        ("condition", "one of them gushed everywhere when I opened it", ["bottle.found how=gushed"]),
        ("condition", "when can we open the first bottle", ["ask.drink"]),
        (None, "put the stout and the mild side by side", ["diary.compare a=stout, b=mild"]),
        (None, "can you read that back to me", ["ask.recorded"]),
    ],
)
def test_it_is_understood(stage: str | None, text: str, means: list[str]) -> None:
    verdict = judge(_message(stage, text, *means), read)
    assert verdict.good, (read(text, _message(stage, text).context), verdict)


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("boil", "do I need one timer for ten minutes and another for twenty"),
        ("boil", "my mate uses one timer for ten minutes and another for twenty"),
        ("boil", "set three timers, five and ten minutes"),
        (None, "should I put the fuggle down to 14 g from 18 g"),
        (None, "my neighbour lives up a hill about 300 metres above sea level"),
        (None, "did I use up 40 g of citra on something else"),
        ("plan", "the recipe was 5 g of dry lager yeast last time"),
        ("mash", "the mash is a bit low"),
        ("mash", "she's at 38.5"),
        ("chill", "she's cool"),
        ("heat", "has it hit 72"),
        ("heat", "hit 72 on the motorway"),
        (None, "i need 18 l at 1.040 from 1.060, boil down or up"),
        ("ferment", "330"),
        ("mash", "it took 20 minutes to get to 66"),
        ("condition", "is that the last of it, all drunk"),
        ("condition", "that's nearly the last of it, not all drunk"),
        ("boil", "is the pot in the sink"),
        (None, "what did I pay for 5 kg of pale malt, paid 8.75 last year maybe"),
    ],
)
def test_what_is_asked_or_of_others_records_nothing(stage: str | None, text: str) -> None:
    found = read(text, Context(now=NOW, zone=ZONE, stage=stage))
    assert [each for each in found.intents if not each.name.startswith(("ask.", "unclear.", "cost."))] == []
