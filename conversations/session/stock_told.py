"""What is told of the shelf beside buying: how much is left or gone, when it was opened or packed, until when it keeps."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from conversations.intents import Intent, Measured
from conversations.session.costs import costs_of
from conversations.session.prices import money
from conversations.session.readings import measured
from conversations.session.state import StockItem
from conversations.session.stock import amount, put, take
from conversations.session.stock_items import SACHET, fits, fits_hop, fitting, kind_of, sachet_of, strength
from conversations.session.turn import Handlers, Turn
from conversations.understanding.answers import find_answer

_KINDS = {"hop": "hop", "hops": "hop", "malt": "grain", "malts": "grain", "grain": "grain", "yeast": "yeast"}
"""Words that mean everything of a kind."""
_GOOD = 0.85
"""Share of its strength above which a thing is called good."""


def day_told(intent: Intent, slot: str) -> date | None:
    """A day that a message told, if it did."""
    said = intent.slots.get(slot)
    return date.fromisoformat(str(said)) if said else None


def _name(intent: Intent) -> str:
    return str(intent.slots.get("name", "")).strip()


def _meant(turn: Turn, name: str) -> list[StockItem]:
    """Lots with something left: of what is named, of all of a kind, else what was spoken of last; in the order of use.

    What is told behind a purchase in the same message is of that one alone.
    """
    there = [item for item in turn.state.stock if item.left.value > 0]
    new = {str(int(event.data["next_id"]) - 1) for event in turn.events if event.kind == "numbered"}
    if now := [item for item in there if item.key in new and (not name or fits(item, kind_of(name), name) or _KINDS.get(name.casefold()) == item.kind)]:
        return now
    if kind := _KINDS.get(name.casefold()):
        return [item for item in there if item.kind == kind]
    return fitting(turn.state.stock, kind_of(name), name) if name else there[-1:]


def _unknown(turn: Turn, name: str) -> None:
    turn.say(f'No {name or "such thing"} is in stock, nothing changed. "bought 100 g Fuggle for 4" puts some there.')


def left(turn: Turn, intent: Intent) -> None:
    """ "half a sachet left, opened in March", "300 g crystal left": what there is in all, whatever was counted before."""
    slots, name = intent.slots, _name(intent)
    sachets = bool(slots.get("sachets"))
    if not name and not sachets and not turn.state.stock:
        turn.say('Left of what? "300 g crystal malt left".')
        return
    kind = "yeast" if sachets else (kind_of(name) if name else "")
    lots = _lots(turn, kind, name or ("yeast" if sachets else ""))
    share = float(slots.get("count", 1.0))
    if sachets:
        there = Measured(value=round(share * sachet_of(lots[-1] if lots else None).in_unit("gram"), 3), unit="gram")
    else:
        there = measured(slots["mass"])
    name = name or (lots[-1].name if lots else "yeast")
    opened = day_told(intent, "opened")
    if lots:
        changed = _set_in_all(turn, lots, there, opened, name)
    else:
        # A sachet that was told by what is left of it was whole once: it must not be halved again.
        whole = max(1.0, share) * SACHET.value if sachets else there.value
        changed = StockItem(
            key=str(turn.number()), kind=kind, name=name, bought=Measured(value=whole, unit=there.unit), left=there,
            bought_on=turn.now.date(), opened=opened, alpha_percent=_alpha_told(turn, name) if kind == "hop" else None,
        )
        put(turn, changed, f"{name} left")
        if sachets:
            turn.working = f"A full sachet is taken as {SACHET.value:g} g."
    state = strength(changed, turn.now.date())
    turn.say(f"{amount(turn, there, changed.kind)} {changed.name} in stock{f', {state.words}' if state.words else ''}.")
    if state.spent and changed.kind == "yeast":
        turn.say("Buy a fresh sachet for the next batch.")
    turn.offer(("undo", "undo"))


def _lots(turn: Turn, kind: str, name: str) -> list[StockItem]:
    """The lots that an amount is told of: what fits the name, used up or not; without a name what was spoken of last."""
    if not name:
        return list(turn.state.stock[-1:])
    return fitting(turn.state.stock, kind, name) or [item for item in turn.state.stock if fits(item, kind, name)][-1:]


def _alpha_told(turn: Turn, name: str) -> float | None:
    """What the recipe that is open was told of that hop's alpha acids, where no packet told them: it is read off the same packet."""
    hops = turn.batch.recipe.hops if turn.batch is not None else ()
    told = {hop.alpha_percent for hop in hops if hop.alpha_percent is not None and fits_hop(hop.name, name)}
    return told.pop() if len(told) == 1 else None


def _set_in_all(turn: Turn, lots: list[StockItem], there: Measured, opened: date | None, name: str) -> StockItem:
    """So much in all: what is gone went from the lots that are used first; more than was known of is the last one's."""
    alike = [item for item in lots if item.left.quantity.is_compatible_with(there.quantity)]
    known = [item.left.in_unit(there.unit) for item in alike] or [0.0]
    alike = alike or lots[-1:]
    kept: list[float] = []
    rest = there.value
    for has in reversed(known):
        kept.insert(0, min(has, rest))
        rest -= kept[0]
    kept[-1] += max(0.0, there.value - sum(known))
    changed = alike[-1]
    for item, value in zip(alike, kept, strict=True):
        update: dict[str, object] = {"left": Measured(value=round(value, 6), unit=there.unit)}
        if opened is not None and item is alike[0]:
            update["opened"] = opened
        if item.name == "yeast":
            update["name"] = name
        new = item.model_copy(update=update)
        put(turn, new, f"{item.name} left")
        if value > 0 or item is alike[-1]:
            changed = new
    return changed


def opened(turn: Turn, intent: Intent) -> None:
    """ "opened the Fuggle", "opened the yeast in March"."""
    name = _name(intent)
    item = next(iter(fitting(turn.state.stock, kind_of(name), name)), None) if name else next(iter(turn.state.stock[-1:]), None)
    if item is None:
        turn.say(f'No {name or "such thing"} is in stock, nothing changed. "note: ..." keeps it in the diary.')
        return
    day = day_told(intent, "opened") or turn.now.date()
    changed = item.model_copy(update={"opened": day})
    put(turn, changed, f"opened {item.name}")
    state = strength(changed, turn.now.date())
    turn.say(f"{item.name} opened {day.day} {day:%B}{f': {state.words}' if state.words else ''}.")


def best_before(turn: Turn, intent: Intent) -> None:
    """ "the hops are best before June": of what is named, of all hops in stock, else of what was spoken of last."""
    name, date_told = _name(intent), day_told(intent, "best_before")
    if date_told is None:
        return
    meant = _meant(turn, name)
    if not meant:
        turn.say(f'No {name or "such thing"} is in stock, so the date has nothing to stand on. "bought 100 g Fuggle for 4" puts some there.')
        return
    for item in meant:
        put(turn, item.model_copy(update={"best_before": date_told}), f"date of {item.name}")
    names = ", ".join(dict.fromkeys(item.name for item in meant))
    turn.say(f"{names}: best before {date_told.day} {date_told:%B %Y}.")
    if date_told < turn.now.date():
        turn.say("That is past.")
    turn.offer(("what have I got", "what have I got"), ("undo", "undo"))


def packed(turn: Turn, intent: Intent) -> None:
    """ "the Goldings are from 2024": how old it is, and what age has left of it."""
    name, day = _name(intent), day_told(intent, "packed")
    meant = _meant(turn, name)
    if day is None or not meant:
        _unknown(turn, name)
        return
    for item in meant:
        put(turn, item.model_copy(update={"packed": day}), f"age of {item.name}")
    state = strength(meant[-1].model_copy(update={"packed": day}), turn.now.date())
    names = ", ".join(dict.fromkeys(item.name for item in meant))
    turn.say(f"{names}: packed {day:%B %Y}{f', {state.words}' if state.words and len(meant) == 1 else ''}.")
    turn.offer(("what have I got", "what have I got"), ("undo", "undo"))


def gone(turn: Turn, intent: Intent) -> None:
    """ "threw the Goldings away", "we're out of Fuggle", "no crystal left": none of it is on the shelf any more."""
    name = _name(intent)
    meant = _meant(turn, name)
    if not meant:
        _unknown(turn, name)
        return
    for item in meant:
        put(turn, item.model_copy(update={"left": Measured(value=0.0, unit=item.left.unit)}), f"{item.name} gone")
    shown = ", ".join(f"{amount(turn, item.left)} {item.name}" for item in meant[:3])
    turn.say(f"Off the shelf: {shown}. None is left.")
    turn.offer(("shopping list", "shopping list"), ("undo", "undo"))


def share_used(turn: Turn, intent: Intent) -> None:
    """ "used half of the crystal", "half the Fuggle is left": a part of what there is."""
    name, share = _name(intent), float(intent.slots["share"])
    meant = _meant(turn, name)
    if not meant:
        _unknown(turn, name)
        return
    unit = meant[0].left.unit
    total = sum(item.left.in_unit(unit) for item in meant if item.left.quantity.is_compatible_with(meant[0].left.quantity))
    part = total * (1 - share if intent.slots.get("of") == "left" else share)
    take(turn, meant[0].kind, meant[0].name, Measured(value=round(part, 6), unit=unit), None, f"used {meant[0].name}")
    turn.say(f"{amount(turn, Measured(value=part, unit=unit))} {meant[0].name} used, {amount(turn, Measured(value=total - part, unit=unit))} left.")
    turn.offer(("undo", "undo"))


def good(turn: Turn, intent: Intent) -> None:
    """ "is my yeast still good", "how old are the Goldings": by what is on the shelf, else what is usual."""
    meant = _meant(turn, _name(intent))
    if not meant:
        answer = find_answer(intent.text)
        if answer is None:
            turn.say(f'No {_name(intent)} is in stock. "bought 100 g Fuggle for 4, best before June 2027" and I keep watch over it.')
        else:
            turn.say(*answer.text.splitlines(), answer.caution)
        return
    today = turn.now.date()
    for item in meant[:3]:
        state = strength(item, today)
        since = item.packed or item.bought_on
        known = f"packed {since:%B %Y}" if item.packed else f"bought {since.day} {since:%B %Y}"
        opened_on = f", opened {item.opened.day} {item.opened:%B %Y}" if item.opened else ""
        verdict = "too old: take fresh" if state.spent else "good" if state.share >= _GOOD else "weaker, still usable"
        words = f" ({state.words})" if state.words else ""
        turn.say(f"{item.name}: {verdict}{words}; {known}{opened_on}.")
    if any(item.kind == "yeast" for item in meant) and any(strength(item, today).share < _GOOD for item in meant):
        turn.say("Test it: 30 °C water with a pinch of sugar should froth in 30 minutes.")


def paid(turn: Turn, intent: Intent) -> None:
    """ "what did I pay for the Fuggle": the price of each lot, the newest first; "what did the hops cost": those of the batch."""
    name = _name(intent)
    kind = _KINDS.get(name.casefold())
    if kind is not None and turn.batch is not None and (part := costs_of(turn.batch, turn.state).by_kind.get(kind)) is not None:
        turn.say(f"{money(part, turn.state.currency)} for the {name} of {turn.batch.name}.")
        return
    lots = [item for item in turn.state.stock if fits(item, kind_of(name), name)]
    told = [item for item in reversed(lots) if item.price is not None]
    if not told:
        turn.say(f'No price of {name} is told. "the {name} cost 4" adds it.' if lots else f"No {name} was bought that I know of.")
        return
    for item in told[:3]:
        turn.say(f"{money(Decimal(item.price or '0'), turn.state.currency)} for {amount(turn, item.bought)} {item.name}, bought {item.bought_on.day} {item.bought_on:%B %Y}.")


HANDLERS: Handlers = {
    "stock.good": good,
    "stock.paid": paid,
    "stock.left": left,
    "stock.opened": opened,
    "stock.best_before": best_before,
    "stock.packed": packed,
    "stock.gone": gone,
    "stock.share_used": share_used,
}
