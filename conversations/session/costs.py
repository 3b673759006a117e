"""What a batch cost, and what the same drink would cost if it were bought."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from calc.cost import PintUnit, cost_of_part, cost_per_bottle, cost_per_litre, cost_per_pint
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured
from conversations.session import plan, wording
from conversations.session.joined_since import joined
from conversations.session.predictions import BOTTLES
from conversations.session.prices import money
from conversations.session.readings import measured
from conversations.session.state import Batch, State, StockItem
from conversations.session.stock import wanted_yeast
from conversations.session.stock_items import fits, fitting, kind_of
from conversations.session.turn import Handlers, Turn

_BEFORE_MASH = ("plan", "prepare", "heat")
_AFTER_STEEP = ("chill", "transfer", "pitch", "ferment", "bottle", "condition")
_GROUPS = {"grain": "malt", "sugar": "sugar", "hop": "hops", "yeast": "yeast", "other": "other"}


class Costs(NamedTuple):
    """What went in or will, by kind; names of what has no price; whether part of it is still to come."""

    by_kind: dict[str, Decimal]
    unpriced: tuple[str, ...]
    planned: bool

    @property
    def total(self) -> Decimal:
        """All kinds together, not rounded."""
        return sum(self.by_kind.values(), Decimal(0))


def wanted(batch: Batch, state: State) -> list[tuple[str, str, Measured]]:
    """Kind, name and amount of everything that the recipe asks for."""
    recipe = batch.recipe
    rows = [(kind_of(name), name, mass) for name, mass in recipe.grains]
    rows += [("hop", hop.name, hop.mass) for hop in recipe.hops if not hop.skipped]
    if recipe.grains or recipe.yeast:
        rows.append(("yeast", recipe.yeast or "yeast", wanted_yeast(recipe, state)))
    return rows


class _Row(NamedTuple):
    """A thing that is wanted, whether it went in, and whether it is still to come: of hops that nobody ticked neither is known."""

    kind: str
    name: str
    mass: Measured
    went_in: bool
    to_come: bool


def _rows(batch: Batch, state: State) -> list[_Row]:
    """Everything that is wanted; malt extract that joined at the pot too."""
    mashed, boiled = batch.stage not in _BEFORE_MASH, batch.stage in _AFTER_STEEP
    hops = iter([hop for hop in batch.recipe.hops if not hop.skipped])
    rows = []
    for kind, name, mass in wanted(batch, state):
        if kind == "hop":
            hop = next(hops)
            inside = hop.added_at is not None
            rows.append(_Row(kind, name, mass, inside, not inside and (bool(hop.dry_days) or not boiled)))
        else:
            inside = "ferment" in batch.entered if kind == "yeast" else mashed
            rows.append(_Row(kind, name, mass, inside, not inside))
    return rows + [_Row(kind_of(joined(each)), joined(each), each.value, True, False) for each in batch.readings if each.kind == "extract"]


def costs_of(batch: Batch, state: State) -> Costs:
    """What was drawn from stock at what was paid; what is still to go in as it will be drawn, the rest at the last price."""
    by_kind: dict[str, Decimal] = {}
    unpriced: list[str] = []
    kinds = {item.key: item.kind for item in state.stock}
    for used in batch.used:
        kind = kinds.get(used.item, "other")
        if used.cost is None:
            unpriced.append(used.name)
        else:
            by_kind[kind] = by_kind.get(kind, Decimal(0)) + Decimal(used.cost)
    planned = False
    names = {item.key: item for item in state.stock}
    drawn = [names[used.item] for used in batch.used if used.item in names]
    shelf = state.stock
    for row in _rows(batch, state):
        if row.went_in and any(fits(item, row.kind, row.name) for item in drawn):
            continue
        cost, shelf = _at_the_shelf(shelf, row.kind, row.name, row.mass)
        if cost is None:
            unpriced.append(row.name)
            continue
        planned = planned or row.to_come
        by_kind[row.kind] = by_kind.get(row.kind, Decimal(0)) + cost
    return Costs(by_kind, tuple(dict.fromkeys(unpriced)), planned)


def _at_the_shelf(shelf: tuple[StockItem, ...], kind: str, name: str, mass: Measured) -> tuple[Decimal | None, tuple[StockItem, ...]]:
    """What an amount will cost, taken lot by lot as brewing takes it, and the shelf after it; None where no price is known."""
    alike = [item for item in shelf if item.price is not None and fits(item, kind, name)]
    alike = [item for item in alike if item.bought.quantity.is_compatible_with(mass.quantity)]
    if not alike:
        return None, shelf
    newest = max(alike, key=lambda item: int(item.key))
    missing, cost, rest = mass.value, Decimal(0), {item.key: item for item in shelf}
    for item in fitting(shelf, kind, name):
        if item.left.quantity.is_compatible_with(mass.quantity) and missing > 0:
            part = min(missing, item.left.in_unit(mass.unit))
            cost += _part(item if item.price is not None else newest, part, mass.unit)
            left = Measured(value=max(0.0, item.left.in_unit(mass.unit) - part), unit=mass.unit)
            rest[item.key] = item.model_copy(update={"left": left})
            missing -= part
    return cost + _part(newest, max(0.0, missing), mass.unit), tuple(rest.values())


def _part(item: StockItem, value: float, unit: str) -> Decimal:
    return cost_of_part(Decimal(item.price or "0"), item.bought.quantity, quantity(value, unit)) if value > 0 else Decimal(0)


def volume_of(batch: Batch) -> Quantity:
    """Beer that there will be: as bottled, else as measured into the fermenter, else as planned."""
    bottled = sum(row.count * row.size.in_unit("litre") for row in batch.bottles)
    if bottled > 0:
        return quantity(bottled, "litre")
    added = 0.0
    for reading in reversed(batch.readings):
        if reading.stage not in ("transfer", "pitch", "ferment", "bottle"):
            continue
        if reading.kind == "water":
            added += reading.value.in_unit("litre")
        found = reading.value if reading.kind == "volume" else reading.corrected
        if reading.kind in ("volume", "depth") and found:
            return quantity(found.in_unit("litre") + added, "litre")
    return plan.batch_volume(batch.recipe)


def bottle_of(batch: Batch, state: State) -> Quantity:
    """The person's bottle: of the batch, of the kit, else half a litre."""
    if batch.bottles:
        return max(batch.bottles, key=lambda row: row.count).size.quantity
    if state.kit.bottles:
        return max(state.kit.bottles, key=lambda row: row[0])[1].quantity
    return BOTTLES[state.units][0]


def ask(turn: Turn, intent: Intent) -> None:
    """Cost of the batch, a litre, a bottle and a pint."""
    batch = turn.batch
    if batch is None:
        turn.say('No batch yet. "brew 5 litres of ..." starts one.')
        return
    found, code = costs_of(batch, turn.state), turn.state.currency
    if not found.by_kind:
        turn.say('I know no price yet. Tell me what you bought: "bought 5 kg pale malt for 9.50".')
        return
    volume, bottle = volume_of(batch), bottle_of(batch, turn.state)
    pint: PintUnit = "US_pint" if turn.state.units == "us" else "imperial_pint"
    litre, one, glass = (
        cost_per_litre(found.total, volume),
        cost_per_bottle(found.total, volume, bottle),
        cost_per_pint(found.total, volume, pint),
    )
    which = "US pint" if pint == "US_pint" else "imperial pint"
    size = _glass(bottle, turn)
    turn.say(f"{money(found.total, code)} for {batch.name}{', part of it still planned' if found.planned else ''}.")
    turn.say(f"{money(litre, code)} a litre, {money(one, code)} a bottle of {size}, {money(glass, code)} a pint ({which}).")
    if found.unpriced:
        turn.say(f"Without a price: {', '.join(found.unpriced[:4])}.")
    parts = ", ".join(f"{_GROUPS[kind]} {money(cost, code)}" for kind, cost in found.by_kind.items())
    if len(found.by_kind) > 1:
        turn.say(f"{parts[:1].upper()}{parts[1:]}.")
    turn.working = f"{parts}; {wording.volume(volume, turn.state.units)} of beer. Gas, power and water are not in it."
    turn.offer(("and in the shop?", "what would it cost at 2.50 a bottle"))


def compare(turn: Turn, intent: Intent) -> None:
    """The same drink bought at a price the person gives."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch to compare with.")
        return
    each = Decimal(str(intent.slots["money"]))
    code = str(intent.slots.get("currency") or turn.state.currency)
    if code != turn.state.currency:
        turn.say(f"I count in {turn.state.currency}, that is {code}: send the price in {turn.state.currency}.")
        return
    volume = volume_of(batch)
    size = measured(intent.slots["volume"]).quantity if "volume" in intent.slots else _size(turn, batch, str(intent.slots.get("per", "bottle")))
    units = Decimal(str(round(float(volume.to("litre").magnitude / size.to("litre").magnitude), 4)))
    bought = units * each
    found = costs_of(batch, turn.state)
    if found.by_kind:
        glass, saved = _glass(size, turn), bought - found.total
        turn.say(
            f"{glass} of yours costs {money(found.total / units, code)}, not {money(each, code)}.",
            f"All {wording.volume(volume, turn.state.units)}: {money(bought, code)} bought, {money(found.total, code)} yours: "
            f"{money(abs(saved), code)} {'less' if saved >= 0 else 'more'}."
            + (" Part of yours is still planned." if found.planned else ""),
            f"Without a price: {', '.join(found.unpriced[:3])}." if found.unpriced else "",
        )
    else:
        turn.say(
            f"{money(bought, code)} bought: {wording.volume(volume, turn.state.units)} at {money(each, code)} for {_glass(size, turn)}.",
            "I know no price of what went into yours.",
        )


def _glass(size: Quantity, turn: Turn) -> str:
    """A bottle or a glass by its size: a pint is called one."""
    litres = float(size.to("litre").magnitude)
    for unit, name in (("imperial_pint", "A pint (imperial)"), ("pint", "A pint (US)")):
        if abs(litres - float(quantity(1.0, unit).to("litre").magnitude)) < 0.002:
            return name
    if turn.state.units == "us":
        return f"{float(size.to('fluid_ounce').magnitude):.3g} US fl oz"
    return wording.volume(size, "metric")


def _size(turn: Turn, batch: Batch, per: str) -> Quantity:
    if per == "litre":
        return quantity(1.0, "litre")
    if per == "pint":
        return quantity(1.0, "pint" if turn.state.units == "us" else "imperial_pint")
    return bottle_of(batch, turn.state)


HANDLERS: Handlers = {"cost.batch": ask, "cost.compare": compare}
