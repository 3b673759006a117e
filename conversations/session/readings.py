"""Recording what the instruments say: plausibility first, then correction, then comparison with the plan."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from calc.cooling import forecast
from calc.errors import OutOfRange
from calc.hydrometer import correct_gravity, correction_uncertainty
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured
from conversations.session import addressee, corrections, plan, progress, stick_and_litres, warmth, wording
from conversations.session.judgement import slipped, suspicious, why_questioned
from conversations.session.kit_values import true_temperature
from conversations.session.rim import over, rim
from conversations.session.stages import stages
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn

SLOT = {
    "reading.gravity": "gravity",
    "reading.temperature": "temperature",
    "reading.volume": "volume",
    "reading.depth": "depth",
    "reading.mass": "mass",
}
# What no kitchen produces, at any stage; inside of it each stage has its own limits in stages.toml.
POSSIBLE = {
    "gravity": (0.980, 1.200, "dimensionless"),
    "temperature": (-5.0, 105.0, "degC"),
    "volume": (0.01, 100.0, "litre"),
    "depth": (0.1, 100.0, "centimetre"),
    "mass": (0.01, 50000.0, "gram"),
}
MOST_OF_EXPECTED = 1.6
"""Share above which more gravity than the malt can give is taken for a slip of the tongue or the thumb."""
_MOST_AND_MORE = 0.005
"""Above all that the malt has: as far as stick and hydrometer may be off together."""
_LEAST_BEER = 0.6
"""Share of the beer below which a volume told at bottling is hardly all of it."""
_LEAST_WORT = 0.3
"""Share of what was measured before, below which a volume is hardly all of the wort but what went in or came out."""
_WORT_WHOLE = ("drain", "top_up", "boil", "steep", "chill", "transfer")
TAP_C = 15.0
"""Cold tap water, degrees Celsius. Common practice, no source."""
HOT = quantity(40.0, "degC")


def record(turn: Turn, intent: Intent, sure: bool = False) -> None:
    """Record one reading, or ask about it where it does not look right."""
    kind = SLOT[intent.name]
    value = measured(intent.slots[kind])
    here = turn.state.current
    if not sure and not addressee.find(turn, intent, kind, value):
        return
    _record(turn, intent, kind, value, sure)
    if turn.state.current != here and turn.question is None:
        turn.record("switched", batch=here)


def _record(turn: Turn, intent: Intent, kind: str, value: Measured, sure: bool) -> None:
    begun = turn.batch.boil_started if turn.batch is not None and intent.slots.get("of") == "boil" else None
    at = datetime.fromisoformat(str(intent.slots["at"])) if "at" in intent.slots else begun or turn.now
    if turn.batch is not None and at < turn.batch.started:
        turn.say(
            f"{progress.date_words(at, turn.now)} is before {turn.batch.name} was begun ({progress.date_words(turn.batch.started, turn.now)}).",
            "Nothing is recorded. Say the day again, or which batch is meant.",
        )
        return
    stage = stage_at(turn.batch, at) if turn.batch else ""
    doubt = None if sure else _doubt(turn, kind, _judged(turn, intent, kind, value), at, stage)
    if doubt is None and not sure and kind == "gravity" and "temperature" in intent.slots:
        doubt = _more_than_all(turn, _judged(turn, intent, kind, value), stage)
    if doubt is not None:
        shown = (
            f"{value.value:g} {'°F' if value.unit == 'degF' else '°C'}"
            if kind == "temperature"
            else show(turn, kind, value.quantity)
        )
        low, high, unit = POSSIBLE[kind]
        if not low <= value.in_unit(unit) <= high:
            turn.say(f"{shown}? {doubt}", "Nothing is recorded. Please send it again.")
            return
        turn.say(f"{shown}? {doubt}", 'Nothing is recorded yet. Say "yes" to keep it, or send it again.')
        turn.expects = "yes_no"
        turn.question = {"intent": intent.model_dump(mode="json")}
        turn.working = why_questioned(turn.batch, kind)
        turn.offer(("yes, keep it", "yes"), ("no", "no"))
        if kind == "gravity" and turn.batch and stage in ("ferment", "bottle") and (meant := slipped(turn.batch, value.quantity, at)) is not None:
            turn.offer((f"{meant:.3f}", f"{meant:.3f}"))
        return
    temperature = intent.slots.get("temperature") if kind == "gravity" else None
    if temperature is not None and (strange := doubt_sample(measured(temperature))):
        turn.say(strange, "Nothing is recorded. Please send it again.")
        return
    corrected_value, note = corrected(turn, kind, value, measured(temperature) if temperature else None)
    if by := str(intent.slots.get("by", "")):
        # Worked out from another instrument: nothing of the hydrometer's is to be corrected.
        corrected_value, note = None, by
    number = turn.number()
    reading = Reading(
        id=number,
        kind=kind,
        value=value,
        corrected=corrected_value,
        stage=stage,
        at=at,
        note=note,
        who=turn.who,
    )
    turn.record("reading", label=f"{kind} {show(turn, kind, value.quantity)}", reading=reading.model_dump(mode="json"))
    turn.last = intent
    if at < turn.now:
        turn.say(f"{show(turn, kind, reading.best)} noted for {'the start of the boil' if at == begun else progress.date_words(at, turn.now)}.")
        if kind == "gravity" and turn.batch and stage in ("ferment", "bottle"):
            progress.after_gravity(turn, turn.batch)
        elif kind == "volume" and turn.batch:
            corrections.after_volume(turn, reading.best)
        elif kind == "temperature" and turn.batch and stage == turn.batch.stage == "ferment" and turn.now - at < warmth.FRESH:
            warmth.was(turn, turn.batch, reading)
    else:
        _answer(turn, kind, value, corrected_value)
    turn.offer(("undo", "undo"))


def stage_at(batch: Batch, at: datetime) -> str:
    """The stage that a batch was in at a time."""
    entered = sorted((when, name) for name, when in batch.entered.items() if when <= at)
    return batch.stage if at >= batch.stage_since or not batch.entered else (entered[-1][1] if entered else "plan")


def measured(value: Any) -> Measured:
    """A slot that may have been through JSON, as a measured value."""
    return value if isinstance(value, Measured) else Measured.model_validate(value)


def show(turn: Turn, kind: str, value: Quantity) -> str:
    """The value as the person reads it."""
    return wording.of_kind(kind, value, turn.state.units)


def doubt_sample(temperature: Measured) -> str | None:
    """Why the temperature of a gravity sample cannot be right; None when it can."""
    if -5 <= temperature.in_unit("degC") <= 105:
        return None
    return f"A sample at {temperature.value:g} {'°F' if temperature.unit == 'degF' else '°C'}? That cannot be."


def _more_than_all(turn: Turn, value: Measured, stage: str) -> str | None:
    """Why a gravity put right for a hot sample cannot be: more sugar than the malt has; None where it can."""
    batch = turn.batch
    if batch is None or not batch.recipe.grains or stage not in addressee.ON_THE_HOB:
        return None
    here = plan.volume_now(batch) or plan.pre_boil_volume(batch.recipe, turn.state.kit)
    most = plan.gravity_at(here, batch.recipe.model_copy(update={"efficiency": 1.0}), turn.state.kit)
    if value.value <= float(most.magnitude) + _MOST_AND_MORE:
        return None
    return f"Put right that is {wording.gravity(value.quantity)}, and all the sugar of the malt makes {wording.gravity(most)} in {wording.volume(here, turn.state.units)}. Was the sample that hot? Cool it and read it again."


def _judged(turn: Turn, intent: Intent, kind: str, value: Measured) -> Measured:
    """What is held against the plan: a gravity at its sample's temperature, so that a hot sample is not taken for a thin wort."""
    if kind != "gravity" or "temperature" not in intent.slots:
        return value
    return corrected(turn, kind, value, measured(intent.slots["temperature"]))[0] or value


def looks_wrong(turn: Turn, kind: str, value: Measured) -> bool:
    """Whether a value would be questioned if it were sent now."""
    return _doubt(turn, kind, value, turn.now, turn.batch.stage if turn.batch else "") is not None


def _doubt(turn: Turn, kind: str, value: Measured, at: datetime, at_stage: str) -> str | None:
    """Why a value is questioned; None when it looks right."""
    low, high, unit = POSSIBLE[kind]
    number = value.in_unit(unit)
    if not low <= number <= high:
        low_word, high_word = (show(turn, kind, quantity(limit, unit)) for limit in (low, high))
        return f"That is outside {low_word} to {high_word}."
    if kind == "depth" and (top := rim(turn.state.kit)) is not None and over(value.quantity, turn.state.kit):
        return f"That is over the rim of your pot, which is {wording.depth(top, turn.state.units)} high."
    stage = stages().get(at_stage)
    if stage and not addressee.plausible(stage.name, kind, value):
        low, high, unit = stage.plausible[kind]
        low_word, high_word = (show(turn, kind, quantity(limit, unit)) for limit in (low, high))
        return f'During "{stage.title.lower()}" I expect {low_word} to {high_word}.'
    if kind == "gravity" and turn.batch and at_stage in addressee.ON_THE_HOB and turn.batch.recipe.grains:
        planned = plan.gravity_at(plan.batch_volume(turn.batch.recipe), turn.batch.recipe, turn.state.kit)
        share = (number - 1) / (float(planned.magnitude) - 1)
        if not addressee.LEAST_OF_EXPECTED < share < MOST_OF_EXPECTED:
            return f"The recipe makes about {wording.gravity(planned)}."
    if kind == "gravity" and turn.batch and at_stage in ("ferment", "bottle"):
        return suspicious(turn.batch, value.quantity, at)
    if kind == "volume" and turn.batch and at_stage in _WORT_WHOLE and (before := plan.volume_now(turn.batch)) is not None and number < _LEAST_WORT * plan.litres(before):
        return f"There were {wording.volume(before, turn.state.units)}. Is it what went in? Then \"added {wording.volume(value.quantity, turn.state.units)} water\"."
    if kind == "volume" and turn.batch and at_stage in ("bottle", "condition"):
        there = plan.volume_now(turn.batch) or plan.batch_volume(turn.batch.recipe)
        if number < _LEAST_BEER * float(there.to("litre").magnitude):
            return f"The beer was {wording.volume(there, turn.state.units)}. What is left over and the size of a bottle are no volume of it; bottles go with their number."
    return None


def corrected(turn: Turn, kind: str, value: Measured, temperature: Measured | None) -> tuple[Measured | None, str]:
    """The value after what the instruments' checks and the temperature of the sample say, and a note of why."""
    kit = turn.state.kit
    try:
        if kind == "temperature" and (kit.thermometer_ice or kit.thermometer_boiling):
            real = float(true_temperature(value.quantity, kit).to(value.unit).magnitude)
            return Measured(value=round(real, 2), unit=value.unit), "by the thermometer's check"
        if kind == "gravity" and temperature is None and kit.hydrometer_offset:
            return Measured(value=value.value - kit.hydrometer_offset, unit="dimensionless"), "by the check in water"
        if kind == "gravity" and temperature is not None:
            shown = quantity(value.value - kit.hydrometer_offset, "dimensionless")
            sample = true_temperature(temperature.quantity, kit)
            true = correct_gravity(shown, sample, kit.calibration.quantity)
            return Measured(
                value=float(true.magnitude), unit="dimensionless"
            ), f"read at {temperature.value:g} {temperature.unit}"
        if kind == "depth":
            litres = plan.volume_of_depth(value.quantity, kit)
            return Measured(value=float(litres.to("litre").magnitude), unit="litre"), ""
    except OutOfRange:
        return None, "could not be corrected"
    return None, ""


def _answer(turn: Turn, kind: str, value: Measured, corrected: Measured | None) -> None:
    units, batch = turn.state.units, turn.batch
    where = "" if batch else " No batch is running."
    shown = show(turn, kind, value.quantity)
    if kind == "gravity":
        _answer_gravity(turn, value, corrected, where)
    elif kind == "depth":
        assumed = "" if {"pot_diameter", "marks"} & set(turn.state.kit.told) else " (pot 24 cm wide assumed)"
        if corrected is not None:
            turn.say(f"{wording.volume(corrected.quantity, units)} at {shown} on the stick{assumed}.{where}")
            if not stick_and_litres.differ(turn):
                corrections.after_volume(turn, corrected.quantity)
        else:
            turn.say(f"{shown} noted, but it is beyond your stick's marks.{where}")
    elif kind == "volume":
        turn.say(f"{shown} noted.{where}")
        if not stick_and_litres.differ(turn):
            corrections.after_volume(turn, value.quantity)
    elif kind == "temperature":
        real = (corrected or value).quantity
        if show(turn, kind, real) == shown:
            turn.say(f"{shown} noted.{where}")
        else:
            turn.say(f"{show(turn, kind, real)} noted: your thermometer shows {shown} there.{where}")
        if batch and batch.stage == "mash":
            corrections.mash(turn, real)
        elif batch and batch.stage == "heat":
            against_strike(turn, batch, real)
        elif batch and batch.stage == "chill":
            chill(turn, batch)
        elif batch and batch.stage == "ferment":
            warmth.fermenter(turn, batch, real)
        elif batch and batch.stage == "condition":
            warmth.bottles(turn, batch, real)
    else:
        turn.say(f"{shown} noted.{where}")


def _answer_gravity(turn: Turn, value: Measured, corrected: Measured | None, where: str) -> None:
    batch = turn.batch
    if corrected is None and turn.last and turn.last.slots.get("temperature"):
        turn.say(
            f"{wording.gravity(value.quantity)} noted as read: too hot to correct. Cool the sample and read it again."
        )
    elif corrected is None and turn.last and "by" in turn.last.slots:
        turn.say(f"About {wording.gravity(value.quantity)} ({turn.last.slots['by']} with alcohol in it): an estimate, noted.{where}")
    elif corrected is None:
        turn.say(f"{wording.gravity(value.quantity)} noted, taken as read at the hydrometer's temperature.{where}")
    else:
        same = wording.gravity(corrected.quantity) == wording.gravity(value.quantity)
        turn.say(
            f"{wording.gravity(value.quantity)} noted; its temperature changes nothing.{where}"
            if same
            else f"{wording.gravity(corrected.quantity)} corrected, from {wording.gravity(value.quantity)} read.{where}"
        )
        sample = turn.last.slots.get("temperature") if turn.last else None
        temperature = measured(sample).quantity if sample else None
        if temperature is not None:
            spread = correction_uncertainty(value.quantity, temperature, turn.state.kit.calibration.quantity)
            turn.working = (
                f"Liquid density and glass expansion at {wording.temperature(temperature, turn.state.units)}, calibrated at "
                f"{wording.temperature(turn.state.kit.calibration.quantity, turn.state.units)}; ± {float(spread.magnitude):.4f}."
            )
            if temperature > HOT:
                turn.say(
                    f"Hot sample: ± {float(spread.magnitude):.3f}. Cool it for a better one; never float glass in the pot."
                )
    if batch and batch.stage in ("ferment", "bottle"):
        progress.after_gravity(turn, batch)
    else:
        corrections.after_gravity(turn)


def against_strike(turn: Turn, batch: Batch, temperature: Quantity) -> None:
    """The strike water as it is, against what it has to be."""
    if not batch.recipe.grains:
        return
    strike = plan.strike(batch.recipe, turn.state.kit)
    miss = float(temperature.to("degC").magnitude - strike.to("degC").magnitude)
    shown = wording.temperature(strike, turn.state.units)
    if miss > 1:
        cold = quantity(miss / (float(strike.to("degC").magnitude) - TAP_C), "dimensionless") * plan.mash_water(batch.recipe, turn.state.kit)
        turn.say(f"Over {shown}: wait, or stir in about {wording.volume(cold, turn.state.units)} cold water before the grain.")
    elif miss > -1:
        close = "" if shown == wording.temperature(temperature, turn.state.units) else "Near enough to "
        turn.say(f"{close}{shown}{'' if close else ' it is'}: hob off, grain in.")
    else:
        turn.say(f"Heat on to {shown}.")


def chill(turn: Turn, batch: Batch) -> None:
    """When the wort will be cool enough, from the temperatures sent so far; the bath is assumed at 15 degC."""
    sent = [each for each in batch.readings if each.kind == "temperature" and each.stage == "chill"]
    pitching, bath = quantity(20.0, "degC"), quantity(15.0, "degC")
    if not sent:
        # The reading was told of another stage.
        return
    if float(sent[-1].best.to("degC").magnitude) <= 22.0:
        turn.say('Cool enough to pitch. Say "chilled".')
        return
    curve = [(quantity((each.at - sent[0].at).total_seconds() / 60, "minute"), each.best) for each in sent]
    if len(curve) < 2:
        turn.say("Send another temperature in a few minutes and I say when it is cool.")
        return
    try:
        minutes = float(forecast(curve, bath, pitching).time_to_target.to("minute").magnitude)
    except OutOfRange:
        return
    turn.say(f"About {wording.duration(60 * minutes)} more to {wording.temperature(pitching, turn.state.units)}.")
    turn.working = (
        f"Newton's law of cooling through {len(curve)} temperatures, bath at "
        f"{wording.temperature(bath, turn.state.units)} (assumed)."
    )


HANDLERS: Handlers = {"reading": record}
