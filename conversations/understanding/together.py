"""What the intents of one message mean together, where they mean something else than one by one."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from conversations.intents import Intent, Measured
from conversations.understanding.another_clock import another_clock
from conversations.understanding.by_words import ASKED
from conversations.understanding.moved_over import moved_over
from conversations.understanding.of_a_sample import of_a_sample
from conversations.understanding.of_one_thing import of_one_thing
from conversations.understanding.off_and_on import off_and_on_again
from conversations.understanding.poured_in import poured_in
from conversations.understanding.reasons import cancelled_with_a_reason
from conversations.understanding.rows import Placed
from conversations.understanding.water_beside import water_beside
from conversations.understanding.which_hops import begins_with_figure, in_and_which, late_but_in, of_hops

_SAID_BETTER = {
    ("ask.finished", "ask.stuck"),
    ("look.quiet", "look.alive"),
    ("kit.squeeze", "done.squeezed"),
    ("stage.resume", "timer.resume"),
    ("ask.next", "ask.correct_mash"),
    ("look.alive", "done.boiling"),
    ("timeline.show", "timeline.start"),
    ("timeline.show", "timeline.finish"),
    ("stock.show", "stock.can_brew"),
    ("ask.diary", "diary.day"),
    ("ask.quiet", "settings.quiet"),
    ("ask.target", "ask.temperature_help"),
    ("ask.diary", "learned.show"),
    ("cost.batch", "cost.compare"),
    ("no", "correct"),
    ("look.quiet", "ask.stuck"),
    ("ask.next", "ask.temperature_help"),
    ("brew.start", "kit.has_bag"),
    ("done.turned_down", "timer.pause"),
    ("done.turned_down", "stage.pause"),
    ("done.turned_down", "done.off_boil"),
    ("done.turned_down", "look.foam_down"),
    ("look.foam", "timer.pause"),
    ("look.foam", "stage.pause"),
    ("look.foam", "done.turned_down"),
}
"""The first goes where the second is there: "it's stopped fermenting, is it stuck", "airlock still bubbling"."""


@dataclass(frozen=True)
class _Beside:
    """What a rule may look at besides the intents."""

    stage: str | None
    clause: list[int]
    text: str


_ARTICLES_LAST = (" the", " a", " an", " my", " our", " some")
_Rule = Callable[[list[Placed], _Beside], list[Placed]]


def _names(found: list[Placed]) -> list[str]:
    return [intent.name for _, intent in found]


_GO_BACK = 2
"""Words of a message that goes a stage back and says no more than "back"."""
_AND_THEN = re.compile(r"\W*(and )?then\W*", re.IGNORECASE)
_PUT_RIGHT = re.compile(r"\b(back|up|down|raise|lower|fix|right)\b", re.IGNORECASE)


def _taste_is_a_remark(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "gravity 1.020, sample tasted nice and bready": how it tastes is a remark there, and opens no tasting."""
    if not any(each.name.startswith(("reading.", "done.")) for _, each in found):
        return found
    return [
        (place, Intent(name="tasting.remark", slots={"text": each.text}, text=each.text)) if each.name == "tasting.begin" and "text" in each.slots else (place, each)
        for place, each in found
    ]


_SAME_AS = re.compile(r"\W*(the |exactly |much |about |all )*same( again| as|\b)", re.IGNORECASE)


def _same_as_figure(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "same again this morning, ten twelve": one reading, of the figure that is told. "Same again but stronger" is another brew."""
    names = [each.name for _, each in found]
    if any(name.startswith("recipe.") for name in names):
        found = [pair for pair in found if not (pair[1].name.startswith("reading.") and _SAME_AS.match(pair[1].text))]
    return [
        pair
        for k, pair in enumerate(found)
        if not (pair[1].name.startswith("reading.") and _SAME_AS.match(pair[1].text) and pair[1].name in names[:k] + names[k + 1 :])
    ]


def _asked_of_both(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "og 1.052 fg 1.012, abv?": the two gravities belong to the question."""
    if _names(found) != ["reading.gravity", "reading.gravity", "ask.alcohol"] or found[2][1].slots:
        return found
    (place, first), (_, last), (_, asked) = found
    slots = {"original": first.slots["gravity"], "final": last.slots["gravity"]}
    return [(place, asked.model_copy(update={"slots": slots, "text": f"{first.text}, {last.text}, {asked.text}"}))]


def _yeast_of_both(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "How much yeast for 4.9 litres and 1.047": the gravity belongs to the question, too."""
    if _names(found) != ["ask.yeast", "reading.gravity"]:
        return found
    (place, asked), (_, told) = found
    if "gravity" in asked.slots or "volume" not in asked.slots or set(told.slots) != {"gravity"} or not begins_with_figure(told):
        return found
    return [(place, asked.model_copy(update={"slots": {**asked.slots, "gravity": told.slots["gravity"]}, "text": f"{asked.text}, {told.text}"}))]


def _sugar_of_both(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "Ok to add some sugar, about 100 g": the mass belongs to the question, and is no reading."""
    if _names(found) != ["ask.sugar_in", "reading.mass"] or "mass" in found[0][1].slots or not begins_with_figure(found[1][1]):
        return found
    (place, asked), (_, told) = found
    return [(place, asked.model_copy(update={"slots": {**asked.slots, "mass": told.slots["mass"]}, "text": f"{asked.text}, {told.text}"}))]


_COOLED_TO = re.compile(r"\b(cooled|chilled)( it| her| (the )?wort| (the )?pot| everything)?( all)? down( now)?( to| at)?\b", re.IGNORECASE)
_COLD_C = 25.0


def _cooled_down_to(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "It is cooled down to eighteen degrees now" tells that cooling is done as well, where yeast could be pitched at it."""
    told = [each.slots["temperature"] for _, each in found if each.name == "reading.temperature"]
    cold = [isinstance(each, Measured) and each.in_unit("degC") <= _COLD_C for each in told]
    if beside.stage not in ("chill", "steep") or cold != [True] or "done.chilled" in _names(found) or (said := _COOLED_TO.search(beside.text)) is None:
        return found
    first = next(place for place, each in found if each.name == "reading.temperature")
    done = first, Intent(name="done.chilled", text=said.group())
    return [each for pair in found for each in ((done, pair) if pair[1].name == "reading.temperature" else (pair,))]


_WEIGHS = re.compile(r"\W*(and )?(it |it's |empty |the pot )?(weighs|weighing|weight|mass|\d)", re.IGNORECASE)
"""Of what is told beside it, and of nothing else: not "the grain weighs 2 kg"."""
_OF_THE_POT = {"kit.pot", "kit.pot_height", "kit.pot_capacity"}


def _all_to_be_done(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "Give us a shout in ten minutes to put the last hops in": what is to be done is not done, however it would be read alone."""
    kept: list[Placed] = []
    for place, intent in found:
        before = kept[-1][1] if kept else None
        if before is not None and before.name == "reminder.set" and intent.name.startswith("done.") and str(before.slots.get("what", "")).lower().endswith(_ARTICLES_LAST):
            what = f"{before.slots['what']} {intent.text}"
            kept[-1] = kept[-1][0], before.model_copy(update={"slots": {**before.slots, "what": what}, "text": f"{before.text} {intent.text}"})
        else:
            kept.append((place, intent))
    return kept


def _before_the_day(found: list[Placed], beside: _Beside) -> list[Placed]:
    """What is told beside a recipe or a pot before there is anything to measure, as a part of it.

    "6 litres, 1.3 kg pale malt", "pot: 30 cm across, 15 litres", "yeast is a dry english ale, 11 g".
    """
    if beside.stage not in (None, "plan", "prepare"):
        return found
    names = set(_names(found))
    kept: list[Placed] = []
    for place, intent in found:
        if intent.name == "done.grain_in" and "recipe.grain" in names:
            # "we want 2.1 kg of pale malt in it"
            continue
        if intent.name == "done.put_in" and beside.stage is not None and "instead of" in intent.text.lower():
            # "roast barley down to 110 g instead of 140 g": nothing is in yet.
            intent = intent.model_copy(update={"name": "recipe.amount"})
        elif intent.name == "reading.volume" and names & {"recipe.grain", "recipe.hop"}:
            intent = intent.model_copy(update={"name": "recipe.volume"})
        elif intent.name == "reading.volume" and names & {"kit.pot", "kit.pot_height"}:
            intent = intent.model_copy(update={"name": "kit.pot_capacity", "slots": {"capacity": intent.slots["volume"]}})
        elif intent.name == "reading.mass" and names & _OF_THE_POT and _WEIGHS.match(intent.text):
            intent = intent.model_copy(update={"name": "kit.pot_mass"})
        elif intent.name == "reading.mass" and kept and kept[-1][1].name == "recipe.yeast" and "mass" not in kept[-1][1].slots:
            yeast = kept.pop()[1]
            intent = yeast.model_copy(update={"slots": {**yeast.slots, "mass": intent.slots["mass"]}})
        kept.append((place, intent))
    return kept


def asked_of_figures(intents: Sequence[Intent]) -> str:
    """The name of a question without figures that bare figures follow: they may be its own, and no readings.

    >>> asked_of_figures([Intent(name="ask.yeast"), Intent(name="reading.volume", slots={"volume": 6})])
    'ask.yeast'
    """
    if [each.name for each in intents] == ["recipe.part_times", "reading.mass"]:
        return "recipe.amount"  # "More pale malt, 2.2 kg".
    if len(intents) < 2 or not intents[0].name.startswith("ask.") or intents[0].slots:
        return ""
    return intents[0].name if all(each.name.startswith("reading.") for each in intents[1:]) else ""


def _no_doubles(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "How strong is a beer that goes from 1.048 to 1.010" asks once, with its figures."""
    names = _names(found)
    found = [pair for k, pair in enumerate(found) if pair[1].slots or pair[1].name not in names[:k]]
    asked = [{each.name for _, each in found[k + 1 :] if each.slots} for k in range(len(found))]
    # "the tap dripped, half a litre gone" tells once, with its litres.
    return [pair for k, pair in enumerate(found) if pair[1].slots or not pair[1].name.startswith(("ask.", "done.spilled")) or pair[1].name not in asked[k]]


def _of_another_batch(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "The last batch came out at 1.048"."""
    if "diary.last" not in _names(found):
        return found
    return [pair for pair in found if not pair[1].name.startswith("reading.")]


def _mashed_at(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "Grain in, mash 66.1 C": there is a mash, and it is as warm as that."""
    if "done.grain_in" not in _names(found):
        return found
    return [
        (place, each.model_copy(update={"name": "reading.temperature"}) if each.name == "recipe.mash" and each.slots.keys() == {"temperature"} else each)
        for place, each in found
    ]


def _swapped(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "No munich left, use vienna instead of munich"."""
    old = {str(each.slots.get("old", "")).lower() for _, each in found if each.name == "recipe.swap"}
    return [pair for pair in found if pair[1].name != "recipe.drop" or str(pair[1].slots.get("name", "")).lower() not in old]


def _without_the_weaker(found: list[Placed], beside: _Beside) -> list[Placed]:
    """Without what only leads to something else in the same message."""
    names = _names(found)
    away: set[str] = set()
    if "reading.temperature" in names:
        # "hob's on, it's at 22 degrees"
        away.add("unclear.heating")
    if "settings.zone" in names:
        # "I'm in Leeds, set the clock for here"
        away.add("unclear.timer")
    if any((name.startswith("done.") and name != "done.generic") or name == "bottle.count" for name in names):
        # "chilled and ready"
        away.add("done.generic")
    if any(name.startswith("done.") and name not in ("done.generic", "done.lid_on") for name in names):
        # "the grain is in and the lid's on"
        away.add("done.lid_on")
    if "ask.correct_mash" in names:
        away.add("ask.next")
    if any(name.startswith("ask.") for name in names):
        # "what strike temperature do I want in fahrenheit" names the unit of the answer and changes no setting.
        away.add("settings.units")
    if any(each.name == "recipe.strength" and "percent" in each.slots for _, each in found):
        # "a bit stronger please, make it five percent"
        found = [pair for pair in found if pair[1].name != "recipe.strength" or "direction" not in pair[1].slots]
    if len(found) > 1 or ASKED.search(beside.text):
        # "ok 66 now": beside something else it agrees to nothing.
        away.add("yes")
    if len(found) > 1 or len(beside.text.split()) > _GO_BACK:
        # "back. temp 64.5, stirred it too", "back in a sec": somebody is back, and no stage is.
        found = [pair for pair in found if pair[1].name != "stage.back" or pair[1].text.lower() != "back"]
        names = _names(found)
    # "and then ten grams of fuggle": goes on, and asks for nothing; "hang on, pause everything" puts nothing off.
    going_on = [each for _, each in found if len(found) > 1 and ((each.name == "ask.next" and _AND_THEN.fullmatch(each.text)) or (each.name == "snooze" and not each.slots))]
    return [pair for pair in found if pair[1].name not in away and pair[1] not in going_on]


def _begun_with(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "New brew: Fen Bitter, 6 litres"."""
    if _names(found) not in (["brew.start", "reading.volume"], ["brew.start", "recipe.volume"]) or "volume" in found[0][1].slots:
        return found
    (place, begun), (_, told) = found
    return [(place, begun.model_copy(update={"slots": {**begun.slots, "volume": told.slots["volume"]}}))]


def _mash_to_be_helped(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "Mash has dropped to 62, what now", "mash is too cold, 62": asks what to do about it."""
    if len(found) != 2:
        return found
    (place, first), (_, second) = found
    said = f"{first.text}, {second.text}"
    helped = second.name in ("ask.next", "ask.help") or (second.name == "ask.status" and _PUT_RIGHT.search(second.text))
    if beside.stage == "mash" and first.name == "reading.temperature" and helped:
        return [(place, Intent(name="ask.correct_mash", slots=first.slots, text=said))]
    if {first.name, second.name} == {"ask.correct_mash", "reading.temperature"}:
        asked, reading = (first, second) if first.name == "ask.correct_mash" else (second, first)
        if not asked.slots:
            return [(place, Intent(name="ask.correct_mash", slots=reading.slots, text=said))]
    return found


_ALL_OF_IT = re.compile(r"\b(all|everything|the lot)( of (it|them))?(['’]s| is| are)?( now)? bottled\b|\bbottling('s| is)? (done|finished)\b", re.IGNORECASE)


def _bottled_so_many(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "Bottled 12 of 500 ml" counts them; "12 of 500 ml, all bottled" says that it is done as well."""
    counted = {beside.clause[place] for place, intent in found if intent.name == "bottle.count"}
    return [pair for pair in found if pair[1].name != "done.bottled" or beside.clause[pair[0]] not in counted or _ALL_OF_IT.search(beside.text)]


def _said_better(found: list[Placed], beside: _Beside) -> list[Placed]:
    if len(found) > 1:
        # "help, the fermenter is far too warm": asks for that help.
        found = [pair for pair in found if pair[1].name != "ask.help"]
    names = _names(found)
    return [pair for pair in found if not any((pair[1].name, name) in _SAID_BETTER for name in names)]


_STATES = ("ask.", "done.", "look.", "stage.")
"""What is so or is asked, however often it is said."""
_WHERE = re.compile(r"(in|inside|from|out of) (the |an? |my )?((iced?|cold|icy) )?(water )?(bath|sink|tub|bucket)( of (ice|iced|cold) water)?", re.IGNORECASE)


def _said_again(found: list[Placed], beside: _Beside) -> list[Placed]:
    """Without what was said before: "let it drip, didn't squeeze"; nor where a reading was taken: "28 in the bath"."""
    read = "reading.temperature" in _names(found)
    kept: list[Placed] = []
    for place, intent in found:
        again = intent.name.startswith(_STATES) and any(each.name == intent.name and each.slots == intent.slots for _, each in kept)
        where = read and intent.name == "done.chilling" and _WHERE.fullmatch(intent.text) is not None
        if not (again or where):
            kept.append((place, intent))
    return kept


def _amounts_behind(found: list[Placed], beside: _Beside) -> list[Placed]:
    """A mass alone that belongs to what stands before it: "fuggles in 15 g", "24 bottles 12 oz"."""
    kept: list[Placed] = []
    for place, intent in found:
        if kept and (both := _of_bottles(kept[-1][1], intent) or of_hops(kept[-1][1], intent)) is not None:
            kept[-1] = kept[-1][0], both
        else:
            kept.append((place, intent))
    return kept


def _of_bottles(before: Intent, intent: Intent) -> Intent | None:
    """So many bottles of the ounces that stand behind them, which are of volume then: "24 bottles 12 oz"."""
    size = intent.slots.get("mass") if intent.name == "reading.mass" else None
    if before.name != "bottle.unsized" or not isinstance(size, Measured) or size.unit != "ounce":
        return None
    count = {key: value for key, value in before.slots.items() if key == "count"}
    volume = Measured(value=size.value, unit="fluid_ounce")
    return before.model_copy(update={"name": "bottle.count", "slots": {**count, "volume": volume}, "text": f"{before.text} {intent.text}"})


_WHEN_IT = re.compile(r"\W*(when|once|after) ", re.IGNORECASE)


def _once_it_is_done(found: list[Placed], beside: _Beside) -> list[Placed]:
    """ "Turn the gas off when it's done" is an order for later to somebody, and nothing that was done or is asked."""
    late = [k for k, (_, each) in enumerate(found) if k and each.name == "ask.finished" and _WHEN_IT.match(each.text) and found[k - 1][1].name.startswith("done.")]
    if "?" in beside.text or not late:
        return found
    return [pair for k, pair in enumerate(found) if k not in late and k + 1 not in late]


_RULES: tuple[_Rule, ...] = (
    _once_it_is_done,
    lambda found, beside: another_clock(found),
    lambda found, beside: off_and_on_again(found, beside.text),
    _no_doubles,
    lambda found, beside: late_but_in(found),
    lambda found, beside: in_and_which(found, beside.stage, beside.text),
    lambda found, beside: cancelled_with_a_reason(found),
    _same_as_figure,
    _of_another_batch,
    _all_to_be_done,
    _before_the_day,
    lambda found, beside: poured_in(found, beside.stage, beside.text),
    lambda found, beside: water_beside(found, beside.stage, beside.text),
    lambda found, beside: of_a_sample(found, beside.clause, beside.stage, beside.text),
    _taste_is_a_remark,
    _mashed_at,
    _swapped,
    _asked_of_both,
    _yeast_of_both,
    _sugar_of_both,
    _cooled_down_to,
    lambda found, beside: moved_over(found, beside.stage, beside.text),
    _begun_with,
    _without_the_weaker,
    _bottled_so_many,
    _said_better,
    _mash_to_be_helped,
    _amounts_behind,
    _said_again,
    lambda found, beside: of_one_thing(found, beside.stage, beside.clause, beside.text),
)


def together(found: list[Placed], stage: str | None, clause: list[int], text: str) -> list[Placed]:
    """The intents of a message in their order, with those that only make sense together joined."""
    found, beside = sorted(found, key=lambda pair: pair[0]), _Beside(stage, clause, text)
    for rule in _RULES:
        found = rule(found, beside)
    return found
