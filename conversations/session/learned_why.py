"""Why a number is counted with: the chain behind a gravity or a strength, and where a number of the kitchen comes from."""

from __future__ import annotations

from calc.alcohol import alcohol_by_volume, gravity_at_attenuation
from calc.extract import potential_extract
from calc.units import Quantity, quantity
from conversations.intents import Intent
from conversations.session import plan, wording
from conversations.session.kit_values import hob, origin
from conversations.session.learned import UNITS, learn, line, shown, usual
from conversations.session.predictions import attenuation
from conversations.session.readings import measured
from conversations.session.state import Batch, Kit
from conversations.session.turn import Handlers, Turn

_TELL = {
    "boil_off": "boil off 1.8 litres per hour",
    "absorption": "",
    "efficiency": "efficiency 70 percent",
    "hob_power": "it takes 25 minutes to boil 8 litres",
    "cooling": "",
    "dead_space": "half a litre stays in the pot",
    "days_to_stable": "",
}
"""How a person's own number is told; empty where only batches teach it."""


def chain(turn: Turn, intent: Intent) -> None:
    """ "why did you think 1.048?": the chain from the malt to the gravity, and where each link comes from."""
    batch, kit, units = turn.batch, turn.state.kit, turn.state.units
    if batch is None or not batch.recipe.grains:
        turn.say("I need a batch with grain to say that of.")
        return
    grains = [(name, mass.quantity) for name, mass in batch.recipe.grains]
    share = plan.efficiency(kit)
    volume, where = _volume_meant(turn, batch, intent)
    gravity = plan.gravity_at(volume, batch.recipe, kit)
    held = float(potential_extract(grains).value.to("kilogram").magnitude)
    malt = ", ".join(f"{wording.mass(mass.quantity, units)} {name}" for name, mass in batch.recipe.grains)
    found = learn(turn.state.batches, kit).get("efficiency")
    if batch.recipe.efficiency is not None:
        # Re-planned on the day: by what this mash gave.
        share, source = batch.recipe.efficiency, "measured in this mash"
    elif "efficiency" in kit.told:
        source = "told by you"
    elif "efficiency" in kit.learned and found is not None:
        one = found.estimate
        source = f"learned from {one.count} batch{'es' if one.count != 1 else ''}, ± {100 * one.spread:.1f}"
    else:
        source = "assumed, usual"
    turn.say(
        f"{malt}: {wording.mass(quantity(held, 'kilogram'), units)} of extract if all of it came out.",
        f"{100 * share:.1f} % reaches the pot ({source}): {wording.mass(quantity(held * share, 'kilogram'), units)}.",
        f"In {wording.volume(volume, units)}{where} that is {wording.gravity(gravity)}.",
    )
    if found is not None:
        turn.working = "Efficiency by batch: " + ", ".join(
            f"{name} {100 * value:.1f} %" for name, value in zip(found.names, found.values, strict=True)
        )


def _volume_meant(turn: Turn, batch: Batch, intent: Intent) -> tuple[Quantity, str]:
    """The volume of the day at which the asked gravity was expected, and what it is; the pot after the boil where none is near."""
    recipe, kit = batch.recipe, turn.state.kit
    after = plan.after_boil_volume(recipe, kit), ", in the pot after the boil,"
    if "gravity" not in intent.slots:
        return after
    asked = measured(intent.slots["gravity"]).value
    volumes = [after, (plan.pre_boil_volume(recipe, kit), ", in the pot before the boil,"), (plan.batch_volume(recipe), ", in the fermenter,")]
    if (now := plan.volume_now(batch)) is not None:
        volumes.append((now, ", as measured,"))
    return min(volumes, key=lambda each: abs(float(plan.gravity_at(each[0], recipe, kit).magnitude) - asked))


def strength(turn: Turn, intent: Intent) -> None:
    """ "why do you think it will be 4 %": from the gravity at the start to that at the end."""
    batch = turn.batch
    if batch is None or not batch.recipe.grains:
        turn.say("I need a batch with grain to say that of.")
        return
    original = plan.gravity_now(batch) or plan.original_gravity(batch.recipe, turn.state.kit)
    low, middle, high = (100 * each for each in attenuation(batch.recipe))
    final = gravity_at_attenuation(original, quantity(middle, "percent"))
    alcohol = float(alcohol_by_volume(original, final).to("percent").magnitude)
    turn.say(
        f"It starts at {wording.gravity(original)}; {batch.recipe.yeast or 'ale yeast'} ferments {low:.0f} to {high:.0f} % of that, {middle:.0f} as usual.",
        f"So it ends near {wording.gravity(final)}: {alcohol:.1f} % alcohol.",
        f'"why {wording.gravity(original)}" gives the chain behind the first.',
    )


def value(turn: Turn, intent: Intent) -> None:
    """ "how do you know my boil-off": assumed, told, or learned from which batches."""
    field, kit = str(intent.slots["field"]), turn.state.kit
    known = origin(kit, field)
    now = shown(field, _now(kit, field), turn.state)
    found = learn(turn.state.batches, kit).get(field)
    tell = f' Your own: "{_TELL[field]}".' if _TELL[field] else ""
    if known == "told":
        turn.say(f"{now}: told by you.", line(turn, found) if found is not None else "")
    elif known == "learned" and found is not None:
        turn.say(
            line(turn, found),
            f"By batch: {', '.join(f'{name} {shown(field, each, turn.state)}' for name, each in zip(found.names[-4:], found.values[-4:], strict=True))}.",
            f"Usual: {shown(field, usual()[field]['mean'], turn.state)}; the more batches, the less that counts.",
        )
    else:
        turn.say(f"{now}: assumed, as is usual in kitchens. Your batches will say.{tell}")


def _now(kit: Kit, field: str) -> float:
    if field == "efficiency":
        return plan.efficiency(kit)
    if field == "absorption":
        return plan.absorption_per_kg(kit)
    if field == "hob_power":
        return float(hob(kit).to("watt").magnitude)
    if field == "days_to_stable":
        return kit.days_to_stable if kit.days_to_stable is not None else usual()[field]["mean"]
    return float(getattr(kit, field).in_unit(UNITS[field]))


def forget(turn: Turn, intent: Intent) -> None:
    """ "forget what you learned": nothing is taken over or lost; a number of one's own is what counts instead."""
    found = learn(turn.state.batches, turn.state.kit)
    turn.say("Nothing is changed: what I learn comes from your batches' readings, and moves with each batch.")
    if found:
        turn.say(*(line(turn, found[field]) for field in ("boil_off", "absorption", "efficiency") if field in found))
    turn.say('Tell me your own number and it counts instead: "boil off 1.5 litres per hour", "efficiency 70 percent".')


HANDLERS: Handlers = {"learned.why": chain, "learned.strength": strength, "learned.value": value, "learned.forget": forget}
