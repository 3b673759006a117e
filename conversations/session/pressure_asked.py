""" "What would happen if I bottle now": the pressure that it could make, against what the bottles are trusted with; nothing is recorded."""

from __future__ import annotations

from calc.carbonation import from_volumes, in_volumes
from calc.errors import OutOfRange
from calc.pressure import check_bottle
from calc.units import quantity
from conversations.intents import Intent
from conversations.session import bottling, wording
from conversations.session.fermentation import page
from conversations.session.judgement import judge
from conversations.session.priming import co2_in_all, still_to_come, warmest, weakest_kind
from conversations.session.progress import verdict, working
from conversations.session.turn import Handlers, Turn


def asked(turn: Turn, intent: Intent) -> None:
    """While it ferments what all that is left could make; in the bottle what is to be expected, in a room and in a warm one."""
    batch, units = turn.batch, turn.state.units
    if batch is None or batch.stage not in ("ferment", "bottle", "condition"):
        turn.say("Nothing is fermenting or in bottles.")
        return
    judged = judge(batch)
    if not judged.ready and not batch.risk_accepted and batch.stage != "condition":
        turn.say(verdict(judged) if judged.last is not None else "No gravity from the fermenter, so nobody knows what is left to ferment.")
        turn.say(bottling.could_reach(turn, batch, judged))
        turn.working = working(judged, batch, turn.now)
        turn.caution("burst")
        return
    kind = weakest_kind(batch)
    name = page("bottling")["bottle_names"][kind]
    hottest = warmest(batch)[0]
    co2 = co2_in_all(batch, hottest, from_volumes(batch.priming.volumes), still_to_come(batch))
    volumes = float(in_volumes(co2).magnitude)
    try:
        cool, hot = (check_bottle(co2, kind, quantity(degrees, "degC")) for degrees in (20.0, float(page("bottling")["warm_room_c"])))
    except OutOfRange:
        turn.say(f"{volumes:.1f} volumes: more than any bottle holds.")
        return
    room = wording.temperature(quantity(20, "degC"), units)
    turn.say(f"{volumes:.1f} volumes of CO2 make {bottling.pressure_words(cool.pressure, units)} at {room}, {bottling.pressure_words(hot.pressure, units)} in a warm room.")
    turn.say(f"{name.capitalize()} is trusted with {bottling.pressure_words(hot.limit, units)} there{'' if hot.within else ': that is too much for it'}.")
    turn.working = "Henry's law for CO2 in beer, all of it dissolved, with 25 °C for a warm room; scratches and age weaken glass."
    turn.caution("pressure")


HANDLERS: Handlers = {"ask.pressure": asked}
