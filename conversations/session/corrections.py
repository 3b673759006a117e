"""Putting the day right: every reading against the plan, the ways on with what each does, and re-planning by choice."""

from __future__ import annotations

from typing import Any

from calc.errors import OutOfRange
from calc.heat import time_to_heat, water_to_correct_mash
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured
from conversations.session import course, fit, joined_since, plan, timers, wording
from conversations.session.course import Course, Position, Way
from conversations.session.fit import hot
from conversations.session.kit_values import capacity, hob
from conversations.session.rests import rest_at
from conversations.session.rim import on_the_stick
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn

WATCHED = ("drain", "top_up", "boil", "transfer", "pitch")
"""Stages at which a reading is compared; later ones have their own judgement."""
RATE_OFF = 0.2
"""Share by which the boil-off must differ from the kit's before it is worth a word."""
HEATING_SHARE = 1.0


def _gravity(value: float) -> str:
    return wording.gravity(quantity(value, "dimensionless"))


def ends(turn: Turn, where: Course) -> str:
    """Volume, gravity, strength and bitterness in a few words."""
    return f"{wording.litres(turn.state.units, where.volume_l)} at {_gravity(where.original)}, {where.alcohol:.1f} %, {where.bitterness:.0f} IBU"


def after_volume(turn: Turn, volume: Quantity) -> None:
    """A volume was read: the whole course where gravity is known too, else the litres that are missing."""
    batch = turn.batch
    if batch is None or batch.stage not in WATCHED:
        return
    if not show_course(turn, batch) and batch.stage in course.BEFORE_BOIL and batch.recipe.volume is not None:
        _missing_water(turn, batch)


def after_gravity(turn: Turn) -> None:
    """A gravity was read: the course, or what is needed for one."""
    batch = turn.batch
    if batch is None or batch.stage not in WATCHED or not batch.recipe.grains:
        return
    if course.volume_is_stale(batch) or not show_course(turn, batch):
        turn.say("Send the volume or the stick too, and I say where it is heading.")


def _missing_water(turn: Turn, batch: Batch) -> None:
    reading = next((each for each in reversed(batch.readings) if joined_since.cold_litres(each) is not None), None)
    if reading is None:
        return
    first = len(turn.lines)
    target = plan.litres(plan.pre_boil_volume(batch.recipe, turn.state.kit))
    gap = target - (joined_since.cold_litres(reading) or 0.0)
    if gap > 0.15:
        turn.say(f"Add {wording.litres(turn.state.units, gap)} water to reach {wording.litres(turn.state.units, target)} (counted cold).")
    elif gap < -0.15:
        turn.say(f"{wording.litres(turn.state.units, -gap)} over plan: boil longer or leave it.")
    else:
        turn.say("On plan.")
    # A gravity of the same message says more: it takes the place of this.
    turn.course_lines = turn.lines[first:]


def show_course(turn: Turn, batch: Batch) -> bool:
    """Say where the brew is heading and what can be done; False where volume and gravity are not both known."""
    kit = turn.state.kit
    here = course.position(batch, kit, turn.now) if batch.recipe.grains else None
    if here is None:
        return False
    try:
        found = course.ways(batch, kit, here, turn.now)
        wanted = course.goal(batch, kit)
    except OutOfRange:
        return False
    turn.forget_course()
    first = len(turn.lines)
    _boil_off(turn, batch, here)
    leads_to = found[-1].course
    off = course.off_course(leads_to, wanted)
    planned = course.planned_water(batch, kit, here)
    top = f" with {wording.litres(turn.state.units, planned)} of top-up" if planned > 0.15 else ""
    if off is None:
        turn.say(f"On plan{top}: {ends(turn, leads_to)}.")
    elif len(found) == 1:
        turn.say(f"Heading for {ends(turn, leads_to)}{top}; planned {wording.litres(turn.state.units, wanted.volume_l)}. Leave it.")
    else:
        turn.say(f"Heading off plan, {wording.litres(turn.state.units, wanted.volume_l)} at {_gravity(wanted.original)}. You can:")
        for way in found:
            turn.say(f"{way_label(turn, way, planned)}: {ends(turn, way.course)}.")
            turn.offer(way_choice(turn, way, planned))
            turn.course_choices.append(turn.choices[-1])
    turn.course_lines = turn.lines[first:]
    turn.working = (
        f"{wording.litres(turn.state.units, here.volume_l)} (counted cold) at {_gravity(here.gravity)} hold all the extract; "
        f"{here.minutes_left:.0f} min of boil at {wording.litres(turn.state.units, here.rate_l_h)} an hour; "
        f"{wording.litres(turn.state.units, kit.dead_space.in_unit('litre'))} stays with the trub. Water and steam change the volume, not the extract."
    )
    return True


def _boil_off(turn: Turn, batch: Batch, here: Position) -> None:
    """The boil-off of today where it is not the kit's."""
    usual = turn.state.kit.boil_off.in_unit("litre / hour")
    today = course.measured_boil_off(batch, turn.state.kit)
    if today is None or batch.stage != "boil" or abs(today - usual) < max(0.2, RATE_OFF * usual):
        return
    what = "turn the hob down a little" if today > usual else "turn the hob up, lid off"
    turn.say(f"It boils off {wording.litres(turn.state.units, today)} an hour, not {wording.litres(turn.state.units, usual)}: {what}.")


def way_label(turn: Turn, way: Way, planned: float) -> str:
    """What a way on is, in a few words."""
    match way.kind:
        case "water":
            return (
                f"Top up with {wording.litres(turn.state.units, way.amount)}"
                if planned > 0.15
                else f"Dilute with {wording.litres(turn.state.units, way.amount)}"
            )
        case "longer":
            return f"Boil {way.amount:.0f} min longer"
        case "longer_dry":
            return f"No top-up, boil {way.amount:.0f} min longer"
        case "extract":
            return f"Add {wording.mass(quantity(way.amount, 'gram'), turn.state.units)} dried malt extract"
    return f"Top up with {wording.litres(turn.state.units, planned)} as planned" if planned > 0.15 else "Leave it"


def way_choice(turn: Turn, way: Way, planned: float) -> tuple[str, str]:
    """The button of a way on, and the message that it stands for."""
    units = turn.state.units
    match way.kind:
        case "water":
            return f"water {wording.litres(turn.state.units, way.amount)}", f"top up with {wording.litres(turn.state.units, way.amount)}"
        case "longer":
            return f"boil {way.amount:.0f} min longer", f"boil {way.amount:.0f} minutes longer"
        case "longer_dry":
            return f"no top-up, {way.amount:.0f} min longer", f"no top-up, boil {way.amount:.0f} minutes longer"
        case "extract":
            grams = wording.mass(quantity(way.amount, "gram"), units)
            return f"extract {grams}", f"add {grams} dried malt extract"
    if planned > 0.15:
        return "as planned", f"top up with {wording.litres(turn.state.units, planned)}"
    return "leave it", "leave it"


def _replan(turn: Turn, batch: Batch, here: Position, leads_to: Course, label: str, **fields: Any) -> None:
    """From now on this is the plan: later readings and stages are held against it."""
    share = course.batch_efficiency(batch, here)
    recipe = batch.recipe.model_copy(
        update={
            "volume": Measured(value=round(leads_to.volume_l, 3), unit="litre"),
            "original_gravity": round(leads_to.original, 4),
            "efficiency": share if share is not None else batch.recipe.efficiency,
            **fields,
        }
    )
    turn.record("recipe_told", label=label, recipe=recipe.model_dump(mode="json"))


def _on_the_way(turn: Turn) -> Batch | None:
    batch = turn.batch
    if batch is None or batch.stage not in course.ON_COURSE:
        turn.say("There is no wort to put right now.")
        return None
    return batch


def _put(turn: Turn, batch: Batch, kind: str, value: Measured, label: str, of: str = "") -> None:
    """Write down that water or extract goes in; the diary shows it beside the readings."""
    reading = Reading(id=turn.number(), kind=kind, value=value, stage=batch.stage, at=turn.now, of=of)
    turn.record("reading", label=label, reading=reading.model_dump(mode="json"))


def water(turn: Turn, intent: Intent) -> None:
    """ "top up with 1.2 litres": the litres go in, and the rest of the day is planned from there."""
    batch = _on_the_way(turn)
    if batch is None:
        return
    value = Measured.model_validate(intent.slots["volume"])
    litres = value.in_unit("litre")
    if not 0 < litres <= 50:
        turn.say(f'{value.value:g} {value.unit} of water? Send it like "top up with 1.2 litres".')
        return
    here = course.position(batch, turn.state.kit, turn.now)
    _put(turn, batch, "water", value, f"{wording.litres(turn.state.units, litres)} water")
    clean = " Boil and cool it first." if batch.stage in ("chill", "transfer", "pitch") else ""
    if here is None:
        turn.say(f"{wording.litres(turn.state.units, litres)} water in.{clean}", "Send the stick or volume, and a gravity.")
        turn.offer(("undo", "undo"))
        return
    then = course.course(batch, turn.state.kit, here, turn.now, water_l=litres)
    _replan(turn, batch, here, then, "water")
    turn.say(
        f"{wording.litres(turn.state.units, litres)} water in: {wording.litres(turn.state.units, here.volume_l + litres)} now{_stick(turn, batch, here.volume_l + litres)}.{clean}"
    )
    turn.say(f"Heading for {ends(turn, then)}.")
    turn.offer(("next", "next"), ("undo", "undo"))


def _stick(turn: Turn, batch: Batch, litres: float) -> str:
    if batch.stage in ("transfer", "pitch"):
        return ""
    shown = hot(litres, joined_since.READ_AT_C.get(batch.stage, 20.0))
    try:
        depth = on_the_stick(shown, turn.state.kit, turn.state.units)
    except OutOfRange:
        return ""
    return f", {depth} while hot" if depth.endswith("stick") else f", {depth}"


def longer(turn: Turn, intent: Intent) -> None:
    """ "boil 12 minutes longer": flame-out and the hops that wait for it move; what is in gets the extra time."""
    batch = _on_the_way(turn)
    if batch is None:
        return
    minutes = float(intent.slots["duration_s"]) / 60
    if batch.stage not in ("drain", "top_up", "boil"):
        turn.say('The boil is over. "dilute with 1 litre" and "add 100 g dried malt extract" still work.')
        return
    if not 0 < minutes <= 180:
        turn.say("Between 1 and 180 minutes, please.")
        return
    here = course.position(batch, turn.state.kit, turn.now)
    running = batch.boil_started is not None and batch.stage == "boil"
    total = batch.recipe.boil_minutes + minutes
    # The clock of a running boil counts its own minutes on; see timers.change.
    planned = batch.recipe.boil_minutes if running else total
    hops = tuple(
        hop.model_copy(update={"boil_minutes": hop.boil_minutes + minutes})
        if hop.added_at and hop.boil_minutes > 0
        else hop
        for hop in batch.recipe.hops
    )
    if here is None:
        recipe = batch.recipe.model_copy(update={"boil_minutes": planned, "hops": hops})
        turn.record("recipe_told", label="longer boil", recipe=recipe.model_dump(mode="json"))
    else:
        added = 0.0 if intent.slots.get("dry") else course.planned_water(batch, turn.state.kit, here)
        then = course.course(batch, turn.state.kit, here, turn.now, water_l=added, longer=minutes)
        _replan(turn, batch, here, then, "longer boil", boil_minutes=planned, hops=hops)
    if running:
        timers.change(turn, Intent(name="timer.extend", slots={"duration_s": 60 * minutes, "name": "boil"}))
    turn.say(f"Boil {total:.0f} min in all; the hops to come move with the end.")
    if here is not None:
        top = f", with the {wording.litres(turn.state.units, added)} of top-up" if added > 0.15 else ""
        turn.say(f"Heading for {ends(turn, then)}{top}.")
    turn.offer(("undo", "undo"))


def extract(turn: Turn, intent: Intent) -> None:
    """ "add 120 g dried malt extract"; and a sugar by its name, which many have in the cupboard instead."""
    batch = _on_the_way(turn)
    if batch is None:
        return
    value = Measured.model_validate(intent.slots["mass"])
    grams = value.in_unit("gram")
    if not 0 < grams <= 10_000:
        turn.say(f'{value.value:g} {value.unit}? Send it like "add 120 g dried malt extract".')
        return
    here = course.position(batch, turn.state.kit, turn.now)
    name = str(intent.slots.get("name", joined_since.MALT_EXTRACT))
    _put(turn, batch, "extract", value, name, of="" if name == joined_since.MALT_EXTRACT else name)
    shown = wording.mass(value.quantity, turn.state.units)
    how = (
        "dissolved in a little boiling water and cooled"
        if course.in_fermenter(batch)
        else "stirred in with the hob off, so that it does not burn or foam over"
    )
    turn.say(f"{shown} {name}, {how}.")
    if here is not None:
        added = course.planned_water(batch, turn.state.kit, here)
        then = course.course(batch, turn.state.kit, here, turn.now, water_l=added, extract_g=grams, extract=name)
        _replan(turn, batch, here, then, name)
        turn.say(f"Heading for {ends(turn, then)}.")
    turn.offer(("undo", "undo"))


def leave(turn: Turn, intent: Intent) -> None:
    """ "leave it": the course as it is becomes the plan."""
    batch = turn.batch
    here = course.position(batch, turn.state.kit, turn.now) if batch is not None and batch.recipe.grains else None
    if batch is None or here is None or batch.stage not in course.ON_COURSE:
        turn.say("All right, left as it is.")
        return
    water_l = course.planned_water(batch, turn.state.kit, here)
    then = course.course(batch, turn.state.kit, here, turn.now, water_l=water_l)
    _replan(turn, batch, here, then, "left as it is")
    # Water that is planned is in that figure: somebody who leaves it out has to know.
    left = f"Left as planned, with {wording.volume(quantity(water_l, 'litre'), turn.state.units)} of top-up" if water_l > 0.15 else "Left as it is"
    turn.say(f"{left}: heading for {ends(turn, then)}. The rest of the day is planned from that.")
    turn.offer(("next", "next"), ("undo", "undo"))


def mash(turn: Turn, temperature: Quantity, wanted: Quantity | None = None) -> None:
    """What boiling or cold water, or gentle heat, brings the mash back to its temperature, or to the one that is wanted."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        return
    since = (turn.now - batch.entered.get("mash", turn.now)).total_seconds() / 60
    target = wanted if wanted is not None else rest_at(batch.recipe, turn.state.kit, since).temperature.quantity
    miss = float(temperature.to("degC").magnitude - target.to("degC").magnitude)
    if abs(miss) <= 1.0:
        turn.say(f"On target ({wording.temperature(target, units)}). Lid on." if wanted is None else f"None: it is at {wording.temperature(temperature, units)} by your last reading, near enough. Lid on.")
        return
    if not batch.recipe.grains:
        turn.say(f"Target is {wording.temperature(target, units)}. Tell me the grain and I work out the water.")
        return
    cold = miss > 0
    off = f"{abs(miss):.1f} °C" if units == "metric" else f"{abs(miss) * 1.8:.1f} °F"
    added = quantity(15.0 if cold else 99.0, "degC")
    in_mash = batch.mash_water.quantity if batch.mash_water is not None else plan.mash_water(batch.recipe, turn.state.kit)
    grain, kit = plan.grain_mass(batch.recipe), turn.state.kit
    pot: dict[str, Any] = {"pot_mass": kit.pot_mass.quantity, "pot_material": kit.pot_material}
    try:
        litres = water_to_correct_mash(in_mash, grain, temperature, target, added, **pot)
    except OutOfRange:
        turn.say("Too far off for water alone: warm or cool the whole pot, stirring.")
        return
    kind = f"cold water ({wording.temperature(added, units)})" if cold else "boiling water"
    shown = f"{wording.volume(litres, units)} {kind}"
    brim = capacity(kit)
    full = None if brim is None else plan.litres(in_mash) + fit.GRAIN_L_PER_KG * float(grain.to("kilogram").magnitude)
    if brim is not None and full is not None and full + plan.litres(litres) > plan.litres(brim) * fit.MASH_ROOM:
        # Hot mash over the rim scalds: never to be told.
        holds = f"the pot holds {wording.volume(brim, units)} and grain and water take about {wording.volume(quantity(full, 'litre'), units)}"
        turn.say(f"Do not add water: {shown} would be needed for {wording.temperature(target, units)}, and does not fit ({holds}).")
        if not cold:
            turn.say("Take out a few ladles of the thin wort instead, bring them to the boil in another pan and stir them back in: nothing is added that way.")
    else:
        turn.say(f"Stir in {shown} for {wording.temperature(target, units)}. Measure again.")
    if cold:
        turn.say("Or lid off and stir until it is there. Left too hot, the beer stays fuller and a little weaker.")
    else:
        minutes = float(
            time_to_heat(in_mash, temperature, target, hob(kit), HEATING_SHARE, grain, **pot).to("minute").magnitude
        )
        turn.say(
            f"Or heat gently, stirring all the time: about {wording.duration(60 * max(1.0, minutes))}. Left cool, it ends drier."
        )
    turn.working = (
        f"Heat balance of {wording.volume(in_mash, units)} water, {wording.mass(grain, units)} grain and the pot, {off} off. "
        f"The water joins the boil: {wording.volume(litres, units)} less of top-up, or more to boil off."
    )


HANDLERS: Handlers = {
    "steer.longer": longer,
    "steer.extract": extract,
    "steer.leave": leave,
}
