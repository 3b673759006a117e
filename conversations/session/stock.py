"""Buying, opening, using up and listing what is in stock; brewing draws it down in the same turn."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal, InvalidOperation

import pint

from calc.cost import cost_of_part
from calc.units import quantity
from calc.yeast import dry_yeast_mass
from conversations.intents import Intent, Measured
from conversations.session import plan, wording
from conversations.session.prices import money
from conversations.session.readings import measured
from conversations.session.state import Batch, Recipe, State, StockItem, Used
from conversations.session.stock_bottling import of_bottling
from conversations.session.stock_items import SACHET, fits, fitting, kind_of, strength
from conversations.session.turn import Handlers, Turn

MOST = {"[mass]": (500.0, "kilogram"), "[length] ** 3": (500.0, "litre"), "dimensionless": (100000.0, "dimensionless")}


def amount(turn: Turn, value: Measured) -> str:
    """An amount as the person reads it; a count has no unit."""
    if value.unit == "dimensionless":
        return f"{value.value:g}"
    number = value.quantity
    if number.check("[mass]"):
        return wording.mass(number, turn.state.units)
    return wording.volume(number, turn.state.units)


def _sane(value: Measured) -> bool:
    for dimension, (most, unit) in MOST.items():
        if value.quantity.check(dimension if dimension != "dimensionless" else "[]"):
            return 0 < value.in_unit(unit) <= most
    return False


def _set(turn: Turn, item: StockItem, label: str) -> None:
    turn.record("stock_set", label=label, item=item.model_dump(mode="json"))


def _bought(turn: Turn, intent: Intent) -> tuple[Measured, str] | None:
    """Amount and how it is said; sachets and packets are weighed, other things counted."""
    slots = intent.slots
    count = float(slots.get("count", 1.0))
    if "mass" in slots or "volume" in slots:
        one = measured(slots.get("mass") or slots["volume"])
        total = Measured(value=round(one.value * count, 6), unit=one.unit)
        return total, amount(turn, total)
    if slots.get("sachets"):
        total = Measured(value=SACHET.value * count, unit=SACHET.unit)
        return total, f"{count:g} sachet{'s' if count != 1 else ''} ({SACHET.value:g} g each assumed)"
    if "count" in slots:
        return Measured(value=count, unit="dimensionless"), f"{count:g}"
    return None


def buy(turn: Turn, intent: Intent) -> None:
    """ "bought 5 kg pale malt for 9.50": a new lot on the shelf, with what was paid for it."""
    bought, name = _bought(turn, intent), str(intent.slots.get("name", "")).strip()
    if bought is None or not name:
        turn.say('Send it like "bought 5 kg pale malt for 9.50".')
        return
    total, said = bought
    if not _sane(total):
        turn.say(f"{total.value:g} {total.unit} of {name}? Send it again, nothing was noted.")
        return
    price = _price(turn, intent)
    if price is False:
        return
    if intent.slots.get("each") and isinstance(price, Decimal):
        price *= Decimal(str(intent.slots.get("count", 1.0)))
    per = measured(intent.slots["per"]) if "per" in intent.slots else None
    if per is not None and isinstance(price, Decimal):
        price = for_amount(price, per, total)
    percent = measured(intent.slots["percent"]).value if "percent" in intent.slots else None
    kind = "yeast" if intent.slots.get("sachets") else kind_of(name)
    item = StockItem(
        key=str(turn.number()),
        kind=kind,
        name=name,
        bought=total,
        left=total,
        price=str(price) if isinstance(price, Decimal) else None,
        bought_on=turn.now.date(),
        alpha_percent=percent if kind == "hop" else None,
        best_before=_date(intent, "best_before"),
        packed=_date(intent, "packed"),
    )
    _set(turn, item, f"bought {name}")
    paid = f" for {money(price, turn.state.currency)}" if isinstance(price, Decimal) else ""
    until = f", best before {item.best_before.day} {item.best_before:%B %Y}" if item.best_before else ""
    turn.say(f"In stock: {said} {name}{paid}{until}.")
    others = sum((each.left.in_unit(total.unit) for each in _same(turn.state, item) if each.key != item.key), 0.0)
    if others:
        turn.say(f"All together {amount(turn, Measured(value=others + total.value, unit=total.unit))}.")
    if price is None:
        turn.say('No price told; "it cost 9.50" adds it.')
    if kind == "yeast" and "count" in intent.slots and "mass" not in intent.slots:
        turn.working = f"A sachet is taken as {SACHET.value:g} g; say \"bought a 7 g sachet of ...\" where it is not."
    turn.offer(("undo", "undo"))


def _date(intent: Intent, slot: str) -> date | None:
    said = intent.slots.get(slot)
    return date.fromisoformat(str(said)) if said else None


def _same(state: State, item: StockItem) -> list[StockItem]:
    return [
        each
        for each in state.stock
        if fits(each, item.kind, item.name) and each.left.quantity.is_compatible_with(item.left.quantity)
    ]


def _price(turn: Turn, intent: Intent) -> Decimal | bool | None:
    """What was paid; None where nothing was said, False where it was said in another money and asked back."""
    if "money" not in intent.slots:
        return None
    try:
        paid = Decimal(str(intent.slots["money"]))
    except InvalidOperation:
        return None
    code = str(intent.slots.get("currency") or "")
    if code and code != turn.state.currency:
        # Until a currency is told, the prices without a sign are in that of the first sign.
        if turn.state.currency_told and any(item.price for item in turn.state.stock):
            turn.say(f"I count in {turn.state.currency}, that is {code}. Send the price without its sign, or say \"currency {code.lower()}\".")
            return False
        turn.record("settings_told", label=f"money in {code}", currency=code)
    return paid


def for_amount(price: Decimal, per: Measured, total: Measured) -> Decimal:
    """What all of it costs at so much for an amount: "2.60 a kilo" of 5 kg."""
    return (price * Decimal(str(total.in_unit(per.unit) / per.value))).quantize(Decimal("0.01"))


def price(turn: Turn, intent: Intent) -> None:
    """ "it cost 9.50": the price of what was bought last."""
    if not turn.state.stock:
        turn.say('Nothing is in stock yet: "bought 5 kg pale malt for 9.50".')
        return
    paid = _price(turn, intent)
    if not isinstance(paid, Decimal):
        return
    name = str(intent.slots.get("name", ""))
    named = [item for item in turn.state.stock if name and fits(item, kind_of(name), name)]
    if name and not named:
        turn.say(f'No {name} is in stock. "bought 2 kg {name} for 6" puts it there with its price.')
        return
    item = (named or list(turn.state.stock))[-1]
    per = measured(intent.slots["mass"]) if "mass" in intent.slots else None
    if per is not None and per.value > 0 and item.bought.quantity.is_compatible_with(per.quantity):
        # "2.60 a kilo": what all of it cost.
        paid = for_amount(paid, per, item.bought)
    _set(turn, item.model_copy(update={"price": str(paid)}), f"price of {item.name}")
    turn.say(f"{money(paid, turn.state.currency)} for {amount(turn, item.bought)} {item.name}.")


def left(turn: Turn, intent: Intent) -> None:
    """ "half a sachet left, opened in March", "300 g crystal left": what there is, whatever was counted before."""
    slots = intent.slots
    name = str(slots.get("name", "")).strip()
    if slots.get("sachets"):
        share = float(slots.get("count", 1.0))
        there, kind = Measured(value=round(share * SACHET.value, 3), unit="gram"), "yeast"
        name = name or "yeast"
    else:
        there = measured(slots["mass"])
        kind = kind_of(name) if name else ""
    item = _named(turn, name, kind)
    if item is None and not name:
        turn.say('Left of what? "300 g crystal malt left".')
        return
    if item is None:
        item = StockItem(key=str(turn.number()), kind=kind, name=name, bought=there, left=there, bought_on=turn.now.date())
        new = True
    else:
        new = False
        if slots.get("sachets"):
            sachet = item.bought.in_unit("gram")
            sachet = sachet / max(1, round(sachet / SACHET.value)) if sachet >= SACHET.value else sachet
            there = Measured(value=round(float(slots.get("count", 1.0)) * sachet, 3), unit="gram")
    opened = _date(intent, "opened")
    changed = item.model_copy(update={"left": there, **({"opened": opened} if opened else {})})
    _set(turn, changed, f"{item.name} left")
    state = strength(changed, turn.now.date())
    turn.say(f"{amount(turn, there)} {item.name} in stock{f', {state.words}' if state.words else ''}.")
    if state.spent and kind == "yeast":
        turn.say("Buy a fresh sachet for the next batch.")
    if new and kind == "yeast":
        turn.working = f"A full sachet is taken as {SACHET.value:g} g."
    turn.offer(("undo", "undo"))


def _named(turn: Turn, name: str, kind: str) -> StockItem | None:
    stock = turn.state.stock
    if name:
        return next(iter(fitting(stock, kind or kind_of(name), name)), None)
    return stock[-1] if stock else None


def opened(turn: Turn, intent: Intent) -> None:
    """ "opened the Fuggle", "opened the yeast in March"."""
    name = str(intent.slots.get("name", ""))
    item = _named(turn, name, "")
    if item is None:
        turn.say(f'No {name or "such thing"} is in stock, nothing changed. "note: ..." keeps it in the diary.')
        return
    day = _date(intent, "opened") or turn.now.date()
    changed = item.model_copy(update={"opened": day})
    _set(turn, changed, f"opened {item.name}")
    state = strength(changed, turn.now.date())
    turn.say(f"{item.name} opened {day.day} {day:%B}{f': {state.words}' if state.words else ''}.")


def best_before(turn: Turn, intent: Intent) -> None:
    """ "the hops are best before June": of what is named, of all hops in stock, else of what was spoken of last."""
    name = str(intent.slots.get("name", "")).strip()
    date_told = _date(intent, "best_before")
    if date_told is None:
        return
    there = [item for item in turn.state.stock if item.left.value > 0]
    kind = {"hop": "hop", "hops": "hop", "malt": "grain", "malts": "grain", "yeast": "yeast"}.get(name.casefold(), "")
    if kind:
        meant = [item for item in there if item.kind == kind]
    else:
        meant = [item for item in there if fits(item, kind_of(name), name)] if name else list(there[-1:])
    if not meant:
        turn.say(f'No {name or "such thing"} is in stock, so the date has nothing to stand on. "bought 100 g Fuggle for 4" puts some there.')
        return
    for item in meant:
        _set(turn, item.model_copy(update={"best_before": date_told}), f"date of {item.name}")
    names = ", ".join(dict.fromkeys(item.name for item in meant))
    turn.say(f"{names}: best before {date_told.day} {date_told:%B %Y}.")
    if date_told < turn.now.date():
        turn.say("That is past.")
    turn.offer(("what have I got", "what have I got"), ("undo", "undo"))


def use(turn: Turn, intent: Intent) -> None:
    """ "used 200 g": of what was named, else of what was spoken of last."""
    name, want = str(intent.slots.get("name", "")).strip(), measured(intent.slots["mass"])
    if not name and not turn.state.stock:
        turn.say('Used of what? "used 200 g pale malt".')
        return
    last = name or turn.state.stock[-1].name
    kind = kind_of(last) if name else turn.state.stock[-1].kind
    if not _sane(want):
        turn.say("Nothing was used up. Send it like \"used 200 g pale malt\".")
        return
    took, missing = take(turn, kind, last, want, None, f"used {last}")
    if not took:
        turn.say(f'No {last} is in stock. "bought 1 kg {last}" puts it there.')
        return
    there = sum(item.left.in_unit("gram") for item in fitting(turn.state.stock, kind, last) if item.left.quantity.check("[mass]"))
    turn.say(f"{amount(turn, Measured(value=there, unit='gram'))} {last} left.")
    if missing:
        turn.say(f"You used {amount(turn, missing)} more than I knew of.")
    turn.offer(("undo", "undo"))


def take(
    turn: Turn, kind: str, name: str, want: Measured, batch: int | None, label: str
) -> tuple[list[Used], Measured | None]:
    """Take an amount off the shelf, oldest first, each part at its own price; what was taken, and what was missing."""
    missing, took = want, []
    for item in fitting(turn.state.stock, kind, name):
        try:
            there = item.left.in_unit(want.unit)
        except pint.DimensionalityError:
            continue
        part = min(there, missing.value)
        if part <= 1e-9:
            break
        taken = Measured(value=round(part, 6), unit=want.unit)
        cost = None
        if item.price is not None:
            cost = str(cost_of_part(Decimal(item.price), item.bought.quantity, taken.quantity))
        over = item.left.value - taken.in_unit(item.left.unit)
        rest = Measured(value=max(0.0, round(over, 6)), unit=item.left.unit)
        used = Used(item=item.key, name=item.name, amount=taken, cost=cost)
        turn.record(
            "stock_used",
            label=label,
            batch=batch,
            in_batch=batch is not None,
            key=item.key,
            left=rest.model_dump(mode="json"),
            used=used.model_dump(mode="json"),
        )
        took.append(used)
        missing = Measured(value=round(missing.value - part, 6), unit=want.unit)
    return took, missing if missing.value > 1e-6 else None


def wanted_yeast(recipe: Recipe, state: State) -> Measured:
    """Grams of dry yeast for a recipe."""
    if recipe.yeast_mass is not None:
        return recipe.yeast_mass
    gravity = plan.original_gravity(recipe, state.kit) if recipe.grains else quantity(1.045, "dimensionless")
    grams = dry_yeast_mass(plan.batch_volume(recipe), gravity).to("gram").magnitude
    return Measured(value=round(float(grams), 1), unit="gram")


def draw_down(turn: Turn, before: Iterable[Batch]) -> None:
    """Take off the shelf what this turn reported as gone in: the grain, each hop, the yeast."""
    if not turn.state.stock:
        return
    earlier = {batch.id: batch for batch in before}
    for batch in turn.state.batches:
        old = earlier.get(batch.id)
        if old is not None and old is not batch:
            _draw(turn, old, batch)


def _draw(turn: Turn, old: Batch, batch: Batch) -> None:
    before_mash = old.stage in ("plan", "prepare", "heat")
    went_in: list[tuple[str, str, Measured]] = []
    if before_mash and batch.stage not in ("plan", "prepare", "heat"):
        went_in += [(kind_of(name), name, mass) for name, mass in batch.recipe.grains]
    added = {hop.key for hop in old.recipe.hops if hop.added_at}
    went_in += [("hop", hop.name, hop.mass) for hop in batch.recipe.hops if hop.added_at and hop.key not in added]
    if old.stage != "ferment" and batch.stage == "ferment" and "ferment" not in old.entered:
        went_in.append(("yeast", batch.recipe.yeast or "yeast", wanted_yeast(batch.recipe, turn.state)))
    went_in += of_bottling(old, batch)
    said = []
    for kind, name, mass in went_in:
        took, missing = take(turn, kind, name, mass, batch.id, f"{name} in")
        if not took:
            continue
        last = next(item for item in turn.state.stock if item.key == took[-1].item)
        rest = fitting(turn.state.stock, kind, name)
        there = sum(item.left.in_unit(mass.unit) for item in rest if item.left.quantity.is_compatible_with(mass.quantity))
        left_over = amount(turn, Measured(value=there, unit=mass.unit)) if there else "none"
        said.append(f"{left_over} {last.name} left" + (f" (short by {amount(turn, missing)})" if missing else ""))
    if said:
        turn.say(f"Stock: {', '.join(said)}.")


def show(turn: Turn, intent: Intent) -> None:
    """ "what have I got": everything with something left, and how good it still is."""
    today = turn.now.date()
    there = [item for item in turn.state.stock if item.left.value > 1e-9]
    if not there:
        turn.say('Nothing that I know of. "bought 5 kg pale malt for 9.50" puts it there.')
        return
    for kind, title in (("grain", "Grain"), ("sugar", "Sugar"), ("hop", "Hops"), ("yeast", "Yeast"), ("other", "Other")):
        row = []
        for item in there:
            if item.kind == kind:
                words = strength(item, today).words
                row.append(f"{amount(turn, item.left)} {item.name}{f' ({words})' if words else ''}")
        if row:
            turn.say(f"{title}: {', '.join(row)}.")
    turn.offer(("what can I brew", "what can I brew"), ("shopping list", "shopping list"))


HANDLERS: Handlers = {
    "stock.bought": buy,
    "stock.price": price,
    "stock.left": left,
    "stock.opened": opened,
    "stock.best_before": best_before,
    "stock.used": use,
    "stock.show": show,
}
