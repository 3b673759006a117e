"""Questions with a number for an answer: how much water, how hot, how long, how strong."""

from __future__ import annotations

import re

from calc import balances
from calc.alcohol import alcohol_by_volume, alcohol_shortcut
from calc.boil import time_to_boil_down
from calc.density import gravity_from_plato, plato_from_gravity
from calc.hydrometer import correct_gravity
from calc.units import Quantity, quantity
from calc.yeast import dry_yeast_mass
from conversations.intents import Intent
from conversations.session import corrections, pitching, plan, readings, strength_ahead, what_it_did, wording
from conversations.session.fermentation import type_words, yeast_type
from conversations.session.judgement import original_gravity
from conversations.session.rim import on_the_stick, over, rim
from conversations.session.state import Batch, Kit
from conversations.session.turn import Handlers, Turn
from conversations.understanding.quantities import KINDS

_BREWING = ("mash", "drain", "top_up", "boil", "steep", "chill", "transfer", "pitch")
_HOTTEST_REST_C = 73.0
_BOILS_C, _WARMEST_MASH_F = 100.0, 176.0


def answer(turn: Turn, intent: Intent) -> None:
    """Answer one `ask.*` sum; OutOfRange of calc is left to the caller, which words the refusal."""
    slots = {
        key: readings.measured(value).quantity
        for key, value in intent.slots.items()
        if not isinstance(value, str | float | int)
    }
    turn.last = intent
    match intent.name:
        case "ask.strike" if _too_hot_to_mash(slots.get("temperature"), intent.text):
            readings.record(turn, Intent(name="reading.temperature", slots={"temperature": intent.slots["temperature"], "what": "strike"}, text=intent.text))
        case "ask.strike":
            _strike(turn, slots.get("temperature"))
        case "ask.water_to_volume":
            _water_to_volume(turn, slots["volume"])
        case "ask.water_to_gravity":
            _water_to_gravity(turn, slots["gravity"], slots.get("vol", slots.get("volume")), slots.get("from"))
        case "ask.boil_down":
            _boil_down(turn, slots["volume"])
        case "ask.correct_mash":
            _mash(turn, slots.get("temperature"), slots.get("to"))
        case "ask.depth_to_volume":
            litres = plan.volume_of_depth(slots["depth"], turn.state.kit)
            if over(slots["depth"], turn.state.kit):
                turn.say(f"{wording.depth(slots['depth'], turn.state.units)} is over the rim of your pot, which is {wording.depth(rim(turn.state.kit) or slots['depth'], turn.state.units)} high.")
                return
            turn.say(
                f"{wording.volume(litres, turn.state.units)} at {wording.depth(slots['depth'], turn.state.units)}{by_what(turn.state.kit)}."
            )
        case "ask.volume_to_depth":
            _depth(turn, slots["volume"])
        case "ask.convert" if _as_depth(slots["quantity"], str(intent.slots.get("to", ""))):
            _depth(turn, slots["quantity"])
        case "ask.convert":
            convert(turn, slots["quantity"], str(intent.slots.get("to", "")))
        case "ask.alcohol":
            _alcohol(turn, slots.get("original"), slots.get("final"))
        case "ask.gravity_at":
            _gravity_at(turn, slots["gravity"], slots["temperature"])
        case "ask.yeast":
            _yeast(turn, slots.get("volume"), slots.get("gravity"))


def _too_hot_to_mash(told: Quantity | None, text: str) -> bool:
    """ "strike water 165": no mash is that hot, so it is the water's own temperature."""
    return told is not None and float(told.to("degC").magnitude) > _HOTTEST_REST_C and not re.search(r"\b(for|mash\w*)\b|\?", text, re.IGNORECASE)


def _as_depth(asked: Quantity, to: str) -> bool:
    """Whether "how many cm is 5 litres" asks for the stick."""
    return KINDS.get(to) == "length" and asked.is_compatible_with("litre")


def _depth(turn: Turn, volume: Quantity) -> None:
    units = turn.state.units
    turn.say(f"{wording.volume(volume, units)} is {on_the_stick(plan.litres(volume), turn.state.kit, units)}{by_what(turn.state.kit)}.")


def by_what(kit: Kit) -> str:
    """What a depth hangs on where nobody measured the pot."""
    if len(kit.marks) >= 2 or "pot_diameter" in kit.told:
        return ""
    return f", for a pot {kit.pot_diameter.value:g} cm across (assumed)"


def _gravity_at(turn: Turn, shown: Quantity, temperature: Quantity) -> None:
    calibration = turn.state.kit.calibration.quantity
    true = correct_gravity(shown, temperature, calibration)
    units = turn.state.units
    turn.say(f"{wording.gravity(true)} at {wording.temperature(calibration, units)}. Nothing is recorded.")
    turn.working = (
        f"A hydrometer made for {wording.temperature(calibration, units)} shows {wording.gravity(shown)} in wort of "
        f"{wording.temperature(temperature, units)}; the wort's density at both temperatures gives the rest."
    )


def _strike(turn: Turn, target: Quantity | None) -> None:
    batch = turn.batch
    if batch is None or not batch.recipe.grains:
        turn.say('I need the grain and the batch size first: "1.3 kg pale malt", "5 litres".')
        return
    recipe, kit, units = batch.recipe, turn.state.kit, turn.state.units
    strike = plan.strike(recipe, kit, target)
    goal = target if target is not None else plan.first_rest(recipe).quantity
    turn.say(
        f"{wording.temperature(strike, units)} strike water, {wording.volume(plan.mash_water(recipe, kit), units)}, "
        f"for a mash at {wording.temperature(goal, units)}."
    )
    turn.working = (
        f"Heat balance: {wording.mass(plan.grain_mass(recipe), units)} grain at "
        f"{wording.temperature(kit.grain_temperature.quantity, units)}, malt takes 0.4 of the heat of water."
    )


def _water_to_volume(turn: Turn, target: Quantity) -> None:
    volume = plan.volume_now(turn.batch) if turn.batch else None
    units = turn.state.units
    if volume is None:
        turn.say('How much is in the pot now? Send "6.2 l" or "stick 14.5 cm".')
        turn.expects = "reading.volume"
        return
    gravity = plan.gravity_now(turn.batch) if turn.batch else None
    water = balances.water_to_reach_volume(volume, target)
    if float(water.magnitude) < 0:
        over = quantity(-float(water.to("litre").magnitude), "litre")
        minutes = float(time_to_boil_down(volume, target, turn.state.kit.boil_off.quantity).to("minute").magnitude)
        turn.say(
            f"None: you are {wording.volume(over, units)} over. Boiling it off takes about {wording.duration(minutes * 60)}."
        )
        return
    turn.say(
        f"{wording.volume(water, units)} water, from {wording.volume(volume, units)} to {wording.volume(target, units)}."
    )
    if gravity is not None:
        after = balances.gravity_after_dilution(volume, gravity, water)
        turn.say(f"Gravity goes from {wording.gravity(gravity)} to {wording.gravity(after)}.")
        turn.working = "The extract stays, the water grows: extract mass over total mass, then back to gravity."


def _water_to_gravity(turn: Turn, target: Quantity, volume: Quantity | None, gravity: Quantity | None) -> None:
    batch, units = turn.batch, turn.state.units
    if volume is None and batch is not None:
        volume = plan.volume_now(batch)
    if gravity is None and batch is not None:
        gravity = plan.gravity_now(batch)
    if volume is None or gravity is None:
        turn.say('I need volume and gravity first: "6.2 l, gravity 1.050 at 25 C".')
        return
    water = float(balances.water_to_reach_gravity(volume, gravity, target).to("litre").magnitude)
    amount = wording.volume(quantity(abs(water), "litre"), units)
    if water >= 0:
        turn.say(f"Add {amount} water: {wording.gravity(gravity)} to {wording.gravity(target)}.")
        return
    left = quantity(float(volume.to("litre").magnitude) + water, "litre")
    minutes = float(time_to_boil_down(volume, left, turn.state.kit.boil_off.quantity).to("minute").magnitude)
    turn.say(
        f"Boil off {amount}, about {wording.duration(minutes * 60)}: {wording.gravity(gravity)} to {wording.gravity(target)}."
    )


def _boil_down(turn: Turn, target: Quantity) -> None:
    volume = plan.volume_now(turn.batch) if turn.batch else None
    if volume is None:
        turn.say('How much is in the pot now? Send "6.2 l" or "stick 14.5 cm".')
        turn.expects = "reading.volume"
        return
    rate = turn.state.kit.boil_off
    minutes = float(time_to_boil_down(volume, target, rate.quantity).to("minute").magnitude)
    told = "" if "boil_off" in turn.state.kit.told else " (assumed)"
    turn.say(f"{wording.duration(minutes * 60)} of boiling, from {wording.volume(volume, turn.state.units)}.")
    turn.working = (
        f"Boil-off {wording.volume(quantity(rate.in_unit('litre / hour'), 'litre'), turn.state.units)} an hour{told}."
    )


def _mash(turn: Turn, temperature: Quantity | None, wanted: Quantity | None) -> None:
    if wanted is not None and (bare := float(wanted.to("degC").magnitude)) > _BOILS_C and bare <= _WARMEST_MASH_F:
        # "back up to 152", bare, of somebody whose degrees are metric here.
        wanted = quantity(bare, "degF")
    batch = turn.batch
    if batch is not None and temperature is None:
        temperature = next(
            (reading.best for reading in reversed(batch.readings) if reading.kind == "temperature" and reading.stage == "mash"),
            None,
        )
    if batch is not None and batch.stage == "heat":
        _strike_water(turn, batch, temperature)
        return
    if batch is None or temperature is None:
        turn.say('What is the mash temperature now? Send "69 C".')
        turn.expects = "reading.temperature"
        return
    corrections.mash(turn, temperature, wanted)


def _strike_water(turn: Turn, batch: Batch, temperature: Quantity | None) -> None:
    """The water before the grain is in it: held against the strike temperature."""
    if temperature is None:
        temperature = next((each.best for each in reversed(batch.readings) if each.kind == "temperature" and each.stage == "heat"), None)
    if temperature is None or not batch.recipe.grains:
        turn.say('What is the temperature of the water now? Send "69 C".')
        turn.expects = "reading.temperature"
        return
    readings.against_strike(turn, batch, temperature)


def convert(turn: Turn, value: Quantity, to: str) -> None:
    """A figure in another unit."""
    if to in ("degree_plato", "plato", "brix") and value.units == quantity(1, "dimensionless").units:
        turn.say(f"{float(plato_from_gravity(value).magnitude):.1f} °P is {wording.gravity(value)}.")
        return
    if value.units == quantity(1, "degree_plato").units:
        turn.say(f"{wording.gravity(gravity_from_plato(value))} is {float(value.magnitude):g} °P.")
        return
    turn.say(f"{_in_words(value)} = {_in_words(value.to(to))}.")


def _in_words(value: Quantity) -> str:
    """A figure with its unit written out, so that it shows which gallon was taken."""
    number, unit = float(value.magnitude), str(value.units)
    signs = {"degree_Celsius": "°C", "degree_Fahrenheit": "°F", "dimensionless": ""}
    words = {"gallon": "US gallon", "pint": "US pint", "quart": "US quart", "fluid_ounce": "US fluid ounce"}.get(unit, unit)
    words = words.replace("liter", "litre").replace("meter", "metre")
    plural = "es" if words.endswith("inch") else "" if words.endswith(("foot", "hertz")) else "s"
    return f"{number:.4g} {signs.get(unit) or words.replace('_', ' ') + (plural if number != 1 else '')}"


def _alcohol(turn: Turn, original: Quantity | None, final: Quantity | None) -> None:
    expected, asked = "", original is not None or final is not None
    if (original is None or final is None) and turn.batch is not None:
        fermented = plan.gravities(turn.batch, "ferment", "bottle", "condition")
        first, was_measured = original_gravity(turn.batch)
        if first is None and len(fermented) >= 2:
            first, was_measured = fermented[0], True
        if fermented and first is not None:
            original, final = first, fermented[-1]
            expected = "" if was_measured else " (expected; none was measured after the boil)"
    if original is None and final is None and turn.batch is not None and turn.batch.recipe.grains and turn.batch.stage in _BREWING:
        # Nothing has fermented yet: what it is heading for.
        what_it_did.thinner(turn, Intent(name="ask.thinner", slots={"of": "strength"}))
        return
    coming = strength_ahead.ahead(turn.batch) if turn.batch is not None and not asked else ""
    if original is None or final is None:
        turn.say(coming or 'I need two gravities: "1.050 to 1.010 how strong".')
        return
    strength = float(alcohol_by_volume(original, final).to("percent").magnitude)
    short = float(alcohol_shortcut(original, final).to("percent").magnitude)
    turn.say(f"{strength:.1f} % alcohol by volume, from {wording.gravity(original)}{expected} to {wording.gravity(final)}.", coming)
    turn.working = (
        f"Mass balance after Balling: {strength:.2f} %; the shortcut 131.25 times the difference gives {short:.2f} %."
    )


def _yeast(turn: Turn, volume: Quantity | None, gravity: Quantity | None) -> None:
    batch, alive = turn.batch, ""
    grams = None
    if batch is not None and volume is None and gravity is None and batch.recipe.grains:
        wanted = pitching.dose(batch, turn.state, turn.now)
        volume, gravity, grams = wanted.volume, wanted.gravity, wanted.grams
        alive = f" ({wanted.viable:.0%} alive)" if wanted.viable < pitching.FRESH else ""
    elif batch is not None:
        volume = volume if volume is not None else (plan.volume_now(batch) or plan.batch_volume(batch.recipe))
        gravity = gravity if gravity is not None else plan.gravity_now(batch)
        if gravity is None and batch.recipe.grains:
            gravity = plan.original_gravity(batch.recipe, turn.state.kit)
    if volume is None or gravity is None:
        turn.say('I need volume and gravity: "how much yeast for 5 litres at 1.050".')
        return
    kind = type_words(yeast_type(batch.recipe)) if batch is not None and grams is not None else "ale"
    if grams is None:
        grams = dry_yeast_mass(volume, gravity)
    turn.say(
        f"{wording.mass(grams, 'metric')} dry {kind} yeast{alive} for {wording.volume(volume, turn.state.units)} at {wording.gravity(gravity)}."
    )
    turn.working = "About 0.75 million cells per ml and degree Plato; dry yeast 0.5 to 0.8 g a litre (common practice)."


HANDLERS: Handlers = {"ask": answer}
