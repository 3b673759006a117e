"""How a batch did against its plan, in words: mash, volume and gravity as they were wanted and as they were read."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.units import quantity
from conversations.session import course, plan, wording
from conversations.session.learned import kept, learn
from conversations.session.rests import rest_at
from conversations.session.state import Batch, Kit
from conversations.session.turn import Turn

_MADE = ("transfer", "pitch")


def lines(turn: Turn, batch: Batch) -> list[str]:
    """What was wanted and what came; empty where nothing was read that can be compared."""
    try:
        return [line for line in (_mash(turn, batch), _wort(turn, batch)) if line]
    except OutOfRange:
        return []


def _kit_then(turn: Turn, batch: Batch) -> Kit:
    """The kit as it was planned with: without what this batch, or one after it, taught."""
    kit = next((each for each in (turn.state.kit, *turn.state.kits) if each.name == batch.kit), turn.state.kit)
    known = learn([each for each in turn.state.batches if each.id < batch.id], kit)
    fields = {field: kept(field, known[field].estimate.value) if field in known else getattr(Kit(), field) for field in kit.learned}
    return kit.model_copy(update=fields)


def _mash(turn: Turn, batch: Batch) -> str:
    read = [each for each in batch.readings if each.kind == "temperature" and each.stage == "mash"]
    if not read or not batch.recipe.grains:
        return ""
    units = turn.state.units
    since = (read[0].at - batch.entered.get("mash", read[0].at)).total_seconds() / 60
    wanted = rest_at(batch.recipe, turn.state.kit, since).temperature.quantity
    first, last = (wording.temperature(each.best, units) for each in (read[0], read[-1]))
    came = f"{first}, {last} at the last reading" if len(read) > 1 and first != last and not batch.recipe.rests else first
    return f"Mash: {wording.temperature(wanted, units)} planned, {came} read."


def _wort(turn: Turn, batch: Batch) -> str:
    if not batch.recipe.grains:
        return ""
    units, kit = turn.state.units, _kit_then(turn, batch)
    wanted = course.goal(batch, kit)
    planned = f"{wording.litres(units, wanted.volume_l)} at {wording.gravity(quantity(wanted.original, 'dimensionless'))} planned"
    here = course.position(batch, turn.state.kit, turn.now) if batch.stage in course.ON_COURSE else None
    if here is not None and batch.stage not in _MADE:
        then = course.course(batch, turn.state.kit, here, turn.now, water_l=course.planned_water(batch, turn.state.kit, here))
        return f"Wort: {planned}, heading for {wording.litres(units, then.volume_l)} at {wording.gravity(quantity(then.original, 'dimensionless'))}."
    gravities = plan.gravities(batch, *_MADE) or plan.gravities(batch, "chill")
    litres = [each.value if each.kind == "volume" else each.corrected for each in batch.readings if each.stage in _MADE and each.kind in ("volume", "depth")]
    volume = wording.volume(litres[-1].quantity, units) if litres and litres[-1] is not None else ""
    came = " at ".join(each for each in (volume, wording.gravity(gravities[-1]) if gravities else "") if each)
    return f"Wort: {planned}, {came} read." if came else ""
