"""Small things told on the brew day that are kept as a note: lid, sanitiser, scales, a little heat, pH, the water that went in."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from calc.errors import OutOfRange
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import plan, readings, stage_clocks, wording
from conversations.session.turn import Handlers, Turn

MOST_LITRES = 150.0


@cache
def table() -> dict[str, dict[str, Any]]:
    """The answers of noted.toml."""
    return tomllib.loads(files("conversations.session").joinpath("noted.toml").read_text(encoding="utf-8"))


def keep(turn: Turn, intent: Intent) -> None:
    """ "lid is on", "sanitised the fermenter": a note, and what to mind."""
    what = intent.name.partition(".")[2]
    turn.record("note", label=intent.text or what, text=intent.text or what.replace("_", " "))
    turn.say(str(table()[what]["answer"]))
    if what == "lid_on" and turn.batch is not None and turn.batch.stage == "mash":
        turn.say(stage_clocks.left(turn, "mash"))
    turn.offer(("undo", "undo"))


def ph(turn: Turn, intent: Intent) -> None:
    """ "ph 5.4"."""
    value, rows = float(intent.slots["ph"]), table()["ph"]
    if not rows["least"] <= value <= rows["most"]:
        turn.say(f"pH {value:g}? Wort is between 4 and 7. Nothing is recorded.")
        return
    turn.record("note", label=f"pH {value:g}", text=f"pH {value:g}")
    mash = turn.batch is not None and turn.batch.stage in ("heat", "mash", "drain")
    key = "wort" if not mash else "below" if value < rows["low"] else "above" if value > rows["high"] else "right"
    turn.say(str(rows[key]).format(ph=value))
    turn.offer(("undo", "undo"))


def ask_ph(turn: Turn, intent: Intent) -> None:
    """ "what should the ph be"."""
    rows = table()["ph"]
    turn.say(f"{rows['low']:g} to {rows['high']:g} in the mash, read cool. Pale malt and soft water come near it by themselves.")


def water_in(turn: Turn, intent: Intent) -> None:
    """ "I put in 9 litres, not what you said": the water that the mash really has, and what that changes."""
    batch, kit, units = turn.batch, turn.state.kit, turn.state.units
    if batch is None:
        return
    water = Measured.model_validate(intent.slots["volume"])
    litres = water.in_unit("litre")
    shown = wording.volume(water.quantity, units)
    if not 0.5 <= litres <= MOST_LITRES:
        turn.say(f'{shown} in the mash? Nothing is recorded. Send it again, like "I put in 9 litres of water".')
        return
    if batch.stage == "heat":
        readings.record(turn, Intent(name="reading.volume", slots={"volume": water}, text=intent.text))
    else:
        turn.record("mash_water", label=f"{shown} in the mash", water=Measured(value=round(litres, 3), unit="litre").model_dump(mode="json"))
        turn.say(f"{shown} in the mash, noted.")
        turn.offer(("undo", "undo"))
    if not batch.recipe.grains:
        return
    try:
        planned = plan.litres(plan.mash_water(batch.recipe, kit))
        wanted = plan.litres(plan.pre_boil_volume(batch.recipe, kit))
    except OutOfRange:
        return
    rinse = batch.recipe.rinse_water.in_unit("litre") if batch.recipe.rinse_water else 0.0
    drained = litres - plan.absorption_per_kg(kit) * float(plan.grain_mass(batch.recipe).to("kilogram").magnitude) + rinse
    gap = wanted - drained
    vol = {key: wording.volume(quantity(value, "litre"), units) for key, value in (("planned", planned), ("drained", max(0.0, drained)), ("wanted", wanted), ("gap", abs(gap)))}
    put = f"Top up with {vol['gap']} then." if gap > 0.15 else f"{vol['gap']} over: boil a little longer." if gap < -0.15 else "That is what is wanted."
    turn.say(f"Planned were {vol['planned']}. About {vol['drained']} will drain, {vol['wanted']} are wanted before the boil. {put}")


def mash_drop(turn: Turn, intent: Intent) -> None:
    """ "is it okay if the temp drops to 62 at the end": what a cooling mash does."""
    rows = table()["mash_drop"]
    coldest = wording.temperature(quantity(float(rows["coldest"]), "degC"), turn.state.units)
    if "temperature" not in intent.slots:
        turn.say(str(rows["usual"]).format(coldest=coldest))
        return
    low = Measured.model_validate(intent.slots["temperature"])
    key = "fine" if low.in_unit("degC") >= float(rows["coldest"]) else "cold"
    turn.say(str(rows[key]).format(low=wording.temperature(low.quantity, turn.state.units), coldest=coldest))


HANDLERS: Handlers = {
    "done.lid_on": keep,
    "done.chiller_in": keep,
    "done.sanitised": keep,
    "done.weighed": keep,
    "done.heated": keep,
    "done.finings": keep,
    "done.fermenter_cooled": keep,
    "done.fermenter_warmed": keep,
    "done.fermenter_moved": keep,
    "done.whirlpooled": keep,
    "done.ph": ph,
    "ask.ph": ask_ph,
    "done.water_in": water_in,
}
