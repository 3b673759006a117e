""" "What's my kit": each value with where it comes from."""

from __future__ import annotations

from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import wording
from conversations.session.kit_values import boils_at, capacity, hob, origin, true_temperature
from conversations.session.plan import EFFICIENCY, absorption_per_kg
from conversations.session.state import Kit, State
from conversations.session.turn import Handlers, Turn

_KG_PER_POUND = 0.45359237


def _rows(kit: Kit, state: State) -> list[tuple[str, str, str]]:
    """Name, value and origin of everything in a kit."""
    units = state.units

    def length(value: Measured | None) -> str:
        return "unknown" if value is None else wording.depth(value.quantity, units)

    def volume(value: Measured | None) -> str:
        return "unknown" if value is None else wording.volume(value.quantity, units)

    full = capacity(kit)
    marks = f"{len(kit.marks)} marks" if kit.marks else "none, depth by diameter"
    checked = kit.thermometer_ice or kit.thermometer_boiling
    mash = wording.temperature(true_temperature(quantity(67.0, "degC"), kit), units)
    thermometer = f"{wording.temperature(quantity(67.0, 'degC'), units)} shown is {mash}" if checked else "taken as true"
    told_water = ", ".join(f"{ion} {value:g}" for ion, value in kit.water.model_dump().items() if value is not None)
    held = ", ".join(f"{count} of {wording.volume(size.quantity, units)}" for count, size in kit.bottles)
    rate = wording.volume(quantity(kit.boil_off.in_unit("litre / hour"), "litre"), units)
    efficiency = kit.efficiency if kit.efficiency is not None else EFFICIENCY
    drained = "" if kit.squeezes else ", not squeezed"
    kept = f"{absorption_per_kg(kit):.2f} l a kilo{drained}"
    if units != "metric":
        kept = f"{wording.volume(quantity(absorption_per_kg(kit) * _KG_PER_POUND, 'litre'), units)} a pound{drained}"
    watts = float(hob(kit).to("watt").magnitude)
    at = {field: origin(kit, field) for field in Kit.model_fields}
    height = "told" if kit.pot_capacity or kit.pot_height else "assumed"
    return [
        ("pot width", length(kit.pot_diameter), at["pot_diameter"]),
        ("pot height", length(kit.pot_height), at["pot_height"]),
        ("pot to the brim", "unknown" if full is None else wording.volume(full, units), height),
        ("pot", f"{wording.mass(kit.pot_mass.quantity, units)} {kit.pot_material}", at["pot_material"]),
        ("stick", marks, at["marks"]),
        ("hob, reaching the pot", f"{watts / 1000:.2f} kW", at["hob_power"]),
        ("boil-off", f"{rate} an hour", at["boil_off"]),
        ("grain keeps", kept, at["squeezes"] if at["absorption"] == "assumed" else at["absorption"]),
        ("efficiency", f"{efficiency:.0%}", at["efficiency"]),
        ("left in the pot", volume(kit.dead_space), at["dead_space"]),
        ("fermenter", volume(kit.fermenter_volume), at["fermenter_volume"]),
        ("bag", "yes" if kit.bag else "none", at["bag"]),
        (
            "hydrometer",
            f"made for {wording.temperature(kit.calibration.quantity, units)}"
            + (f", {kit.hydrometer_offset:+.3f} in water (told)" if kit.hydrometer_offset else ""),
            at["calibration"],
        ),
        ("thermometer", thermometer, "told" if checked else "assumed"),
        (
            "water boils at",
            wording.temperature(boils_at(kit), units),
            "told" if {"altitude", "air_pressure"} & set(kit.told) else "assumed",
        ),
        ("grain", wording.temperature(kit.grain_temperature.quantity, units), at["grain_temperature"]),
        ("tap water, mg/l", told_water or "unknown", at["water"]),
        ("bottles", held or "none told", at["bottles"]),
    ]


def show(turn: Turn, intent: Intent) -> None:
    """Three lines of the kit, or with "in full" all of it."""
    kit, state = turn.state.kit, turn.state
    rows = _rows(kit, state)
    if intent.slots.get("full"):
        turn.say(f"{kit.name}:", *(f"{name}: {value} ({where})" for name, value, where in rows))
        settings = {"units": state.units, "currency": state.currency, "zone": state.zone, "quiet_from": f"{state.quiet_from} to {state.quiet_to}"}
        names = {"currency": "money", "zone": "time zone", "quiet_from": "quiet"}
        turn.say(*(f"{names.get(key, key)}: {value} ({'told' if key in state.told else 'assumed'})" for key, value in settings.items()))
        return
    by_name = {name: f"{value} ({where})" for name, value, where in rows}
    turn.say(
        f"{kit.name}: pot {by_name['pot width']} wide, to the brim {by_name['pot to the brim']}.",
        f"Hob {by_name['hob, reaching the pot']}, boil-off {by_name['boil-off']}, efficiency {by_name['efficiency']}.",
        f"Hydrometer {by_name['hydrometer']}; thermometer {by_name['thermometer']}.",
    )
    turn.offer(("all of it", "my kit in full"), ("print my stick", "print my stick"))


def names(turn: Turn, intent: Intent) -> None:
    """The person's kits."""
    current = turn.state.kit
    turn.say(f"In use: {current.name}, pot {wording.depth(current.pot_diameter.quantity, turn.state.units)} wide.")
    others = ", ".join(kit.name for kit in turn.state.kits)
    turn.say(f"Also: {others}." if others else '"new kit called big pot" adds another.')
    turn.offer(*((kit.name, f"use kit {kit.name}") for kit in turn.state.kits[:3]))


HANDLERS: Handlers = {"kit.show": show, "kit.names": names}
