"""What this kitchen's batches taught: kept in the kit, used by the next plan, shown with spread and count."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from statistics import median
from typing import Any, NamedTuple

from calc.errors import OutOfRange
from calc.learning import Estimate, Prior, estimate
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import plan, wording
from conversations.session.observations import Seen, seen_in
from conversations.session.state import Batch, Kit, State
from conversations.session.turn import Handlers, Turn

UNITS = {"boil_off": "litre / hour", "absorption": "litre", "hob_power": "watt", "cooling": "minute", "dead_space": "litre"}
"""Fields of the kit that carry a unit; the others are plain numbers."""
_ROUND = {"hob_power": 0, "cooling": 1, "days_to_stable": 1}
_LEARNING_STAGES = ("ferment", "bottle", "condition")
_CHANGED = 0.02


class Learned(NamedTuple):
    """One number of a kit: what is known of it, and each batch's own value in their order."""

    field: str
    estimate: Estimate
    values: tuple[float, ...]
    names: tuple[str, ...]


@lru_cache(maxsize=1)
def usual() -> dict[str, dict[str, float]]:
    """The page learning.toml."""
    page = files("conversations.session").joinpath("learning.toml")
    return tomllib.loads(page.read_text(encoding="utf-8"))


def learn(batches: Iterable[Batch], kit: Kit) -> dict[str, Learned]:
    """Everything that the batches brewed with a kit say of it; fields that nothing was seen of are left out."""
    seen: dict[str, list[tuple[str, Seen]]] = {}
    for batch in batches:
        if batch.kit != kit.name or batch.stage not in _LEARNING_STAGES:
            continue
        for field, one in seen_in(batch, kit).items():
            page = usual()[field]
            squeezed = kit.squeezes if batch.squeezed is None else batch.squeezed
            if field == "absorption" and squeezed != kit.squeezes:
                continue
            if page["low"] <= one.value <= page["high"]:
                seen.setdefault(field, []).append((batch.name, one))
    found = {}
    for field, rows in seen.items():
        page = usual()["absorption_dripped" if field == "absorption" and not kit.squeezes else field]
        size = max(abs(median(one.value for _, one in rows)), 0.2 * page["mean"])
        prior = Prior(page["mean"], page["spread"], page["scatter"] * size)
        what = estimate([(one.value, one.uncertainty) for _, one in rows], prior)
        found[field] = Learned(field, what, tuple(one.value for _, one in rows), tuple(name for name, _ in rows))
    return found


def kept(field: str, value: float) -> Any:
    """A learned number as the kit keeps it."""
    value = round(value, _ROUND.get(field, 4))
    if field == "dead_space":
        value = max(0.0, value)
    return Measured(value=value, unit=UNITS[field]) if field in UNITS else value


def settle(turn: Turn, before: Iterable[Batch]) -> None:
    """After a message: note the water that the mash began with, and learn from a batch that is through a stage."""
    earlier = {batch.id: batch for batch in before}
    for batch in turn.state.batches:
        old = earlier.get(batch.id)
        if old is None or old.stage == batch.stage:
            continue
        if old.stage in ("plan", "prepare", "heat") and batch.stage == "mash" and batch.recipe.grains:
            _note_water(turn, batch)
        if batch.stage in _LEARNING_STAGES:
            _take_over(turn, batch.kit)


def _note_water(turn: Turn, batch: Batch) -> None:
    """The strike water as measured, else as planned: a later plan must not change what was poured then."""
    measured_l = None
    for reading in batch.readings:
        value = reading.value if reading.kind == "volume" else reading.corrected
        if reading.stage == "heat" and reading.kind in ("volume", "depth") and value is not None:
            measured_l = value.in_unit("litre")
    if measured_l is None:
        try:
            measured_l = plan.litres(plan.mash_water(batch.recipe, turn.state.kit))
        except OutOfRange:
            return
    water = Measured(value=round(measured_l, 3), unit="litre")
    turn.record("mash_water", batch=batch.id, label="grain in", water=water.model_dump(mode="json"))


def _take_over(turn: Turn, name: str) -> None:
    kit = next((each for each in (turn.state.kit, *turn.state.kits) if each.name == name), None)
    if kit is None:
        return
    fields = {
        field: kept(field, found.estimate.value)
        for field, found in learn(turn.state.batches, kit).items()
        if field not in kit.told
    }
    if fields:
        plain = {key: value.model_dump(mode="json") if isinstance(value, Measured) else value for key, value in fields.items()}
        turn.record("kit_learned", label="what was learned", name=name, fields=plain)


def shown(field: str, value: float, state: State) -> str:
    """A number of the kitchen with its unit."""
    units = state.units
    if field == "boil_off":
        return f"{wording.volume(quantity(value, 'litre'), units)} an hour" if units != "metric" else f"{value:.2f} l an hour"
    if field == "absorption":
        return f"{value:.2f} l a kilo"
    if field == "efficiency":
        return f"{100 * value:.1f} %"
    if field == "hob_power":
        return f"{value / 1000:.2f} kW"
    if field == "cooling":
        return f"{value:.0f} min"
    if field == "dead_space":
        return wording.volume(quantity(value, "litre"), units)
    return f"{value:.0f} days"


_TITLES = {
    "boil_off": "Boil-off",
    "absorption": "Grain keeps",
    "efficiency": "Efficiency",
    "hob_power": "Hob",
    "cooling": "Cooling constant",
    "dead_space": "Left in the pot",
    "days_to_stable": "Pitch to stable",
}


def line(turn: Turn, found: Learned) -> str:
    """What was learned of one number, with its spread and how many batches it comes from."""
    what, state = found.estimate, turn.state
    spread = shown(found.field, what.spread, state).split(" ")[0]
    count = f"{what.count} batch{'es' if what.count != 1 else ''}"
    aside = f", {len(what.outliers)} set aside" if what.outliers else ""
    told = "; you told me otherwise" if found.field in state.kit.told else ""
    return f"{_TITLES[found.field]} {shown(found.field, what.value, state)}, ± {spread} ({count}{aside}{told})."


def show(turn: Turn, intent: Intent) -> None:
    """ "what have you learned": each number with its spread and how many batches it comes from."""
    found = learn(turn.state.batches, turn.state.kit)
    if not found:
        turn.say(
            _nothing_yet(turn),
            "Most helps: stick and gravity after draining, at the boil's start and end, and in the fermenter.",
        )
        return
    turn.say(*(line(turn, found[field]) for field in _TITLES if field in found))
    turn.working = "; ".join(
        f"{_TITLES[field].lower()}: "
        + ", ".join(f"{name} {shown(field, value, turn.state)}" for name, value in zip(one.names, one.values, strict=True))
        + f" (usual {shown(field, usual()[field]['mean'], turn.state)})"
        for field, one in found.items()
    )
    if any(field in turn.state.kit.told for field in found):
        turn.offer(("use learned values", "use what you learned"))


def _nothing_yet(turn: Turn) -> str:
    """That nothing is learned so far, why, and what is counted with until then."""
    kit = turn.state.kit
    running = any(not batch.closed and batch.kit == kit.name and batch.stage not in _LEARNING_STAGES for batch in turn.state.batches)
    when = "I learn from a batch once its yeast is in" if running else "I learn from the readings of each batch"
    counted = {"boil_off": kit.boil_off.in_unit(UNITS["boil_off"]), "absorption": plan.absorption_per_kg(kit), "efficiency": plan.efficiency(kit)}
    usual_ones = ", ".join(f"{_TITLES[field].lower()} {shown(field, value, turn.state)}" for field, value in counted.items() if field not in kit.told)
    until = f" Until then I count with what is usual: {usual_ones}." if usual_ones else ""
    where = f" with {kit.name}" if kit.name != Kit().name else ""
    return f"Nothing yet{where}: {when}.{until}"


def adopt(turn: Turn, intent: Intent) -> None:
    """ "use what you learned": told values give way to the batches' own."""
    kit = turn.state.kit
    found = learn(turn.state.batches, kit)
    if not found:
        turn.say("Nothing is learned yet.")
        return
    told = tuple(field for field in kit.told if field not in found)
    turn.record("kit_told", label="learned values", kit=kit.model_copy(update={"told": told}).model_dump(mode="json"))
    _take_over(turn, kit.name)
    turn.say(*(line(turn, found[field]) for field in list(_TITLES)[:3] if field in found))
    turn.say("The next plan counts with these.")


def squeezed(turn: Turn, intent: Intent) -> None:
    """Whether this batch's bag was squeezed: it changes what the grain keeps."""
    was = bool(intent.slots["squeezed"])
    if turn.batch is None:
        turn.say("No batch is running.")
        return
    turn.record("bag_squeezed", label="squeezed" if was else "not squeezed", squeezed=was)
    turn.say("Noted: squeezed." if was else "Noted: only dripped.")


HANDLERS: Handlers = {"learned.show": show, "learned.adopt": adopt, "done.squeezed": squeezed}
