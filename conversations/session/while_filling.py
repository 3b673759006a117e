"""While bottles are filled: what is left over, a bottle that broke, how many are counted, sugar in drops and lumps."""

from __future__ import annotations

from calc.carbonation import co2_yield, in_volumes, residual_co2
from calc.pressure import check_bottle
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import bottle_talk, bottling, plan, wording
from conversations.session.fermentation import page
from conversations.session.priming import (
    DEFAULT_SIZES,
    bottle_size,
    litres_in,
    volume,
    warmest,
)
from conversations.session.state import Bottles
from conversations.session.turn import Handlers, Turn


def left_over(turn: Turn, intent: Intent) -> None:
    """ "ran out of bottles, half a litre left": noted, and where it may go; it is in no bottle that is counted."""
    batch, rows = turn.batch, page("bottling")["left_over"]
    if batch is None:
        turn.say("No batch is running.")
        return
    told = Measured.model_validate(intent.slots["volume"]) if "volume" in intent.slots else None
    turn.record("note", label="left over", text=f"left over: {intent.text}")
    shown = wording.volume(told.quantity, turn.state.units) if told is not None else ""
    turn.say(f"Noted: {shown + ' ' if shown else ''}left over, in no bottle that I count.", str(rows["beer"]))
    if told is None and batch.bottles:
        beer = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
        rest = float(beer.to("litre").magnitude) - litres_in(batch.bottles)
        if rest > 0.2:
            turn.say(f"By the count about {wording.volume(quantity(rest, 'litre'), turn.state.units)} should be left, less what stays with the yeast.")
    turn.say(str(rows["sugar"]))
    turn.offer(("undo", "undo"))


def bottles_over(turn: Turn, intent: Intent) -> None:
    """ "two bottles left over": empty ones are not counted; "ran out of beer" ends the filling."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is running.")
        return
    if batch.bottles:
        turn.say(f"Counted as full: {bottling.lots_words(batch.bottles, turn.state.units)}. Empty ones are not counted.")
        turn.say('Fewer are full? Say so, "6 of 500 ml". All closed? Say "bottled".')
    else:
        turn.say('Empty ones are not counted. How many are full? "10 500 ml and 6 330 ml".')
    turn.working = "Half an inch of yeast and the foam in the tube stay behind: a litre less than was in the fermenter is usual."


def counted(turn: Turn, intent: Intent) -> None:
    """ "how many bottles so far"."""
    batch = turn.batch
    if (batch is None or not batch.bottles) and turn.state.kit.bottles:
        bottle_talk.needed(turn, Intent(name="ask.bottles_needed"))
        return
    if batch is None or not batch.bottles:
        turn.say('None is counted yet. "10 500 ml and 6 330 ml" counts them, "2 more 330 ml" adds.')
        return
    beer, source = volume(batch)
    turn.say(f"{bottling.lots_words(batch.bottles, turn.state.units)}.")
    now = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
    rest = float(now.to("litre").magnitude) - litres_in(batch.bottles)
    if batch.stage != "condition" and rest > 0.2:
        turn.say(f"About {wording.volume(quantity(rest, 'litre'), turn.state.units)} to go, less what stays with the yeast.")
    turn.working = f"Sugar goes by {wording.volume(beer, turn.state.units)} ({source})."


def broke(turn: Turn, intent: Intent) -> None:
    """ "one broke", "dropped one": one full bottle less; of which size is asked where there are several."""
    batch = turn.batch
    if batch is None or not batch.bottles:
        turn.say("Mind the glass. None is counted yet, so nothing changes.")
        return
    gone = int(float(intent.slots.get("count", 1)))
    sizes = batch.bottles
    if "volume" in intent.slots:
        size = Measured.model_validate(intent.slots["volume"])
        sizes = tuple(each for each in batch.bottles if abs(each.size.in_unit("millilitre") - size.in_unit("millilitre")) < 5)
    if len(sizes) != 1:
        turn.say("Mind the glass. Of which size? Nothing is changed yet.")
        turn.offer(*((bottling.size_words(each, turn.state.units), f"one {bottling.size_words(each, turn.state.units)} bottle broke") for each in batch.bottles))
        return
    lot = sizes[0]
    lots = tuple(each.model_copy(update={"count": each.count - gone}) if each == lot else each for each in batch.bottles)
    kept = tuple(each for each in lots if each.count > 0)
    turn.record("bottles_told", label="bottle broken", bottles=[each.model_dump(mode="json") for each in kept])
    turn.say(f"Mind the glass: gloves on, and throw away what stood open beside it. Left: {bottling.lots_words(kept, turn.state.units) if kept else 'none'}.")
    turn.offer(("undo", "undo"))


def pieces(turn: Turn, intent: Intent) -> None:
    """ "carbonation drops", "sugar lumps of 4 g": what one and two of them make in a bottle, against what is wanted and what it holds."""
    batch, rows = turn.batch, page("bottling")["pieces"]
    told = "mass" in intent.slots
    grams = Measured.model_validate(intent.slots["mass"]).in_unit("gram") if told else float(rows["grams"])
    if not float(rows["least"]) <= grams <= float(rows["most"]):
        turn.say(f"{grams:g} g in one? {rows['weigh']}")
        return
    lots: tuple[Bottles, ...] = batch.bottles if batch is not None else ()
    sizes = sorted({lot.size.in_unit("millilitre") for lot in lots}, reverse=True) or DEFAULT_SIZES[turn.state.units]
    hottest = warmest(batch)[0] if batch is not None else quantity(float(page("bottling")["assumed_warmest_c"]), "degC")
    wanted = batch.priming.volumes if batch is not None else float(page("bottling")["volumes"])
    kind = (batch.bottle_type if batch is not None else None) or "standard"
    assumed = "" if told else " (assumed)"
    worst = ""
    for size in sizes[:3]:
        made = []
        for number in (1, 2):
            co2 = residual_co2(hottest) + quantity(number * grams * co2_yield("sucrose") / (size / 1000), "gram/litre")
            volumes = float(in_volumes(co2).magnitude)
            made.append(f"{number}: {volumes:.1f}")
            if not check_bottle(co2, kind).within:
                worst = worst or f"Caution: {number} in {bottle_size(size, turn.state.units)} is more than {page('bottling')['bottle_names'][kind]} is trusted with."
        turn.say(f"In {bottle_size(size, turn.state.units)}, volumes of CO2 by pieces of {grams:g} g{assumed}: {', '.join(made)}; {wanted:g} wanted.")
    turn.say(worst, str(rows["weigh"] if not told else rows["even"]))
    turn.working = f"{float(in_volumes(residual_co2(hottest)).magnitude):.2f} volumes are still in the beer at {wording.temperature(hottest, turn.state.units)}; 1 g of sugar makes {co2_yield('sucrose'):.2f} g of CO2, 1.98 g in a litre are one volume."
    turn.caution("pressure")


HANDLERS: Handlers = {
    "weeks.left_over": left_over,
    "weeks.bottles_over": bottles_over,
    "ask.bottles_counted": counted,
    "weeks.bottle_broke": broke,
    "weeks.pieces": pieces,
    "ask.pieces": pieces,
}
