"""Telling Potside the kit: pot, hob, fermenter, instruments, place, bottles; several kits per person."""

from __future__ import annotations

from typing import Any

from calc.boil import highest_boil_off
from calc.heat import heat_flow
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import wording
from conversations.session.kit_values import TAP_WATER, boils_at, capacity
from conversations.session.readings import measured
from conversations.session.state import Kit
from conversations.session.turn import Handlers, Turn

REACHES = {"gas": 0.4, "hot plate": 0.65, "induction": 0.85}
"""Share of a hob's label that reaches the pot: common practice, no source (calc.heat says the same)."""
_PLACE_FIELDS = (
    "calibration",
    "hydrometer_offset",
    "grain_temperature",
    "thermometer_ice",
    "thermometer_boiling",
    "thermometer_boiled_at",
    "air_pressure",
    "altitude",
    "water",
    "bottles",
    "bag",
    "fermenter_volume",
    "hob_power",
    "hob_timed",
)
"""What a second pot in the same kitchen shares with the first."""
# Field: what it may be, and how it is said back.
_RANGE: dict[str, tuple[float, float, str]] = {
    "pot_diameter": (8, 80, "centimetre"),
    "pot_height": (5, 100, "centimetre"),
    "pot_mass": (0.1, 30, "kilogram"),
    "pot_capacity": (0.5, 150, "litre"),
    "fermenter_volume": (0.5, 150, "litre"),
    "boil_off": (0.1, 15, "litre / hour"),
    "dead_space": (0.0, 10, "litre"),
    "altitude": (-400, 5000, "metre"),
    "air_pressure": (87, 109, "kilopascal"),
    "calibration": (4, 40, "degC"),
    "grain_temperature": (-10, 45, "degC"),
}


def change(turn: Turn, label: str, **fields: Any) -> Kit:
    """Record new values of the kit in use as told by the person."""
    old = turn.state.kit
    told = tuple(sorted({*old.told, *fields}))
    learned = tuple(field for field in old.learned if field not in fields)
    if "hob_power" in fields and "boil_off" not in (*told, *learned):
        # A boil-off that nobody measured cannot be more than the hob steams off.
        most = float(highest_boil_off(fields["hob_power"].quantity).to("litre / hour").magnitude)
        usual = Kit().boil_off.in_unit("litre / hour")
        fields["boil_off"] = Measured(value=round(min(usual, most), 2), unit="litre / hour")
    new = old.model_copy(update={**fields, "told": told, "learned": learned})
    turn.record("kit_told", label=label, kit=new.model_dump(mode="json"))
    return new


def _length(turn: Turn, value: Measured) -> str:
    return wording.depth(value.quantity, turn.state.units)


def _volume(turn: Turn, value: Measured) -> str:
    return wording.volume_told(value, turn.state.units)


def tell(turn: Turn, intent: Intent) -> None:
    """One measured value of the kit: refused outside of what a kitchen holds, else recorded and said back."""
    field = {"kit.pot": "pot_diameter"}.get(intent.name, intent.name.removeprefix("kit."))
    value = measured(next(value for key, value in intent.slots.items() if key != "duration_s"))
    low, high, unit = _RANGE[field]
    number = value.in_unit(unit)
    name = field.replace("_", " ")
    if not low <= number <= high:
        shown = unit.replace("litre / hour", "litres an hour").replace("deg", "°")
        turn.say(f"A {name} of {number:g} {shown} cannot be: {low:g} to {high:g}. Nothing changed; send it again.")
        return
    words = {
        "pot_diameter": lambda: f"Pot {_length(turn, value)} across.",
        "pot_height": lambda: f"Pot {_length(turn, value)} high.",
        "pot_mass": lambda: f"Pot weighs {wording.mass(value.quantity, turn.state.units)}.",
        "pot_capacity": lambda: f"Pot holds {_volume(turn, value)}.",
        "fermenter_volume": lambda: f"Fermenter holds {_volume(turn, value)}.",
        "boil_off": lambda: f"Boil-off {wording.volume(quantity(number, 'litre'), turn.state.units)} an hour.",
        "dead_space": lambda: f"{_volume(turn, value)} stays behind in the pot.",
        "altitude": lambda: f"{wording.altitude(value.quantity, turn.state.units)} above the sea.",
        "air_pressure": lambda: f"Air pressure {10 * number:.0f} hPa at sea level.",
        "calibration": lambda: f"Hydrometer calibrated at {wording.temperature(value.quantity, turn.state.units)}.",
        "grain_temperature": lambda: f"Grain at {wording.temperature(value.quantity, turn.state.units)}.",
    }[field]()
    new = change(turn, words, **{field: value})
    turn.say(words)
    if field in ("altitude", "air_pressure"):
        turn.say(f"Water boils at {wording.temperature(boils_at(new), turn.state.units)} there.")
    full = capacity(new)
    if field in ("pot_diameter", "pot_height") and full is not None and new.pot_capacity is None:
        turn.say(f"To the brim that is {wording.volume(full, turn.state.units)}.")
    elif field in ("pot_diameter", "pot_height", "pot_capacity"):
        _contradiction(turn, new)


_DOUBTED_SHARE = 0.15
"""How far what a pot is said to hold may be from its measures: a rounded edge and a rim take a tenth."""


def _contradiction(turn: Turn, kit: Kit) -> None:
    """Say where the capacity told belongs to another pot than the measures told."""
    by_size = capacity(kit.model_copy(update={"pot_capacity": None}))
    if kit.pot_capacity is None or by_size is None or "pot_diameter" not in kit.told:
        return
    told, sizes = kit.pot_capacity.in_unit("litre"), float(by_size.to("litre").magnitude)
    if abs(told - sizes) > _DOUBTED_SHARE * sizes:
        units = turn.state.units
        turn.say(f"By its measures that would be {wording.volume(by_size, units)}, you told {wording.volume(kit.pot_capacity.quantity, units)}: which holds?")
        turn.offer(("its measures", "forget the pot capacity"), ("as told", f"pot holds {wording.volume(kit.pot_capacity.quantity, units)}"))


def words_of(turn: Turn, intent: Intent) -> None:
    """What is told in a word: material, bag or none."""
    if intent.name == "kit.material":
        material = str(intent.slots["material"])
        change(turn, f"{material} pot", pot_material=material)
        turn.say(f"{material.capitalize()} pot.")
        return
    if intent.name == "kit.squeeze":
        squeezes = bool(intent.slots["squeezed"])
        change(turn, "squeezing", squeezes=squeezes)
        turn.say("I count on a squeezed bag." if squeezes else "I count on a bag that only drips.")
        return
    has = bool(intent.slots["bag"])
    change(turn, "bag" if has else "no bag", bag=has)
    turn.say("Mash in a bag." if has else "No bag: drain through a sieve and count on less wort.")


def hob_power(turn: Turn, intent: Intent) -> None:
    """ "hob is 2 kW": what is on the label; the share that reaches the pot is counted, and said."""
    label = measured(intent.slots["power"])
    sort = str(intent.slots.get("sort") or "hot plate")
    watts = label.in_unit("watt")
    if not 200 <= watts <= 20000:
        turn.say('A kitchen hob has 200 W to 20 kW. Send it like "hob is 2 kW", or "it takes 25 minutes to boil 8 litres".')
        return
    old = turn.state.kit
    if old.hob_power is not None and (old.hob_timed or "hob_power" in old.learned) and "new" not in intent.slots:
        turn.say(
            f"I keep {old.hob_power.in_unit('watt') / 1000:.2f} kW, which {'your time to the boil' if old.hob_timed else 'your batches'} showed: better than a label.",
            'Is it another hob? Then "new hob", with its power or a time to the boil.',
        )
        turn.offer((f"another hob, {watts / 1000:g} kW", f"new {sort} hob, {watts / 1000:g} kW" if "sort" in intent.slots else f"new hob, {watts / 1000:g} kW"))
        return
    reaching = Measured(value=round(watts * REACHES[sort]), unit="watt")
    taken = "" if "sort" in intent.slots else " (taken as a hot plate; say gas or induction)"
    change(turn, f"hob {watts / 1000:g} kW", hob_power=reaching, hob_timed=False)
    turn.say(
        f"{reaching.value / 1000:.2f} kW reaches the pot: {REACHES[sort]:.0%} of {watts / 1000:g} kW{taken}.",
        'Better: "it takes 25 minutes to boil 8 litres".',
    )
    turn.working = f"A {sort} passes on about {REACHES[sort]:.0%} of its power (common practice, no source)."


def hob_time(turn: Turn, intent: Intent) -> None:
    """ "it takes 25 minutes to boil 8 litres": the power that reached the water, by heat balance."""
    volume, kit = measured(intent.slots["volume"]), turn.state.kit
    seconds = float(intent.slots["duration_s"])
    start = measured(intent.slots["temperature"]).quantity if "temperature" in intent.slots else TAP_WATER
    end = boils_at(kit)
    watts = heat_flow(
        volume.quantity,
        start,
        end,
        quantity(seconds, "second"),
        pot_mass=kit.pot_mass.quantity,
        pot_material=kit.pot_material,
    ).to("watt")
    if not 50 <= float(watts.magnitude) <= 20000:
        turn.say(f"{wording.duration(seconds)} for {_volume(turn, volume)} would be {float(watts.magnitude) / 1000:.2f} kW.")
        turn.say('No kitchen hob does that. Send it like "it takes 25 minutes to boil 8 litres".')
        return
    change(turn, "hob", hob_power=Measured(value=round(float(watts.magnitude)), unit="watt"), hob_timed=True)
    units = turn.state.units
    assumed = "" if "temperature" in intent.slots else " (tap water assumed)"
    turn.say(f"{float(watts.magnitude) / 1000:.2f} kW reaches the pot.")
    turn.say(f"From {wording.temperature(start, units)}{assumed} to {wording.temperature(end, units)}.")
    turn.working = (
        f"Heat balance of {_volume(turn, volume)} water and a {kit.pot_mass.in_unit('kilogram'):g} kg {kit.pot_material} "
        f"pot over {wording.duration(seconds)}."
    )


def bottles(turn: Turn, intent: Intent) -> None:
    """ "20 bottles of 500 ml": how many of one size are in hand; the newest count of a size holds."""
    count, size = round(float(intent.slots["count"])), measured(intent.slots["volume"])
    if not 0 <= count <= 2000 or not 0.1 <= size.in_unit("litre") <= 10:
        turn.say('Send bottles like "20 bottles of 500 ml".')
        return
    others = [row for row in turn.state.kit.bottles if abs(row[1].in_unit("litre") - size.in_unit("litre")) > 0.005]
    new = tuple(sorted([*others, (count, size)], key=lambda row: -row[1].in_unit("litre")))
    rows = tuple(row for row in new if row[0])
    change(turn, "bottles", bottles=rows)
    total = sum(row[0] * row[1].in_unit("litre") for row in rows)
    turn.say(f"{count} bottles of {_volume(turn, size)}; all together {wording.volume(quantity(total, 'litre'), turn.state.units)}.")


def hydrometer_check(turn: Turn, intent: Intent) -> None:
    """ "hydrometer reads 1.002 in water": what it shows too much is taken off every later reading."""
    shown = measured(intent.slots["gravity"]).value
    offset = round(shown - 1.0, 4)
    if abs(offset) > 0.02:
        turn.say(f"{shown:.3f} in plain water? Look again at the calibration temperature, nothing changed.")
        return
    change(turn, "hydrometer check", hydrometer_offset=offset)
    turn.say(f"I take {offset:+.3f} off every reading from now on." if offset else "It reads true.")
    turn.say(f"That holds for water at {wording.temperature(turn.state.kit.calibration.quantity, turn.state.units)}.")


def new_kit(turn: Turn, intent: Intent) -> None:
    """A second kit: its pot starts from the defaults, place and instruments are those of the one in use."""
    name, old = str(intent.slots["name"]).strip().lower(), turn.state.kit
    if any(kit.name == name for kit in (old, *turn.state.kits)):
        turn.say(f'There is a kit called {name} already. "use the {name}" takes it.')
        return
    shared = {field: getattr(old, field) for field in _PLACE_FIELDS}
    told = tuple(field for field in old.told if field in _PLACE_FIELDS)
    kit = Kit(name=name, told=told).model_copy(update=shared)
    turn.record(
        "kits_told",
        label=f"new kit {name}",
        kit=kit.model_dump(mode="json"),
        kits=[each.model_dump(mode="json") for each in (*turn.state.kits, old)],
    )
    turn.say(f"{name}: a new kit, in use now.", "Hob, fermenter and instruments are as before; tell me the pot:")
    turn.say('"pot is 30 cm across and 28 cm high".')


def use_kit(turn: Turn, intent: Intent) -> None:
    """Take another kit of the person."""
    wanted, kits = str(intent.slots["name"]).strip().lower(), turn.state.kits
    current = turn.state.kit
    found = [kit for kit in kits if kit.name == wanted] or [kit for kit in kits if wanted in kit.name]
    if not found and wanted in current.name:
        turn.say(f"{current.name} is in use already.")
        return
    if len(found) != 1:
        names = ", ".join(kit.name for kit in (current, *kits))
        turn.say(f'{"More than one kit" if found else "No kit"} is called {wanted}. You have: {names}.')
        turn.offer(*((kit.name, f"use kit {kit.name}") for kit in kits[:3]))
        return
    chosen = found[0]
    others = [kit for kit in (*kits, current) if kit.name != chosen.name]
    turn.record(
        "kits_told",
        label=f"use {chosen.name}",
        kit=chosen.model_dump(mode="json"),
        kits=[each.model_dump(mode="json") for each in others],
    )
    turn.say(f"{chosen.name}: in use. {_length(turn, chosen.pot_diameter)} pot.")


def rename_kit(turn: Turn, intent: Intent) -> None:
    """Give the kit in use a name."""
    name = str(intent.slots["name"]).strip().lower()
    if any(kit.name == name for kit in turn.state.kits):
        turn.say(f"Another kit is called {name} already.")
        return
    new = turn.state.kit.model_copy(update={"name": name})
    others = [each.model_dump(mode="json") for each in turn.state.kits]
    turn.record("kits_told", label=f"kit called {name}", kit=new.model_dump(mode="json"), kits=others)
    turn.say(f"This kit is called {name} now.")


def remove_kit(turn: Turn, intent: Intent) -> None:
    """A kit that is no longer there; the one in use stays until another is taken."""
    wanted, current, kits = str(intent.slots["name"]).strip().lower(), turn.state.kit, turn.state.kits
    found = [each for each in kits if each.name == wanted] or [each for each in kits if wanted in each.name]
    if len(found) != 1:
        if wanted in current.name and not found:
            turn.say(f"{current.name} is in use. Take another one first, then it can go.")
        else:
            turn.say(f"No kit is called {wanted}. You have: {', '.join(each.name for each in (current, *kits))}.")
        turn.offer(*((f"use {each.name}", f"use kit {each.name}") for each in kits[:3]))
        return
    left = [each.model_dump(mode="json") for each in kits if each.name != found[0].name]
    turn.record("kits_told", label=f"{found[0].name} removed", kit=current.model_dump(mode="json"), kits=left)
    turn.say(f"{found[0].name}: removed. In use: {current.name}.")
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {
    **{f"kit.{name}": tell for name in ("pot", *_RANGE) if name not in ("altitude", "air_pressure")},
    "kit.material": words_of,
    "kit.has_bag": words_of,
    "kit.squeeze": words_of,
    "kit.hob_power": hob_power,
    "kit.hob_time": hob_time,
    "kit.bottles": bottles,
    "kit.hydrometer_water": hydrometer_check,
    "kit.new": new_kit,
    "kit.use": use_kit,
    "kit.rename": rename_kit,
    "kit.remove": remove_kit,
}
