"""What something did to the beer: whether water makes it weaker, and whether it is ruined."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.units import quantity
from conversations.intents import Intent
from conversations.session import brew_questions, corrections, course, plan, readings, to_come, wording
from conversations.session.course import Course
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_FEW_LITRES = 0.15
"""Litres by which nobody tastes a difference, and nobody reads a stick."""


def thinner(turn: Turn, intent: Intent) -> None:
    """ "does the extra water make it weaker", "what does that do to the strength": by the readings, else by the water that was told."""
    batch, kit = turn.batch, turn.state.kit
    if batch is None:
        return
    if not batch.recipe.grains:
        turn.say("More water for the same grain makes it thinner. Tell me grain and litres, and I say by how much.")
        return
    here = course.position(batch, kit, turn.now) if batch.stage in course.ON_COURSE else None
    try:
        wanted = course.goal(batch, kit)
        if here is None:
            _by_the_plan(turn, batch, wanted, strength="of" in intent.slots)
            return
        then = course.course(batch, kit, here, turn.now, water_l=course.planned_water(batch, kit, here))
    except OutOfRange:
        turn.say("That does not work out with these readings. Send the volume and the gravity again.")
        return
    off = then.original - wanted.original
    verdict = "Weaker than planned" if off < -course.GRAVITY_OFF else "Stronger than planned" if off > course.GRAVITY_OFF else "About as strong as planned"
    turn.say(f"{verdict}: heading for {corrections.ends(turn, then)}.", f"Planned: {corrections.ends(turn, wanted)}.")
    turn.working = "The extract stays the same; water and steam only change how much it is spread over."


def _by_the_plan(turn: Turn, batch: Batch, wanted: Course, *, strength: bool) -> None:
    """Before volume and gravity are known: the water in the mash against what is wanted before the boil."""
    kit = turn.state.kit
    target = plan.litres(plan.pre_boil_volume(batch.recipe, kit))
    planned = f"{wording.gravity(quantity(wanted.original, 'dimensionless'))}, {wanted.alcohol:.1f} %"
    rule = f"It stays at the planned {planned} if you come to {wording.litres(turn.state.units, target)} before the boil"
    if batch.mash_water is None or batch.stage not in ("mash", "drain"):
        turn.say(f"{rule}; more water than that makes it weaker.")
        return
    rinse = batch.recipe.rinse_water.in_unit("litre") if batch.recipe.rinse_water else 0.0
    kept = plan.absorption_per_kg(kit) * float(plan.grain_mass(batch.recipe).to("kilogram").magnitude)
    over = batch.mash_water.in_unit("litre") + rinse - kept - target
    if over <= _FEW_LITRES:
        less = f" {wording.litres(turn.state.units, -over)} of top-up are still missing." if over < -_FEW_LITRES else ""
        turn.say(f"{'' if strength else 'No. '}{rule}.{less}")
        return
    after = plan.litres(plan.after_boil_volume(batch.recipe, kit))
    thin = 1 + (wanted.original - 1) * after / (after + over)
    recipe = batch.recipe.model_copy(update={"original_gravity": thin})
    then = course.goal(batch.model_copy(update={"recipe": recipe}), kit)
    turn.say(
        f"A little weaker: about {wording.litres(turn.state.units, over)} more than planned, {wording.gravity(quantity(thin, 'dimensionless'))} and {then.alcohol:.1f} % instead of {planned}.",
        f"It boils off in about {wording.duration(3600 * over / kit.boil_off.in_unit('litre / hour'))} more, or leave it: more beer, a little weaker.",
    )


def ruined(turn: Turn, intent: Intent) -> None:
    """ "did I ruin it": hardly ever; then what was told last is judged."""
    batch, rows = turn.batch, to_come.table()["ruined"]
    if batch is None:
        return
    if turn.state.about:
        turn.say(*turn.state.about.splitlines())
        turn.working, turn.about = turn.state.why, turn.state.about
        return
    stage = "drain" if batch.stage == "top_up" else batch.stage
    turn.say(rows.get(stage, rows["cold"]))
    last = turn.state.last
    if last is not None and readings.SLOT.get(last.name) and batch.readings:
        brew_questions.judge(turn, Intent(name="ask.judge", text="is that ok"))
    else:
        turn.say(rows["ask"])


def left_at_end(turn: Turn, intent: Intent) -> None:
    """ "how much will be left at this rate": what still boils off, what stays in the pot and what comes into the fermenter."""
    batch, kit = turn.batch, turn.state.kit
    brew_questions.boil_off(turn, intent)
    if batch is None:
        return
    here = course.position(batch, kit, turn.now) if batch.stage in course.ON_COURSE and batch.recipe.grains else None
    if here is not None and here.minutes_left > 0:
        over = here.volume_l - here.rate_l_h * here.minutes_left / 60 - kit.dead_space.in_unit("litre")
        turn.say(f"About {wording.litres(turn.state.units, max(0.0, over))} of it come into the fermenter.")
    elif here is None:
        turn.say(f"{wording.volume(plan.batch_volume(batch.recipe), turn.state.units)} of it are planned into the fermenter.")


HANDLERS: Handlers = {"ask.thinner": thinner, "ask.ruined": ruined, "ask.left_at_end": left_at_end}
