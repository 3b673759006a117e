"""Bottles told or asked for without their size, and the sugar that was really weighed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from calc.carbonation import co2_yield, in_volumes, residual_co2
from calc.pressure import check_bottle
from calc.units import quantity
from conversations.intents import Intent, Measured, Understanding
from conversations.session import bottling, counting, plan, priming, stock, wording
from conversations.session.fermentation import page
from conversations.session.judgement import judge
from conversations.session.readings import measured
from conversations.session.state import Batch, Bottles
from conversations.session.stock_items import fitting, kind_of
from conversations.session.turn import Handlers, Turn
from conversations.understanding.quantities import KINDS

_PRIMING = ("ferment", "bottle", "condition")
_SIZE_EXPECTED = "bottle.size"
_LONGEST_SIZE = 30
_SO_MANY_S = re.compile(r"\W*(?:(?:the|all|in|of|of the) )*(?P<ml>\d{3})['’]?s(?: ones| bottles)?\W*", re.IGNORECASE)
_LEAST_BARE_ML = 100.0
"""From here a bare figure is millilitres; 0.5 is litres."""
_SMALLEST_ML, _LARGEST_ML = 150.0, 5000.0
_HIGH, _LOW = 3.0, 1.5
"""Volumes of CO2 outside of which a primed ale is told so: common practice, no source."""


def _sizes(turn: Turn, batch: Batch | None) -> list[Measured]:
    """The sizes that this person's bottles have, as far as they were told."""
    if batch is not None and batch.bottles:
        return list(dict.fromkeys(lot.size for lot in batch.bottles))
    return [size for _, size in turn.state.kit.bottles]


def size_told(turn: Turn, reading: Understanding, text: str) -> bool:
    """Take "500" or "half a litre" as the size that was asked for; False where the message is something else."""
    pending = (turn.state.question or {}).get("bottles")
    if pending is None or len(text) > _LONGEST_SIZE:
        return False
    if (plural := _SO_MANY_S.fullmatch(text)) is not None:
        # "330s" is no time here.
        unsized(turn, Intent.model_validate(pending), Measured(value=float(plural["ml"]), unit="millilitre"))
        return True
    if len(reading.quantities) != 1:
        return False
    span = reading.quantities[0]
    bare = span.unit == "dimensionless"
    unit = span.unit if not bare else "millilitre" if span.value >= _LEAST_BARE_ML else "litre"
    size = Measured(value=span.value, unit=unit)
    if KINDS.get(unit) != "volume" or not _SMALLEST_ML <= size.in_unit("millilitre") <= _LARGEST_ML:
        return False
    if any(not each.name.startswith(("unclear.", "reading.", "bottle.", "kit.bottle")) for each in reading.intents):
        return False
    unsized(turn, Intent.model_validate(pending), size)
    return True


def unsized(turn: Turn, intent: Intent, told: Measured | None = None) -> None:
    """ "bottled 13": of the one size that is known or told, else the size is asked for."""
    batch, number = turn.batch, int(float(intent.slots["count"]))
    if batch is None:
        turn.say("No batch is running, so there is nothing to bottle.")
        return
    done = "done" in intent.slots and batch.stage in ("ferment", "bottle")
    if done and not bottling.leaving(turn):
        return
    sizes = _sizes(turn, batch) if told is None else [told]
    word = "bottled " if done else ""
    if len(sizes) != 1:
        named = sizes or [Measured(value=each, unit="millilitre") for each in priming.DEFAULT_SIZES[turn.state.units]]
        shown = [priming.bottle_size(each.in_unit("millilitre"), turn.state.units) for each in named[:4]]
        turn.say(f'{number} bottles of which size? Nothing is counted yet: "{word}{number} of {shown[0]}".')
        turn.offer(*((each, f"{word}{number} of {each}") for each in shown))
        if turn.expects is None:
            turn.expects, turn.question = _SIZE_EXPECTED, {"bottles": intent.model_dump(mode="json")}
        return
    if done and 1 <= number <= bottling.MOST_BOTTLES and bottling.too_many(turn, (Bottles(count=number, size=sizes[0], type=batch.bottle_type or "standard"),)):
        return
    bottling.count(turn, Intent(name="bottle.count", slots={"count": number, "volume": sizes[0]}))
    if "part" in intent.slots:
        turn.record("note", label="part-full bottle", text="one bottle more is part full")
        turn.say("The one that is part full is not counted: much air stays in it, so drink it first.")
    if done and any(event.kind == "bottles_told" for event in turn.events):
        bottling.bottled(turn, intent)


def counted(turn: Turn, intent: Intent) -> None:
    """Bottles with their size, one size or two in one breath; before bottling they are the ones in the cupboard."""
    slots = intent.slots
    pairs = [(slots["count"], slots["volume"])]
    if "count_two" in slots:
        pairs.append((slots["count_two"], slots["volume_two"]))
    if len(pairs) == 1:
        bottling.count(turn, intent)
        return
    # "Bottled 9 500 ml and 2 330": filled, and not in the cupboard.
    count = bottling.count if turn.batch is not None and counting.filled_from_fermenter(turn, intent) else bottling.owned
    for number, size in pairs:
        count(turn, Intent(name="kit.bottles", slots={"count": number, "volume": size}, text=intent.text))


def needed(turn: Turn, intent: Intent) -> None:
    """ "how many bottles do I need": for what is in the fermenter, with one or two to spare, and whether they are there."""
    batch, units = turn.batch, turn.state.units
    if "volume" in intent.slots and "count" not in intent.slots and measured(intent.slots["volume"]).in_unit("litre") > 2:
        beer, source = measured(intent.slots["volume"]).quantity, "as asked"
    elif batch is not None:
        now = plan.volume_now(batch)
        beer, source = (now, "as measured") if now is not None else (plan.batch_volume(batch.recipe), "as planned")
    else:
        turn.say('Of how much beer? "how many bottles for 8 litres".')
        return
    asked = intent.slots.get("size") or (intent.slots.get("volume") if source != "as asked" else None)
    known = _sizes(turn, batch)
    sizes = [measured(asked)] if asked else known or [Measured(value=each, unit="millilitre") for each in priming.DEFAULT_SIZES[units]]
    litres = float(beer.to("litre").magnitude)
    each = [
        f"{math.ceil(litres / size.in_unit('litre') - 1e-6)} of {priming.bottle_size(size.in_unit('millilitre'), units)}" for size in sizes[:3]
    ]
    turn.say(f"{' or '.join(each)} for {wording.volume(beer, units)} ({source}); a little stays with the yeast. Have two more ready.")
    there = [*turn.state.kit.bottles]
    if there:
        held = sum(count * size.in_unit("litre") for count, size in there)
        listed = ", ".join(f"{count} of {priming.bottle_size(size.in_unit('millilitre'), units)}" for count, size in there)
        turn.say(f"You have {listed}: {'enough' if held >= litres else 'not enough'}, {wording.volume(quantity(held, 'litre'), units)} in all.")


_PRIMED = "priming sugar"


def given(turn: Turn, intent: Intent) -> None:
    """ "white sugar, 40 g dissolved in 100 ml of water": kept as a note, and how much fizz it makes; no reading of the beer."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        turn.say("No batch is running.")
        return
    mass, sugar = measured(intent.slots["mass"]), str(intent.slots.get("sugar", batch.priming.sugar))
    name = page("bottling")["sugars"][sugar]
    grams = mass.in_unit("gram")
    water = f" in {wording.volume(measured(intent.slots['water']).quantity, units)} of water" if "water" in intent.slots else ""
    litres, source = priming.volume(batch)
    hottest, _ = priming.warmest(batch)
    beer = float(litres.to("litre").magnitude)
    co2 = residual_co2(hottest) + quantity(grams * co2_yield(sugar) / beer, "gram/litre")
    volumes = float(in_volumes(co2).magnitude)
    shown = f"{wording.mass(mass.quantity, units)} {name}"
    # A second weighing puts the first one right: nobody primes twice.
    before = next((note.partition(": ")[2].partition(",")[0] for note in reversed(batch.notes) if note.startswith(_PRIMED)), "")
    instead = f", instead of {before}" if before and before != f"{shown}{water}" else ""
    turn.record("note", label="priming sugar", text=f"{_PRIMED}: {shown}{water}{instead}")
    turn.say(f"{shown} noted{instead}: {volumes:.1f} volumes in {wording.volume(litres, units)} ({source}).")
    if batch.risk_accepted or (batch.stage == "ferment" and not judge(batch).ready):
        turn.say("The gravity is not proven steady: what is left to ferment comes on top.")
    kinds = {lot.type for lot in batch.bottles} or {batch.bottle_type or "standard"}
    unfit = [kind for kind in sorted(kinds) if volumes >= _HIGH and not check_bottle(co2, kind).within]
    wanted = wording.mass(priming.sugar_grams(batch.model_copy(update={"priming": batch.priming.model_copy(update={"sugar": sugar})})), units)
    if unfit or volumes > _HIGH:
        turn.say(f"That is much: {wanted} gives {batch.priming.volumes:g} volumes. If it is not in yet, weigh it again.")
        if batch.stage == "condition":
            on_top = page("bottling")["on_top"]
            turn.say(str(on_top["too_much"]), str(on_top["every_second_day"]))
            turn.caution("burst")
    elif volumes < _LOW:
        turn.say(f"That is little fizz: {wanted} gives {batch.priming.volumes:g} volumes.")
    turn.caution("pressure")
    turn.offer(("undo", "undo"))


def used(turn: Turn, intent: Intent) -> None:
    """ "used 30 g of honey": of the shelf, and where none of it stands there, of the bottles that are primed with it."""
    batch, name = turn.batch, str(intent.slots.get("name", "")).casefold()
    primes = batch is not None and batch.stage in _PRIMING and "mass" in intent.slots and name == page("bottling")["sugars"].get(batch.priming.sugar)
    if primes and not fitting(turn.state.stock, kind_of(name), name):
        given(turn, intent)
    else:
        stock.use(turn, intent)


FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {_SIZE_EXPECTED: size_told}
"""What takes a whole message while its question is open, by what the chat expects."""
HANDLERS: Handlers = {"bottle.unsized": unsized, "bottle.count": counted, "ask.bottles_needed": needed, "priming.given": given, "stock.used": used, "weeks.primed": given}
