"""Bottling: whether it may be bottled, the override that is recorded, bottles counted, and leaving the fermenter."""

from __future__ import annotations

import re

from calc.carbonation import CO2_G_PER_L_VOLUME
from calc.errors import OutOfRange
from calc.pressure import BottleCheck, check_bottle, co2_from_gravity
from calc.units import Quantity, quantity
from conversations.intents import Intent, UnitSystem
from conversations.session import boil_clock, counting, day, kit, plan, stage_moves, to_come, wording
from conversations.session.fermentation import page
from conversations.session.judgement import Judgement, judge
from conversations.session.priming import (
    NOT_YET,
    bottle_size,
    co2_in_all,
    litres_in,
    still_to_come,
    sugar_line,
    warmest,
    weakest_kind,
)
from conversations.session.progress import verdict, working
from conversations.session.readings import measured
from conversations.session.state import Batch, Bottles
from conversations.session.turn import Handlers, Turn
from conversations.session.watch import ready_day

SENTENCE = "bottle anyway, I accept the risk"
MOST_BOTTLES = 200
IN_BOTTLES_ALREADY = "If it is in bottles already: keep them cold in a closed box, and open one over the sink tomorrow."
_HOW_MANY = "How many are full?"
_SURELY_MORE = 1.25
"""So much more than the beer, and a bottle beside, is no error of measuring."""
_OF_BOTTLES = re.compile(r"bottl", re.IGNORECASE)
_SET_OUT = re.compile(r"\b(ready|out|hand|together|gather|checklist)\b", re.IGNORECASE)
"""What is to be had ready, and not only clean."""


def _worst(batch: Batch, judged: Judgement) -> BottleCheck | None:
    """Pressure in a warm room if all that may still ferment does so in the bottle; None beyond any reckoning."""
    start = judged.now if judged.now is not None else judged.original
    if start is None or judged.original is None or judged.lowest_end is None:
        return None
    start = min(start, judged.original)
    low = min(judged.lowest_end, start)
    try:
        co2 = co2_from_gravity(start, low, judged.original) + quantity(
            batch.priming.volumes * CO2_G_PER_L_VOLUME, "gram/litre"
        )
        return check_bottle(co2, weakest_kind(batch), quantity(page("bottling")["warm_room_c"], "degC"))
    except OutOfRange:
        return None


def pressure_words(value: Quantity, units: UnitSystem) -> str:
    """Pressure in bar, or psi for who thinks in gallons."""
    if units == "metric":
        return f"{float(value.to('bar').magnitude):.1f} bar"
    return f"{float(value.to('psi').magnitude):.0f} psi"


def could_reach(turn: Turn, batch: Batch, judged: Judgement) -> str:
    """The pressure that it could make bottled as it is now, and what the bottles hold."""
    check = _worst(batch, judged)
    name = page("bottling")["bottle_names"][weakest_kind(batch)]
    if check is None:
        return "Bottled now it could make more pressure than any bottle holds: glass bursts."
    could, holds = (pressure_words(each, turn.state.units) for each in (check.pressure, check.limit))
    words = "more" if not check.within else "less"
    return f"Bottled now it could reach {could} in a warm room, {words} than the {holds} that {name} is trusted with."


def _refusal(turn: Turn, batch: Batch, judged: Judgement) -> None:
    """Why it is not ready, and what bottling it could do."""
    turn.say(verdict(judged) if judged.last is not None else "Not ready: no gravity from the fermenter, so nobody knows what is left to ferment.")
    turn.say(could_reach(turn, batch, judged))
    turn.say('Take a gravity and wait. Only "' + SENTENCE + '" goes on.')
    turn.working = working(judged, batch, turn.now) + (
        f" Pressure: {batch.priming.volumes:g} volumes of CO2 wanted, and what is left down to "
        f"{wording.gravity(judged.lowest_end)}, at 25 °C; Henry's law, on the careful side."
        if judged.lowest_end is not None
        else ""
    )
    turn.question = {"bottle": "refused"}
    turn.expects = "bottle.risk"
    turn.offer(("is it done?", "is it done"))


def leaving(turn: Turn) -> bool:
    """Whether the batch may go on from the fermenter; says why not. Dry hops that are still in are named."""
    batch = turn.batch
    if batch is None or batch.stage not in ("ferment", "bottle") or batch.risk_accepted:
        return True
    judged = judge(batch)
    if judged.ready:
        return True
    _refusal(turn, batch, judged)
    return False


def move(turn: Turn, intent: Intent) -> None:
    """Moves of the day; on from the fermenter only when it has finished."""
    onward = intent.name in ("stage.next", "stage.skip", "bottle.begin")
    batch = turn.batch
    if onward and batch is not None and batch.stage in ("ferment", "bottle"):
        if batch.stage == "bottle" and intent.name == "bottle.begin":
            checklist(turn, intent)
            return
        if not leaving(turn):
            return
        if batch.stage == "bottle":
            bottled(turn, intent)
            return
        _enter(turn)
        return
    if intent.name == "bottle.begin":
        turn.say("Nothing is ready to bottle here." if batch else "No batch is running.")
        return
    stage_moves.move(turn, intent)


def _enter(turn: Turn) -> None:
    day.enter(turn, "bottle")
    batch = turn.batch
    if batch is None:
        return
    inside = [hop.name for hop in batch.recipe.hops if hop.dry_days and hop.added_at and not hop.out_at]
    if inside:
        turn.say(f"The dry hops are still in: {', '.join(inside)}. Keep them out of the bottles.")
    turn.offer(("checklist", "checklist"), ("how much sugar?", "how much sugar"))


def anyway(turn: Turn, intent: Intent) -> None:
    """The override: only the whole sentence counts, and it is kept in the diary word for word."""
    batch = turn.batch
    heard = next((str(event.data["text"]) for event in turn.events if event.kind == "heard"), intent.text)
    if batch is None or batch.stage not in ("ferment", "bottle"):
        turn.say("Nothing is waiting to be bottled.")
        return
    if batch.risk_accepted:
        return
    words = heard.lower()
    whole = "accept" in words and "risk" in words
    opened = (turn.state.question or {}).get("bottle") is not None
    if intent.name == "bottle.accept" and "anyway" not in words and not opened:
        turn.say("There is no risk to accept just now.")
        return
    if not whole:
        turn.say(f'If you mean it, send the whole sentence: "{SENTENCE}".')
        turn.question = {"bottle": "refused"}
        turn.expects = "bottle.risk"
        return
    judged = judge(batch)
    if judged.ready:
        _enter(turn)
        return
    turn.record("risk_accepted", label="bottling against advice", sentence=heard.strip()[:200])
    turn.say("Recorded: bottled against advice.")
    check = _worst(batch, judged)
    if check is None or not check.within:
        turn.say(
            "Use plastic fizzy-drink bottles or leave the sugar out, stand them in a closed box, and open one every second day."
        )
    turn.caution("burst")
    if batch.stage == "ferment":
        _enter(turn)


def count(turn: Turn, intent: Intent) -> None:
    """Bottles of one size; several in one message are counted together, and "more" adds to what is there."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is running, so there is nothing to bottle.")
        return
    if IN_BOTTLES_ALREADY in turn.lines:
        # The first size of this message was refused, so the second is not all there is.
        return
    from_fermenter = counting.filled_from_fermenter(turn, intent)
    if from_fermenter and not leaving(turn):
        turn.say(IN_BOTTLES_ALREADY)
        return
    number, size = float(intent.slots["count"]), measured(intent.slots["volume"])
    if number != int(number) or not 1 <= number <= MOST_BOTTLES:
        turn.say(f"{number:g} bottles? Say a whole number up to {MOST_BOTTLES}: \"10 500 ml and 6 330 ml\".")
        return
    if not 0.1 <= size.in_unit("litre") <= 5:
        turn.say(f"A bottle of {size.value:g} {size.unit}? Send it again: \"10 500 ml\".")
        return
    kind = counting.kind_said(turn, batch, size)
    lot = Bottles(count=int(number), size=size, type=kind)
    lots = counting.with_lot(turn, batch, lot, more=bool(intent.slots.get("more")))
    if from_fermenter and too_many(turn, lots):
        return
    turn.record("bottles_told", label="bottles", bottles=[each.model_dump(mode="json") for each in lots], told=lot.model_dump(mode="json"))
    # Of several sizes in one message only the last sum stands.
    turn.lines[:] = [line for line in turn.lines if not line.startswith(("Bottles: ", "Sugar: ", "Each: ", "The bottles hold "))]
    if from_fermenter:
        before = len(turn.lines)
        day.enter(turn, "bottle")
        del turn.lines[before:]
    turn.say(f"Bottles: {lots_words(lots, turn.state.units)}.")
    batch = turn.batch
    if batch is not None and batch.stage != "condition":
        turn.say(*(line for line in sugar_line(turn, batch) if line not in turn.lines))
        if batch.stage == "ferment" and not batch.risk_accepted and not judge(batch).ready and NOT_YET not in turn.lines:
            turn.say(NOT_YET)
    turn.offer(("undo", "undo"))
    if (from_fermenter and counting.all_filled(intent)) or (batch is not None and counting.last_filled(turn, batch, intent, lots)):
        turn.lines[:] = [line for line in turn.lines if not line.startswith(("Bottles: ", "Sugar: ", "Each: ", "The bottles hold "))]
        bottled(turn, intent)
    elif any(line.startswith("Bottled: ") for line in turn.lines):
        # "Bottled 10 of 500 ml and 1 of 330 ml": all of them in one line.
        turn.lines[:] = [f"Bottled: {lots_words(lots, turn.state.units)}.", *(line for line in turn.lines if not line.startswith(("Bottled: ", "Bottles: ")))]
    if "bottles" in (turn.question or {}):
        # "Bottled, 10 500s": how many are full was asked for "bottled", and is told behind it.
        turn.question = None
        turn.lines[:] = [line for line in turn.lines if _HOW_MANY not in line and not line.startswith('Say "bottled ')]
        bottled(turn, intent)


def lots_words(lots: tuple[Bottles, ...], units: UnitSystem) -> str:
    """Bottles in words: "10 of 500 ml and 6 of 330 ml, 7.0 l"."""
    words = " and ".join(f"{lot.count} of {size_words(lot, units)}" for lot in lots)
    total = quantity(litres_in(lots), "litre")
    return f"{words}, {wording.volume(total, units)}"


def size_words(lot: Bottles, units: UnitSystem) -> str:
    """The size of one bottle."""
    return bottle_size(lot.size.in_unit("millilitre"), units)


def kind_told(turn: Turn, intent: Intent) -> None:
    """ "swing tops": the kind of bottle, and whether it is fit for what is planned."""
    batch, name = turn.batch, str(intent.slots["type"])
    if batch is None:
        turn.say("No batch is running.")
        return
    turn.record("bottle_type_told", label="bottle type", type=name)
    if batch.bottles:
        lots = [lot.model_copy(update={"type": name}).model_dump(mode="json") for lot in batch.bottles]
        turn.record("bottles_told", bottles=lots)
    words = page("bottling")["bottle_names"][name]
    target = quantity(batch.priming.volumes * CO2_G_PER_L_VOLUME, "gram/litre")
    total = co2_in_all(batch, warmest(batch)[0], target, still_to_come(batch))
    check, planned = check_bottle(total, name), float(total.magnitude) / CO2_G_PER_L_VOLUME
    volumes = float(check.limit_co2.magnitude) / CO2_G_PER_L_VOLUME
    if not volumes:
        turn.say(f"Never prime in {words}: it is not made to hold pressure, and it can burst in your hands.")
    elif check.within:
        turn.say(f"{words.capitalize()} is trusted with {volumes:.1f} volumes of CO2, up to {planned:.1f} are to be expected.")
    else:
        turn.say(f"{words.capitalize()} is trusted with only {volumes:.1f} volumes of CO2; up to {planned:.1f} are to be expected.")
        if not batch.risk_accepted:
            turn.say(f'Say "prime to {volumes - 0.2:.1f} volumes".')
    turn.working = "Volumes that kinds of bottle are commonly trusted with: common practice, no source; scratches and age weaken glass."


def checklist(turn: Turn, intent: Intent) -> None:
    """What to clean and set out before bottling; on the brew day what that wants."""
    if turn.batch is not None and turn.batch.stage in to_come.table()["ready"] and not _OF_BOTTLES.search(intent.text):
        if _SET_OUT.search(intent.text):
            to_come.ready(turn, intent)
        to_come.clean(turn, intent)
        return
    turn.say(*page("bottling")["checklist"])
    turn.caution("cleaning")


def too_many(turn: Turn, lots: tuple[Bottles, ...]) -> bool:
    """Whether bottles that are said to be full hold clearly more than there is; asks then, and goes on when it is said again."""
    batch, number = turn.batch, sum(lot.count for lot in lots)
    if batch is None or not lots or (turn.state.question or {}).get("bottles") == number:
        return False
    now = plan.volume_now(batch)
    beer = now if now is not None else plan.batch_volume(batch.recipe)
    held, largest = litres_in(lots), max(lot.size.in_unit("litre") for lot in lots)
    if held <= float(beer.to("litre").magnitude) * _SURELY_MORE + largest:
        return False
    known = "as measured" if now is not None else "as planned"
    turn.say(f"{lots_words(lots, turn.state.units)}, but there are {wording.volume(beer, turn.state.units)} ({known}). {_HOW_MANY} Nothing is noted yet.")
    full = max(1, int(float(beer.to("litre").magnitude) / largest))
    turn.say(f'Say "bottled {full}" and the like, or "bottled {number}" again if all {number} are full.')
    turn.question = {"bottles": number}
    return True


def bottled(turn: Turn, intent: Intent) -> None:
    """Everything is in bottles: counted, and the weeks of waiting begin."""
    batch = turn.batch
    if batch is None:
        boil_clock.opens(turn, Intent(name="done.bottled"))
        return
    if batch.stage == "condition":
        turn.say(f"{batch.name} is in the bottle already.")
        return
    if not leaving(turn):
        turn.say(IN_BOTTLES_ALREADY)
        return
    lots = batch.bottles
    if too_many(turn, lots):
        return
    before = len(turn.lines)
    day.enter(turn, "condition")
    if batch.risk_accepted:
        turn.lines[before:] = [str(page("bottling")["risk_kept"])]
    if lots:
        turn.lines.insert(0, f"Bottled: {lots_words(lots, turn.state.units)}.")
    else:
        turn.say('How many? "10 500 ml and 6 330 ml".')
    batch = turn.batch
    ready = ready_day(batch, turn.state) if batch is not None else None
    if ready is not None:
        turn.say(f"Ready about {ready:%A} {ready.day} {ready:%B}.")


def owned(turn: Turn, intent: Intent) -> None:
    """ "12 bottles of 500 ml": filled ones on bottling day, else the ones in the cupboard."""
    batch = turn.batch
    if batch is not None and (batch.stage == "bottle" or (batch.stage == "condition" and not batch.bottles)):
        count(turn, intent)
    else:
        kit.bottles(turn, intent)


HANDLERS: Handlers = {
    "kit.bottles": owned,
    "stage": move,
    "done.bottled": bottled,
    "bottle.begin": move,
    "bottle.anyway": anyway,
    "bottle.accept": anyway,
    "bottle.count": count,
    "bottle.type": kind_told,
    "ask.checklist": checklist,
}
