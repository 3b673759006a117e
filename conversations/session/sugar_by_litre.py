"""Sugar told by the litre, "prime with 5 g a litre": as the volumes of CO2 that it makes, and the grams for what is bottled."""

from __future__ import annotations

from calc.carbonation import co2_yield, in_volumes, residual_co2
from calc.units import quantity
from conversations.intents import Intent
from conversations.session.fermentation import page
from conversations.session.judgement import judge
from conversations.session.priming import NOT_YET, sugar_line, warmest
from conversations.session.readings import measured
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn


def by_litre(turn: Turn, intent: Intent) -> None:
    """The wish is kept as its volumes; a question keeps nothing."""
    batch = turn.batch or Batch(id=0, name="", stage_since=turn.now, started=turn.now)
    grams = measured(intent.slots["mass"]).in_unit("gram")
    if "per" in intent.slots:
        grams /= measured(intent.slots["per"]).in_unit("litre")
    sugar = batch.priming.sugar
    co2 = residual_co2(warmest(batch)[0]) + quantity(grams * co2_yield(sugar), "gram/litre")
    volumes = round(float(in_volumes(co2).magnitude), 2)
    low, high = page("bottling")["volumes_range"]
    name = page("bottling")["sugars"][sugar]
    if not low <= volumes <= high:
        turn.say(f"{grams:g} g of {name} a litre make {volumes:.1f} volumes; beer takes {low:g} to {high:g}, most ale 2 to 2.6. Nothing is kept.")
        return
    priming = batch.priming.model_copy(update={"volumes": volumes})
    planned, asked = batch.priming.volumes, intent.name.startswith("ask.")
    if turn.batch is not None and not asked:
        turn.record("priming_told", label="priming", priming=priming.model_dump(mode="json"))
    turn.say(f"{grams:g} g a litre make {volumes:.1f} volumes{f', {planned:g} is planned' if asked else ''}.")
    turn.say(*sugar_line(turn, batch.model_copy(update={"priming": priming})))
    if asked and turn.batch is not None:
        turn.say(f'"prime with {grams:g} g a litre" keeps it.')
    if turn.batch is not None and turn.batch.stage == "ferment" and not judge(turn.batch).ready:
        turn.say(NOT_YET)
    turn.caution("pressure")


HANDLERS: Handlers = {"priming.by_litre": by_litre, "ask.by_litre": by_litre}
