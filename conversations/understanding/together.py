"""What the intents of one message mean together, where they mean something else than one by one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from conversations.intents import Intent, Measured
from conversations.understanding.of_a_sample import Placed, of_a_sample
from conversations.understanding.off_and_on import off_and_on_again

_SAID_BETTER = {
    ("ask.finished", "ask.stuck"),
    ("look.quiet", "look.alive"),
    ("ask.next", "ask.correct_mash"),
    ("look.alive", "done.boiling"),
    ("done.bottled", "bottle.count"),
    ("timeline.show", "timeline.start"),
    ("timeline.show", "timeline.finish"),
    ("stock.show", "stock.can_brew"),
    ("ask.diary", "diary.day"),
    ("ask.diary", "learned.show"),
    ("cost.batch", "cost.compare"),
    ("no", "correct"),
    ("look.quiet", "ask.stuck"),
    ("ask.next", "ask.temperature_help"),
    ("brew.start", "kit.has_bag"),
    ("done.turned_down", "timer.pause"),
    ("done.turned_down", "stage.pause"),
    ("done.turned_down", "done.off_boil"),
    ("look.foam", "timer.pause"),
    ("look.foam", "stage.pause"),
    ("look.foam", "done.turned_down"),
}
"""The first goes where the second is there: "it's stopped fermenting, is it stuck", "airlock still bubbling"."""


_PUT_RIGHT = re.compile(r"\b(back|up|down|raise|lower|fix|right)\b", re.IGNORECASE)


def _beside_a_reading(found: list[Placed]) -> list[Placed]:
    """ "gravity 1.020, sample tasted nice and bready": how it tastes is a remark there, and opens no tasting."""
    if not any(each.name.startswith(("reading.", "done.")) for _, each in found):
        return found
    return [
        (place, Intent(name="tasting.remark", slots={"text": each.text}, text=each.text)) if each.name == "tasting.begin" and "text" in each.slots else (place, each)
        for place, each in found
    ]


_SAME_AS = re.compile(r"\W*(the |exactly |much |about |all )*same( again| as|\b)", re.IGNORECASE)


def _same_as_figure(found: list[Placed]) -> list[Placed]:
    """ "same again this morning, ten twelve": one reading, of the figure that is told."""
    names = [each.name for _, each in found]
    return [
        pair
        for k, pair in enumerate(found)
        if not (pair[1].name.startswith("reading.") and _SAME_AS.match(pair[1].text) and pair[1].name in names[:k] + names[k + 1 :])
    ]


def _asked_of_both(found: list[Placed], names: list[str]) -> list[Placed]:
    """ "og 1.052 fg 1.012, abv?": the two gravities belong to the question."""
    if names != ["reading.gravity", "reading.gravity", "ask.alcohol"] or found[2][1].slots:
        return found
    (place, first), (_, last), (_, asked) = found
    slots = {"original": first.slots["gravity"], "final": last.slots["gravity"]}
    return [(place, asked.model_copy(update={"slots": slots, "text": f"{first.text}, {last.text}, {asked.text}"}))]


def _before_the_day(found: list[Placed]) -> list[Placed]:
    """What is told beside a recipe or a pot before there is anything to measure, as a part of it.

    "6 litres, 1.3 kg pale malt", "pot: 30 cm across, 15 litres", "yeast is a dry english ale, 11 g".
    """
    names = {intent.name for _, intent in found}
    kept: list[Placed] = []
    for place, intent in found:
        if intent.name == "reading.volume" and names & {"recipe.grain", "recipe.hop"}:
            intent = intent.model_copy(update={"name": "recipe.volume"})
        elif intent.name == "reading.volume" and names & {"kit.pot", "kit.pot_height"}:
            intent = intent.model_copy(update={"name": "kit.pot_capacity", "slots": {"capacity": intent.slots["volume"]}})
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
    if len(intents) < 2 or not intents[0].name.startswith("ask.") or intents[0].slots:
        return ""
    return intents[0].name if all(each.name.startswith("reading.") for each in intents[1:]) else ""


def together(found: list[Placed], stage: str | None, clause: list[int], text: str) -> list[Placed]:
    """The intents of a message in their order, with those that only make sense together joined."""
    found = off_and_on_again(sorted(found, key=lambda pair: pair[0]), text)
    names = [intent.name for _, intent in found]
    found = [pair for k, pair in enumerate(found) if pair[1].slots or pair[1].name not in {each.name for _, each in found[:k]}]
    # "how strong is a beer that goes from 1.048 to 1.010" asks once, with its figures.
    found = [pair for k, pair in enumerate(found) if pair[1].slots or not pair[1].name.startswith("ask.") or pair[1].name not in {each.name for _, each in found[k + 1 :] if each.slots}]
    found = _same_as_figure(found)
    if len(found) > 1:
        # "ok 66 now": beside something else it agrees to nothing.
        found = [pair for pair in found if pair[1].name != "yes"]
    if "diary.last" in names:
        # "the last batch came out at 1.048" tells of another one.
        found = [pair for pair in found if not pair[1].name.startswith("reading.")]
    if stage in (None, "plan", "prepare"):
        found = _before_the_day(found)
    found = _beside_a_reading(of_a_sample(found, clause, stage, text))
    if "done.grain_in" in names:
        # "grain in, mash 66.1 C": there is a mash, and it is as warm as that.
        found = [(place, each.model_copy(update={"name": "reading.temperature"}) if each.name == "recipe.mash" and each.slots.keys() == {"temperature"} else each) for place, each in found]
    swapped = {str(each.slots.get("old", "")).lower() for _, each in found if each.name == "recipe.swap"}
    # "no munich left, use vienna instead of munich"
    found = [pair for pair in found if pair[1].name != "recipe.drop" or str(pair[1].slots.get("name", "")).lower() not in swapped]
    if "reading.temperature" in names:
        # "hob's on, it's at 22 degrees"
        found = [pair for pair in found if pair[1].name != "unclear.heating"]
    if "settings.zone" in names:
        # "I'm in Leeds, set the clock for here"
        found = [pair for pair in found if pair[1].name != "unclear.timer"]
    if any((name.startswith("done.") and name != "done.generic") or name == "bottle.count" for name in names):
        # "chilled and ready"
        found = [pair for pair in found if pair[1].name != "done.generic"]
    if any(name.startswith("done.") and name not in ("done.generic", "done.lid_on") for name in names):
        # "the grain is in and the lid's on"
        found = [pair for pair in found if pair[1].name != "done.lid_on"]
    names = [intent.name for _, intent in found]
    found = _asked_of_both(found, names)
    if names == ["brew.start", "reading.volume"] and "volume" not in found[0][1].slots:
        # "new brew: Fen Bitter, 6 litres"
        (place, begun), (_, told) = found
        return [(place, begun.model_copy(update={"slots": {**begun.slots, "volume": told.slots["volume"]}}))]
    helped = len(found) == 2 and (names[1] in ("ask.next", "ask.help") or (names[1] == "ask.status" and _PUT_RIGHT.search(found[1][1].text)))
    if stage == "mash" and names[:1] == ["reading.temperature"] and helped:
        # "mash has dropped to 62, what now": asks what to do about it.
        (place, reading), (_, asked) = found
        return [(place, Intent(name="ask.correct_mash", slots=reading.slots, text=f"{reading.text}, {asked.text}"))]
    found = [pair for pair in found if pair[1].name != "ask.next" or "ask.correct_mash" not in names]
    names = [intent.name for _, intent in found]
    if sorted(names) == ["ask.correct_mash", "reading.temperature"] and not any(one.slots for _, one in found if one.name == "ask.correct_mash"):
        # "mash is too cold, 62"
        (place, first), (_, second) = found
        slots = (second if first.name == "ask.correct_mash" else first).slots
        return [(place, Intent(name="ask.correct_mash", slots=slots, text=f"{first.text}, {second.text}"))]
    if any(name.startswith("ask.") for name in names):
        # "what strike temperature do I want in fahrenheit" names the unit of the answer and changes no setting.
        found = [pair for pair in found if pair[1].name != "settings.units"]
    if len(found) > 1:
        # "hang on, pause everything"
        found = [pair for pair in found if pair[1].name != "snooze" or pair[1].slots]
    if len(found) > 1:
        # "help, the fermenter is far too warm": asks for that help.
        found = [pair for pair in found if pair[1].name != "ask.help"]
    return [pair for pair in found if not any((pair[1].name, name) in _SAID_BETTER for name in names)]


_STATES = ("ask.", "done.", "look.", "stage.")
"""What is so or is asked, however often it is said."""
_WHERE = re.compile(r"(in|inside|from|out of) (the |an? |my )?((iced?|cold|icy) )?(water )?(bath|sink|tub|bucket)( of (ice|iced|cold) water)?", re.IGNORECASE)


def once(intents: tuple[Intent, ...]) -> tuple[Intent, ...]:
    """The intents without those that say again what was said: "let it drip, didn't squeeze"; nor where a reading was taken."""
    read = any(intent.name == "reading.temperature" for intent in intents)
    found: list[Intent] = []
    for intent in intents:
        if found and (bottles := _of_bottles(found[-1], intent)) is not None:
            found[-1] = bottles
            continue
        if found and _of_hops(found[-1], intent):
            # "Boiling, fuggles in 15 g"
            found[-1] = found[-1].model_copy(update={"slots": {**found[-1].slots, "mass": intent.slots["mass"]}})
            continue
        again = intent.name.startswith(_STATES) and any(each.name == intent.name and each.slots == intent.slots for each in found)
        where = read and intent.name == "done.chilling" and _WHERE.fullmatch(intent.text) is not None
        if not (again or where):
            found.append(intent)
    return tuple(found)


def _of_hops(before: Intent, intent: Intent) -> bool:
    """Whether a mass alone stands behind hops that went in without one."""
    bare = intent.name == "reading.mass" and intent.text[:1].isdigit()
    return bare and before.name == "done.hops" and not {"mass", "share"} & before.slots.keys()


def _of_bottles(before: Intent, intent: Intent) -> Intent | None:
    """So many bottles of the ounces that stand behind them, which are of volume then: "24 bottles 12 oz"."""
    size = intent.slots.get("mass") if intent.name == "reading.mass" else None
    if before.name != "bottle.unsized" or not isinstance(size, Measured) or size.unit != "ounce":
        return None
    count = {key: value for key, value in before.slots.items() if key == "count"}
    volume = Measured(value=size.value, unit="fluid_ounce")
    return before.model_copy(update={"name": "bottle.count", "slots": {**count, "volume": volume}, "text": f"{before.text} {intent.text}"})
