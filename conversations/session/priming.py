"""Priming: how much sugar for the batch and for each bottle, and whether the bottles are fit for it."""

from __future__ import annotations

from datetime import timedelta

from calc.carbonation import (
    CO2_G_PER_L_VOLUME,
    from_volumes,
    in_volumes,
    priming_sugar,
    residual_co2,
    sugar_per_bottle,
    teaspoons,
    warmest_since,
)
from calc.pressure import check_bottle, co2_from_gravity
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured, UnitSystem
from conversations.session import plan, wording
from conversations.session.fermentation import page
from conversations.session.judgement import days_since, judge
from conversations.session.state import Batch, Bottles
from conversations.session.turn import Handlers, Turn
from conversations.understanding.bottles_asked import ENDS

NOT_YET = "Not yet: gravity is not proven steady. What is left to ferment comes on top."
MORE_THAN_BEER = 1.03
"""Bottles that hold more than this share of the beer will not all be full."""
MOST_CO2 = 19.9
"""As far as calc reckons, g/l: ten volumes, twice what the strongest bottle holds."""
ML_PER_US_FLUID_OUNCE = 29.5735
DEFAULT_SIZES: dict[str, list[float]] = {
    "metric": [500.0, 330.0],
    "imperial": [500.0, 330.0],
    "us": [22 * ML_PER_US_FLUID_OUNCE, 12 * ML_PER_US_FLUID_OUNCE],
}
DIED_DOWN = timedelta(days=2)
"""Where no forecast says when fermentation died down, temperatures from this long before the last gravity count."""


def litres_in(lots: tuple[Bottles, ...]) -> float:
    """What the bottles hold together."""
    return sum(lot.count * lot.size.in_unit("litre") for lot in lots)


def warmest(batch: Batch) -> tuple[Quantity, str]:
    """The warmest temperature since fermentation died down, and where it comes from."""
    if batch.priming.warmest is not None:
        return batch.priming.warmest.quantity, "as you said"
    judged = judge(batch)
    history = [
        (quantity(max(0.0, days_since(judged.pitched, each.at)), "day"), each.best)
        for each in batch.readings
        if each.kind == "temperature" and each.stage in ("ferment", "bottle") and each.at >= judged.pitched
    ]
    if not history:
        return quantity(page("bottling")["assumed_warmest_c"], "degC"), "assumed; send \"warmest 22 C\""
    end = judged.forecast.finished if judged.forecast is not None else None
    if end is None:
        last = judged.last.at if judged.last is not None else judged.pitched
        end = quantity(max(0.0, days_since(judged.pitched, last - DIED_DOWN)), "day")
    # What it was in the heat of the first days has bubbled out since; a day or two before the end may still count.
    late = [row for row in history if float((end - row[0]).to("day").magnitude) <= DIED_DOWN.days]
    return warmest_since(late or history, end), "the warmest reading since it died down"


def volume(batch: Batch) -> tuple[Quantity, str]:
    """What is to be bottled: what the bottles hold, but no more than there is beer, since too much sugar is the danger."""
    measured_now = plan.volume_now(batch)
    beer = measured_now if measured_now is not None else plan.batch_volume(batch.recipe)
    source = "as measured" if measured_now is not None else "the recipe's size"
    if not batch.bottles or litres_in(batch.bottles) > MORE_THAN_BEER * float(beer.to("litre").magnitude):
        return beer, source
    return quantity(litres_in(batch.bottles), "litre"), "in the bottles counted"


def still_to_come(batch: Batch) -> Quantity | None:
    """CO2 in g/l that the beer may still make by itself, on the careful side; 0 once it has finished, None where nobody knows."""
    judged = judge(batch)
    if judged.ready or not batch.risk_accepted:
        return quantity(0.0, "gram/litre")
    if judged.original is None or judged.now is None or judged.lowest_end is None:
        return None
    start = min(judged.now, judged.original)
    return co2_from_gravity(start, min(judged.lowest_end, start), judged.original)


def co2_in_all(batch: Batch, hottest: Quantity, target: Quantity, left: Quantity | None) -> Quantity:
    """All the CO2 that a bottle will hold, g/l: what was aimed at, or what is there and still to come if that is more."""
    if left is None:
        return quantity(MOST_CO2, "gram/litre")
    total = max(float(target.magnitude), float((residual_co2(hottest) + left).magnitude))
    return quantity(min(MOST_CO2, total), "gram/litre")


def weakest_kind(batch: Batch) -> str:
    """Of the kinds of bottle that are filled the one that holds least; the one that was told where none is counted."""
    kinds = {lot.type for lot in batch.bottles} or {batch.bottle_type or "standard"}
    return min(sorted(kinds), key=lambda kind: float(check_bottle(quantity(0.0, "gram/litre"), kind).limit_co2.magnitude))


def _against_advice(lines: list[str], left: Quantity | None, grams: float) -> list[str]:
    """The sugar of a batch that is bottled against advice: less by what it may make itself, or none."""
    if left is None:
        return ["Sugar: none. Nobody knows what is left to ferment, and it may be too much already."]
    may = f"it may still make {float(in_volumes(left).magnitude):.1f} volumes by itself"
    if not grams:
        return [f"Sugar: none, {may}."]
    return [*lines, f"Less than usual: {may}."]


def bottle_size(millilitres: float, units: UnitSystem) -> str:
    """A size as it is printed on bottles: millilitres, or US fluid ounces."""
    return f"{millilitres / ML_PER_US_FLUID_OUNCE:.0f} fl oz" if units == "us" else f"{millilitres:.0f} ml"


def _grams(batch: Batch, litres: Quantity, hottest: Quantity, left: Quantity | None) -> Quantity:
    target = from_volumes(batch.priming.volumes)
    wanted = quantity(max(0.0, float((target - left).magnitude)), "gram/litre") if left is not None else target
    return priming_sugar(litres, wanted, hottest, batch.priming.sugar)


def sugar_grams(batch: Batch) -> Quantity:
    """Sugar for what is bottled, g; none where nobody knows what is left to ferment."""
    left = still_to_come(batch)
    if batch.risk_accepted and left is None:
        return quantity(0.0, "gram")
    return _grams(batch, volume(batch)[0], warmest(batch)[0], left)


def sugar_line(turn: Turn, batch: Batch, of: Quantity | None = None, at: Quantity | None = None) -> list[str]:
    """Sugar for the batch and per bottle, with the check of the bottles; the working goes to the turn."""
    units, priming = turn.state.units, batch.priming
    litres, source = (of, "as asked") if of is not None else volume(batch)
    hottest, why_hot = (at, "as asked") if at is not None else warmest(batch)
    target = from_volumes(priming.volumes)
    left = still_to_come(batch)
    grams = _grams(batch, litres, hottest, left)
    name = page("bottling")["sugars"][priming.sugar]
    sizes = sorted({lot.size.in_unit("millilitre") for lot in batch.bottles}, reverse=True) or DEFAULT_SIZES[units]
    shares = [(size, sugar_per_bottle(grams, litres, quantity(size, "millilitre"))) for size in sizes]
    each = ", ".join(f"{float(share.magnitude):.1f} g in {bottle_size(size, units)}" for size, share in shares)
    lines = [
        f"Sugar: {wording.mass(grams, units)} {name} for {wording.volume(litres, units)}, {priming.volumes:g} volumes.",
        f"Each: {each}. Better dissolved and shared out than by spoon.",
    ]
    turn.working = (
        f"{priming.volumes:g} volumes are {priming.volumes * CO2_G_PER_L_VOLUME:.1f} g/l CO2; "
        f"{float(in_volumes(residual_co2(hottest)).magnitude):.2f} volumes are still in the beer at "
        f"{wording.temperature(hottest, units)} ({why_hot}); the rest from sugar for {wording.volume(litres, units)} "
        f"({source}). A level teaspoon holds about {float((grams / teaspoons(grams, priming.sugar)).magnitude) if float(grams.magnitude) else 0:.0f} g, give or take a fifth."
    )
    if batch.risk_accepted:
        lines = _against_advice(lines, left, float(grams.magnitude))
    held = litres_in(batch.bottles)
    if of is None and held > MORE_THAN_BEER * float(litres.to("litre").magnitude):
        lines.append(
            f"The bottles hold {wording.volume(quantity(held, 'litre'), units)}, the batch is "
            f"{wording.volume(litres, units)} ({source}): the sugar is for the batch."
        )
    kinds = {lot.type for lot in batch.bottles} or {batch.bottle_type or "standard"}
    names = page("bottling")["bottle_names"]
    for kind in sorted(kinds):
        total = co2_in_all(batch, hottest, target, left)
        if not check_bottle(total, kind).within:
            volumes = float(in_volumes(total).magnitude)
            lines.append(f"Caution: {volumes:.1f} volumes is more than {names[kind]} is trusted with.")
    return lines


def _as_fizzy(turn: Turn, batch: Batch, fizz: str) -> None:
    """The sugar for a softer or a livelier fizz: shown, and kept only when its volumes are told."""
    volumes = float(page("bottling")["fizz"][fizz])
    asked = batch.priming.model_copy(update={"volumes": volumes})
    turn.say(*sugar_line(turn, batch.model_copy(update={"priming": asked})))
    turn.say(f'{"A soft" if fizz == "low" else "A lively"} fizz; {batch.priming.volumes:g} is planned. "prime to {volumes:g} volumes" keeps it.')
    turn.offer((f"prime to {volumes:g}", f"prime to {volumes:g} volumes"))
    if turn.batch is not None and turn.batch.stage == "ferment" and not judge(turn.batch).ready:
        turn.say(NOT_YET)
    turn.caution("pressure")


def bottles_asked(intent: Intent) -> tuple[Bottles, ...]:
    """The bottles of "9 500s and 2 330s, how much sugar each": asked about, and not counted."""
    pairs = [(intent.slots.get("count" + end), intent.slots.get("volume" + end)) for end in ENDS]
    return tuple(Bottles(count=int(number), size=Measured.model_validate(size)) for number, size in pairs if number is not None and size is not None)


def sugar(turn: Turn, intent: Intent) -> None:
    """ "how much sugar": also takes a sugar, volumes of CO2, litres and a temperature, and remembers the first two."""
    batch, slots = turn.batch, intent.slots
    if batch is None:
        batch = Batch(id=0, name="", stage_since=turn.now, started=turn.now)
    told = batch.priming
    low, high = page("bottling")["volumes_range"]
    if "volumes" in slots:
        wanted = float(slots["volumes"])
        if not low <= wanted <= high:
            turn.say(f"{wanted:g} volumes? Beer takes {low:g} to {high:g}; most ale 2 to 2.6.")
            return
        told = told.model_copy(update={"volumes": wanted})
    if "fizz" in slots and not batch.risk_accepted:
        _as_fizzy(turn, batch, str(slots["fizz"]))
        return
    if "sugar" in slots:
        told = told.model_copy(update={"sugar": str(slots["sugar"])})
    if "warmest" in slots:
        told = told.model_copy(update={"warmest": Measured.model_validate(slots["warmest"])})
    if told != batch.priming:
        if turn.batch is not None:
            turn.record("priming_told", label="priming", priming=told.model_dump(mode="json"))
        batch = batch.model_copy(update={"priming": told})
    of = Measured.model_validate(slots["volume"]).quantity if "volume" in slots else None
    if asked := bottles_asked(intent):
        batch = batch.model_copy(update={"bottles": asked})
        of = quantity(litres_in(asked), "litre")
    at = Measured.model_validate(slots["temperature"]).quantity if "temperature" in slots else None
    turn.say(*sugar_line(turn, batch, of, at))
    turn.last = intent
    if turn.batch is not None and turn.batch.stage == "ferment" and not judge(turn.batch).ready:
        turn.say(NOT_YET)
    turn.caution("pressure")


HANDLERS: Handlers = {"ask.priming": sugar, "priming.told": sugar, "weeks.sugar_kind": sugar}
