"""Buying, opening, using up and listing what is in stock; brewing draws it down in the same turn."""

from __future__ import annotations

from datetime import date
from decimal import Decimal, InvalidOperation

import pint

from calc.cost import cost_of_part
from calc.units import quantity
from calc.yeast import dry_yeast_mass
from conversations.intents import Intent, Measured
from conversations.session import plan, wording
from conversations.session.fermentation import yeast_type
from conversations.session.prices import money
from conversations.session.readings import measured
from conversations.session.state import Recipe, State, StockItem, Used
from conversations.session.stock_items import SACHET, fits, fitting, kind_of, sachet_of, strength
from conversations.session.turn import Handlers, Turn

MOST = {"[mass]": (500.0, "kilogram"), "[length] ** 3": (500.0, "litre"), "dimensionless": (100000.0, "dimensionless")}


def amount(turn: Turn, value: Measured, kind: str = "") -> str:
    """An amount as the person reads it; a count has no unit, and yeast is weighed in grams everywhere."""
    if value.unit == "dimensionless":
        return f"{value.value:g}"
    number = value.quantity
    if number.check("[mass]"):
        return wording.mass(number, "metric" if kind == "yeast" else turn.state.units)
    return wording.volume(number, turn.state.units)


def _sane(value: Measured) -> bool:
    for dimension, (most, unit) in MOST.items():
        if value.quantity.check(dimension if dimension != "dimensionless" else "[]"):
            return 0 < value.in_unit(unit) <= most
    return False


def put(turn: Turn, item: StockItem, label: str) -> None:
    """Put a thing on the shelf, or in the place of the one with its key."""
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
        one=Measured(value=round(total.value / float(intent.slots.get("count", 1.0)), 6), unit=total.unit) if intent.slots.get("sachets") else None,
    )
    put(turn, item, f"bought {name}")
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
    put(turn, item.model_copy(update={"price": str(paid)}), f"price of {item.name}")
    turn.say(f"{money(paid, turn.state.currency)} for {amount(turn, item.bought)} {item.name}.")


def use(turn: Turn, intent: Intent) -> None:
    """ "used 200 g", "used a sachet of yeast": of what was named, else of what was spoken of last."""
    name = str(intent.slots.get("name", "")).strip()
    if intent.slots.get("sachets"):
        name = name or "yeast"
        one = sachet_of(next(iter(fitting(turn.state.stock, "yeast", name)), None))
        want = Measured(value=round(one.value * float(intent.slots.get("count", 1.0)), 6), unit=one.unit)
    else:
        want = measured(intent.slots["mass"])
    if not name and not turn.state.stock:
        turn.say('Used of what? "used 200 g pale malt".')
        return
    last = name or turn.state.stock[-1].name
    kind = "yeast" if intent.slots.get("sachets") else kind_of(last) if name else turn.state.stock[-1].kind
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
    grams = dry_yeast_mass(plan.batch_volume(recipe), gravity, yeast_type(recipe)).to("gram").magnitude
    return Measured(value=round(float(grams), 1), unit="gram")


def show(turn: Turn, intent: Intent) -> None:
    """ "what have I got", "how much Fuggle is left": what has something left, and how good it still is."""
    name = str(intent.slots.get("name", "")).strip()
    there = [item for item in turn.state.stock if item.left.value > 1e-9]
    if name:
        there = [item for item in there if fits(item, kind_of(name), name) or item.kind == name.casefold().removesuffix("s")]
        turn.say(", ".join(_shown(turn, there)) + "." if there else f"No {name} in stock that I know of.")
        return
    if not there:
        turn.say('Nothing that I know of. "bought 5 kg pale malt for 9.50" puts it there.')
        return
    for kind, title in (("grain", "Grain"), ("sugar", "Sugar"), ("hop", "Hops"), ("yeast", "Yeast"), ("other", "Other")):
        row = _shown(turn, [item for item in there if item.kind == kind])
        if row:
            turn.say(f"{title}: {', '.join(row)}.")
    turn.offer(("what can I brew", "what can I brew"), ("shopping list", "shopping list"))


def _shown(turn: Turn, items: list[StockItem]) -> list[str]:
    """Each thing with its amount and its state; lots that are alike in both are one, whatever they cost."""
    together: dict[tuple[str, str, str], Measured] = {}
    names: dict[tuple[str, str, str], str] = {}
    kinds: dict[tuple[str, str, str], str] = {}
    for item in items:
        words = strength(item, turn.now.date()).words
        size = "mass" if item.left.quantity.check("[mass]") else item.left.unit
        key = item.name.casefold(), words, size
        before = together.get(key)
        together[key] = item.left if before is None else Measured(value=before.value + item.left.in_unit(before.unit), unit=before.unit)
        names.setdefault(key, item.name)
        kinds.setdefault(key, item.kind)
    return [f"{amount(turn, left, kinds[key])} {names[key]}{f' ({key[1]})' if key[1] else ''}" for key, left in together.items()]


HANDLERS: Handlers = {
    "stock.bought": buy,
    "stock.price": price,
    "stock.used": use,
    "stock.show": show,
    "stock.how_much": show,
}
