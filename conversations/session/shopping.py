"""What is missing for the planned batch, and what the shelf is good for."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from calc.cost import cost_of_part
from calc.extract import expected_gravity
from calc.units import quantity
from calc.yeast import mass_with_age
from conversations.intents import Intent, Measured
from conversations.recipe.demo import demo_recipes
from conversations.recipe.reader import read_recipe
from conversations.session import plan, wording
from conversations.session.costs import wanted
from conversations.session.prices import money
from conversations.session.state import Batch, Hop, Recipe, State, StockItem
from conversations.session.stock import amount
from conversations.session.stock_items import alpha_now, fitting, kind_of, strength
from conversations.session.turn import Handlers, Turn

USUAL_GRAVITY = 1.045
_LEAST_SHARE = 0.999
_OTHER_ALPHA = 0.08
"""Share by which alpha acids must differ from the recipe's to be worth a word."""


class Need(NamedTuple):
    """What a recipe wants of one thing and what the shelf has of it that is still good."""

    kind: str
    name: str
    wants: Measured
    has: float
    """In the unit of ``wants``."""

    @property
    def missing(self) -> float:
        """How much to buy, in the unit of ``wants``."""
        return max(0.0, self.wants.value - self.has)


def needs(batch: Batch, turn: Turn) -> list[Need]:
    """Everything that a batch wants, the same thing added up, against the shelf; spent yeast and hops do not count."""
    state = turn.state
    together: dict[tuple[str, str], Measured] = {}
    for kind, name, mass in wanted(batch, state):
        key = kind, name.casefold()
        grams = mass.in_unit("gram") + (together[key].value if key in together else 0.0)
        together[key] = Measured(value=grams, unit="gram")
    names = {(kind, name.casefold()): name for kind, name, _ in wanted(batch, state)}
    return [Need(kind, names[kind, name], mass, _has(turn, kind, name)) for (kind, name), mass in together.items()]


def _has(turn: Turn, kind: str, name: str) -> float:
    today = turn.now.date()
    found = [item for item in fitting(turn.state.stock, kind, name) if item.left.quantity.check("[mass]")]
    return sum(item.left.in_unit("gram") for item in found if not strength(item, today).spent)


def shopping(turn: Turn, intent: Intent) -> None:
    """What the planned batch still wants, with what it will cost by the last prices."""
    batch = turn.batch
    if batch is None or not (batch.recipe.grains or batch.recipe.hops):
        turn.say('Tell me a recipe first, then "shopping list".')
        return
    if batch.stage not in ("plan", "prepare", "heat"):
        turn.say(f"{batch.name} is brewed; plan another one for a list.")
        return
    rows = needs(batch, turn)
    short = [need for need in rows if need.missing > max(0.05, 0.001 * need.wants.value)]
    if not short:
        turn.say(f"Nothing: everything for {batch.name} is in stock.")
    else:
        total, unknown = Decimal(0), 0
        shown = []
        for need in short:
            buy = Measured(value=need.missing, unit="gram")
            shown.append(f"{amount(turn, buy, need.kind)} {need.name}")
            price = _usual_price(turn.state.stock, need, buy)
            total, unknown = (total + price, unknown) if price is not None else (total, unknown + 1)
        turn.say(f"Buy {', '.join(shown)}.")
        if total:
            rest = f", {unknown} without a price" if unknown else ""
            turn.say(f"About {money(total, turn.state.currency)} by what you last paid{rest}.")
    _old_yeast(turn, rows)
    _other_hops(turn, batch)


def _other_hops(turn: Turn, batch: Batch) -> None:
    """Hops on the shelf that are weaker or stronger than the recipe counts with: how much gives its bitterness."""
    today = turn.now.date()
    for hop in batch.recipe.hops:
        lot = next(iter(fitting(turn.state.stock, "hop", hop.name)), None)
        if lot is None or hop.dry_days or hop.skipped or hop.alpha_percent is None or strength(lot, today).spent:
            continue
        now = alpha_now(lot, today) if lot.alpha_percent is not None else hop.alpha_percent * strength(lot, today).share
        if abs(now / hop.alpha_percent - 1) < _OTHER_ALPHA:
            continue
        takes = Measured(value=hop.mass.value * hop.alpha_percent / now, unit=hop.mass.unit)
        turn.say(
            f"Your {lot.name} has about {now:.1f} % by now, the recipe counts with {hop.alpha_percent:g} %: "
            f"{amount(turn, takes)} instead of {amount(turn, hop.mass)} for the same bitterness."
        )
        turn.offer((f"{lot.name} is {now:.1f} %", f"{hop.name} is {now:.1f} %"))
        return


def _usual_price(stock: tuple[StockItem, ...], need: Need, buy: Measured) -> Decimal | None:
    alike = [item for item in stock if item.price is not None and _like(item, need)]
    if not alike:
        return None
    newest = max(alike, key=lambda item: int(item.key))
    return cost_of_part(Decimal(newest.price or "0"), newest.bought.quantity, buy.quantity)


def _like(item: StockItem, need: Need) -> bool:
    full = item.model_copy(update={"left": item.bought})
    return bool(fitting((full,), need.kind, need.name)) and item.bought.quantity.check("[mass]")


def _old_yeast(turn: Turn, rows: list[Need]) -> None:
    today = turn.now.date()
    for need in rows:
        if need.kind != "yeast":
            continue
        for item in fitting(turn.state.stock, "yeast", need.name):
            state = strength(item, today)
            if state.spent:
                turn.say(f"The {item.name} in stock is {state.words}.")
            elif state.share < 0.9 and need.missing <= 0.05:
                grams = mass_with_age(need.wants.quantity, quantity(100 * state.share, "percent"))
                turn.say(f"Old yeast: take {wording.mass(grams, 'metric')} instead of {amount(turn, need.wants, 'yeast')}.")
            return


def can_brew(turn: Turn, intent: Intent) -> None:
    """Which recipes the shelf, or what was told in asking, is enough for, and what the malt alone would make."""
    told = [(name, Measured.model_validate(mass)) for name, mass in intent.slots.get("told", ())]
    if told:
        held = tuple(StockItem(key=f"told-{k}", kind=kind_of(name), name=name, bought=mass, left=mass, bought_on=turn.now.date()) for k, (name, mass) in enumerate(told))
        shelf = Turn(turn.state.model_copy(update={"stock": held}), turn.now)
        can_brew(shelf, intent.model_copy(update={"slots": {}}))
        turn.say(*shelf.lines, "Nothing is recorded.")
        return
    stock = [item for item in turn.state.stock if item.left.value > 0]
    if name := str(intent.slots.get("name", "")).strip():
        _one_recipe(turn, name)
        return
    if not stock:
        turn.say('I know of nothing in stock. "bought 5 kg pale malt for 9.50" puts it there.')
        return
    whole, nearly = [], []
    for name, recipe in _recipes(turn.state):
        batch = Batch(id=0, name=name, recipe=recipe, stage_since=turn.now, started=turn.now)
        rows = needs(batch, turn)
        short = [need for need in rows if need.has < _LEAST_SHARE * need.wants.value]
        if not short:
            whole.append(f"{name} ({wording.volume(plan.batch_volume(recipe), turn.state.units)})")
        elif len(short) == 1:
            need = short[0]
            nearly.append(f"{name} with {amount(turn, Measured(value=need.missing, unit='gram'))} more {need.name}")
    if whole:
        turn.say(f"All there for {', '.join(whole[:3])}.")
    if nearly:
        turn.say(f"Nearly: {'; '.join(nearly[:2])}.")
    _malt_makes(turn, stock)
    turn.offer(*((name.partition(" (")[0], f"brew the {name.partition(' (')[0]}") for name in whole[:2]))


def _one_recipe(turn: Turn, name: str) -> None:
    """Whether the shelf is enough for one recipe, by a part of its name; nothing is started."""
    words = set(name.casefold().split())
    found = next(((own, recipe) for own, recipe in _recipes(turn.state) if words <= set(own.casefold().split())), None)
    if found is None:
        turn.say(f'I have no recipe called {name}. Paste it after "recipe:", then "shopping list" says what is missing.')
        turn.offer(("recipes", "what recipes do you have"))
        return
    own, recipe = found
    rows = needs(Batch(id=0, name=own, recipe=recipe, stage_since=turn.now, started=turn.now), turn)
    short = [need for need in rows if need.has < _LEAST_SHARE * need.wants.value]
    size = wording.volume(plan.batch_volume(recipe), turn.state.units)
    if short:
        missing = ", ".join(f"{amount(turn, Measured(value=need.missing, unit='gram'), need.kind)} {need.name}" for need in short)
        turn.say(f"Not yet: {own} ({size}) still wants {missing}.")
    else:
        turn.say(f"Yes, everything for {own} ({size}) is in stock.")
        turn.offer((f"brew the {own}", f"brew the {own}"))


def _recipes(state: State) -> list[tuple[str, Recipe]]:
    """The person's own recipes, newest first, then the ones that ship."""
    found: dict[str, Recipe] = {}
    for batch in reversed(state.batches):
        if batch.recipe.grains and batch.recipe.hops and batch.name not in found:
            found[batch.name] = batch.recipe
    for demo in demo_recipes():
        if demo.name not in found:
            recipe = _demo(demo.text)
            if recipe is not None:
                found[demo.name] = recipe
    return list(found.items())


def _demo(text: str) -> Recipe | None:
    """A recipe that ships, as written; None where an amount in it is not a weight."""
    read = read_recipe(text)
    grains = tuple((grain.name, grain.mass) for grain in read.grains if grain.mass is not None)
    hops = tuple(
        Hop(key=str(number), name=hop.name, mass=hop.mass, alpha_percent=hop.alpha, boil_minutes=hop.minutes or 0.0)
        for number, hop in enumerate(read.hops)
        if hop.mass is not None
    )
    if len(grains) < len(read.grains) or read.volume is None:
        return None
    return Recipe(volume=read.volume, grains=grains, hops=hops, yeast=read.yeast.name if read.yeast else "")


def _malt_makes(turn: Turn, stock: list[StockItem]) -> None:
    grains = [(item.name, item.left.quantity) for item in stock if item.kind in ("grain", "sugar")]
    if not grains:
        turn.say("No malt is in stock.")
        return
    litres = 1.0
    goal = USUAL_GRAVITY
    share = plan.efficiency(turn.state.kit)
    # Extract is conserved, so the volume at a gravity follows from one at any other; halving finds it.
    low, high = 0.2, 500.0
    for _ in range(50):
        litres = (low + high) / 2
        try:
            found = float(expected_gravity(grains, quantity(litres, "litre"), share).magnitude)
        except ValueError:
            found = 2.0
        low, high = (litres, high) if found > goal else (low, litres)
    turn.say(f"The malt alone makes about {wording.volume(quantity(litres, 'litre'), turn.state.units)} at {goal:.3f}.")


HANDLERS: Handlers = {"stock.shopping": shopping, "stock.can_brew": can_brew, "stock.enough": can_brew}
