"""What a sentence that was matched says: the intents with their slots, as the situation has it."""

from __future__ import annotations

import re
from typing import Any

from conversations.intents import Context, Intent, Measured
from conversations.understanding.bare import EXPECTED, read_bare, short_gravity, too_much
from conversations.understanding.bare_figures import gravity_value
from conversations.understanding.fitting import has_clock
from conversations.understanding.following import resolve
from conversations.understanding.quantities import KINDS
from conversations.understanding.sentences import Match
from conversations.understanding.slots import Slots
from conversations.understanding.words import Item

_NAMED_OR_STAGE = {"timer.pause": "stage.pause", "timer.resume": "stage.resume"}
_TIMED = frozenset({"timer.extend", "timer.shorten", "timer.change"})
_LONGEST_BOIL = 6 * 3600
_STRIKE_WATER_FOR = re.compile(r"(the |my |our )?strike water(['’]s| is)? for\b", re.IGNORECASE)
_STRIKE_WATER_IS = re.compile(r"(the |my |our )?strike water(['’]s| is| was) (?!for\b)", re.IGNORECASE)
"""While water is heated that tells how warm it is: "the strike water is 72"."""
_NO_HOP_ENDS = re.compile(r"(?<!\s)\s++(boil|boils|boiled|cook|simmer|which|that)$", re.IGNORECASE)
_MOST_YEAST = 100.0
_PITCHED = 14
_A_MOMENT = re.compile(r"\b(a|an|one|half a|just a|wee)( wee| little| quick| short)? (min|mins|minute|sec|second|moment|mo|tick)\W*$", re.IGNORECASE)
"""As long as it takes: "pause the timer a minute" is no pause of one minute."""
BEFORE_MASH = frozenset({None, "plan", "prepare", "heat"})


def says(match: Match, slots: Slots, context: Context) -> list[Intent]:
    """What a matched sentence says: one intent, one per clock of "5 and 10 minutes", none where it fits nothing."""
    name = match.sentence.name
    if context.expects in EXPECTED and match.end - match.start == 1 and name.startswith("reading."):
        # A quantity alone answers our open question before it is anything else.
        answer = read_bare(slots.items[match.start], context)
        if answer is not None and answer.name == context.expects:
            return [answer.model_copy(update={"text": slots.words(match.start, match.end)})]
    if name.startswith("again."):
        found = resolve(name, match.slots, context, lambda item: read_bare(item, context))
        said = slots.words(match.start, match.end)
        return [] if found is None else [found.model_copy(update={"text": said})]
    intent = _intent(match, slots, context)
    if name == "recipe.hop" and intent.slots.get("duration_s", 0) > _LONGEST_BOIL:
        # Hops that stay in for days are in no boil.
        return []
    if name == "recipe.grain" and str(intent.slots.get("name", "")).lower().endswith("yeast"):
        # "yeast is 5 g of dry lager yeast": no malt has that name.
        intent = intent.model_copy(update={"name": "recipe.yeast"})
    if name == "recipe.yeast" and "mass" in intent.slots and intent.slots["mass"].quantity.to("gram").magnitude >= _MOST_YEAST:
        # "wheat 0.3 kg": nobody pitches that much.
        intent = intent.model_copy(update={"name": "recipe.grain"})
    if too_much(intent) or (name in ("timer.extend", "timer.shorten") and "name" not in intent.slots and intent.slots.get("duration_s", 0) >= 86400):
        # "only 20 more days": no clock is set by days.
        return []
    if intent.name in _TIMED and not any(item.kind == "dur" for item in slots.items[match.start : match.end]) and not has_clock(intent, context):
        # "add 5 to the guest list": neither minutes nor a clock.
        return []
    if intent.name == "reading.temperature" and context.stage == "transfer" and _litres_or_degrees(slots.items[match.start : match.end]):
        return [Intent(name="unclear.number", slots={"value": next(item.value for item in slots.items[match.start : match.end] if item.kind == "num")}, text=intent.text)]
    if name == "reading.gravity" and (short := short_gravity(slots.items[match.start : match.end])) is not None:
        # "gravity 1.5": 1.050 or 1.005, and no wort is 1.500.
        return [Intent(name="unclear.gravity", slots={"value": short}, text=intent.text)]
    row = slots.items[match.start : match.end]
    if name == "reminder.set" and any(within.word == "in" and one.kind == "num" and to.word == "to" and other.kind in ("num", "dur") for within, one, to, other in zip(row, row[1:], row[2:], row[3:], strict=False)):
        # "in 2 to 3 hours" is no time of its own.
        return []
    if (second := intent.slots.get("second")) is not None:
        # "timer 60 min mash and 25 min bread"
        behind = {"name": str(intent.slots["of_second"]).removeprefix("the ").removeprefix("my "), "duration_s": second}
        first = {key: value for key, value in intent.slots.items() if key not in ("second", "of_second", "count")}
        return [intent.model_copy(update={"slots": first}), intent.model_copy(update={"slots": behind})]
    if name == "timer.pause" and _A_MOMENT.search(intent.text):
        return [intent.model_copy(update={"slots": {key: value for key, value in intent.slots.items() if key != "duration_s"}})]
    lengths = intent.slots.get("durations")
    if lengths is None:
        return [intent]
    rest = {key: value for key, value in intent.slots.items() if key not in ("durations", "count", "names")}
    if intent.slots.get("count", len(lengths)) != len(lengths):
        return []
    if "names" in intent.slots:
        called = zip(intent.slots["names"], lengths, strict=True)
        return [intent.model_copy(update={"slots": {**rest, "name": name, "duration_s": each}}) for name, each in called]
    return [intent.model_copy(update={"slots": {**rest, "duration_s": each}}) for each in lengths]


def _litres_or_degrees(said: list[Item]) -> bool:
    """Whether "9.4 in the fermenter" may be litres: nobody pitches so cold."""
    return any(item.word == "fermenter" for item in said) and any(item.kind == "num" and item.value < _PITCHED for item in said)


def _like_the_last(filled: dict[str, Any], last: Intent) -> dict[str, Any]:
    """A corrected figure in the form of the one that it corrects: after a gravity "1052" is 1.052."""
    if "gravity" not in last.slots and "final" not in last.slots:
        return filled
    value = gravity_value(Item("num", "", 0, 0, float(filled["value"])))
    return filled if value is None else {**filled, "value": value, "unit": "dimensionless"}


def _intent(match: Match, slots: Slots, context: Context) -> Intent:
    name, filled = match.sentence.name, dict(match.slots)
    if name in _NAMED_OR_STAGE and "name" not in filled and not filled.pop("timer", None) and not context.names:
        name = _NAMED_OR_STAGE[name]
    filled.pop("timer", None)
    if context.expects == "reminder.when" and name == "snooze" and "duration_s" in filled:
        name = "reminder.when"
    said = slots.words(match.start, match.end)
    observed = re.search(r"\bis\b|'s\b", said) is not None
    if name == "recipe.mash" and "duration_s" not in filled and (observed or context.stage not in BEFORE_MASH):
        name = "reading.temperature"
    asked, to = filled.get("quantity"), KINDS.get(str(filled.get("to")))
    if name == "ask.convert" and to == "volume" and isinstance(asked, Measured) and KINDS.get(asked.unit) == "length":
        # "how many litres is 14 cm" is about the pot and its stick.
        name, filled = "ask.depth_to_volume", {"depth": asked}
    if name == "ask.gravity_at" and context.last is not None and context.last.name == "reading.gravity":
        filled = {**context.last.slots, **filled}
    if name == "correct" and isinstance(measured := filled.pop("quantity", None), Measured):
        filled |= {"value": measured.value, "unit": measured.unit}
    if name == "correct" and "value" in filled and context.last is not None and "unit" not in filled:
        filled = _like_the_last(filled, context.last)
    if name == "reading.temperature" and context.stage in (None, "plan", "prepare") and said.lower().startswith(("mash at", "mash temp", "mash t")):
        # Before there is a mash, "mash at 66" is a wish and not a reading.
        name = "recipe.mash"
    if name == "ask.strike" and context.stage == "heat" and filled.keys() == {"temperature"} and _STRIKE_WATER_IS.match(said) is not None:
        name = "reading.temperature"
    if name == "reading.temperature" and _STRIKE_WATER_FOR.match(said) is not None:
        # "strike water for 66" asks how hot it should be.
        name, filled = "ask.strike", {"temperature": filled["temperature"]} if "temperature" in filled else {}
    if name == "recipe.amount" and isinstance(mass := filled.get("mass"), Measured) and "was" in filled:
        # "7 grams instead of 8": the same unit.
        filled["old"] = Measured(value=float(filled.pop("was")), unit=mass.unit)
    if name == "settings.clock":
        # "12 hour clock, not 24"
        filled.pop("was", None)
    if isinstance(filled.get("name"), str):
        filled["name"] = filled["name"].strip(" '\"").removeprefix("the ").removeprefix("my ")
        if name == "brew.start":
            # "a wee red ale", but a "wee heavy" is one.
            filled["name"] = re.sub(r"^wee (?!heavy)| the (day|night|morn)$", "", filled["name"], flags=re.IGNORECASE)
        if name.startswith("recipe.") and ":" in filled["name"]:
            # "malt: pale 1.8 kg"
            filled["name"] = filled["name"].rpartition(":")[2].strip()
        if name == "recipe.hop":
            # "14 g bramling cross boil 60"
            filled["name"] = _NO_HOP_ENDS.sub("", filled["name"])
        if name.startswith(("done.hops", "recipe.")):
            # "fuggle's in"
            filled["name"] = filled["name"].removesuffix("'s").removesuffix("’s")
    return Intent(name=name, slots=filled, text=said)
