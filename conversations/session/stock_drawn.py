"""What brewing takes off the shelf in the turn that tells of it, and what lies there again when an amount is put right."""

from __future__ import annotations

from collections.abc import Iterable

from calc.errors import OutOfRange
from conversations.intents import Measured
from conversations.session import pitching
from conversations.session.joined_since import joined
from conversations.session.state import Batch, Hop
from conversations.session.stock import amount, take, wanted_yeast
from conversations.session.stock_bottling import of_bottling
from conversations.session.stock_items import fits, fitting, kind_of
from conversations.session.turn import Turn

_BEFORE_MASH = ("plan", "prepare", "heat")
_LEAST_G = 0.05


def draw_down(turn: Turn, before: Iterable[Batch], since: int = 0) -> None:
    """Take off the shelf what an intent reported as gone in: the grain, each hop, the yeast.

    ``since`` is how many events the turn had before: what was taken back in it lies on the shelf already.
    """
    if not turn.state.stock:
        return
    earlier = {batch.id: batch for batch in before}
    taken_back = any(event.kind == "undone" for event in turn.events[since:])
    for batch in turn.state.batches:
        old = turn.drawn.get(batch.id) or (None if taken_back else earlier.get(batch.id))
        if old is not None and old is not batch:
            _draw(turn, old, batch)
        # One intent may be done within another: nothing is taken twice.
        turn.drawn[batch.id] = next(each for each in turn.state.batches if each.id == batch.id)


def _draw(turn: Turn, old: Batch, batch: Batch) -> None:
    went_in: list[tuple[str, str, Measured]] = []
    if old.stage in _BEFORE_MASH and batch.stage not in _BEFORE_MASH:
        went_in += [(kind_of(name), name, mass) for name, mass in batch.recipe.grains]
    more, back = _hops(old, batch)
    went_in += more
    if old.stage != "ferment" and batch.stage == "ferment" and "ferment" not in old.entered:
        went_in.append(("yeast", batch.recipe.yeast or "yeast", _yeast(turn, batch)))
    told = len(old.readings)
    went_in += [(kind_of(joined(each)), joined(each), each.value) for each in batch.readings[told:] if each.kind == "extract"]
    went_in += of_bottling(old, batch)
    said = [line for kind, name, mass in back if (line := give_back(turn, batch, kind, name, mass))]
    for kind, name, mass in went_in:
        took, missing = take(turn, kind, name, mass, batch.id, f"{name} in")
        if took:
            said.append(_left(turn, took[-1].item, kind, name, mass.unit) + (f" (short by {amount(turn, missing, kind)})" if missing else ""))
    if said:
        turn.say(f"Stock: {', '.join(said)}.")


def _yeast(turn: Turn, batch: Batch) -> Measured:
    try:
        return pitching.drawn(batch, turn.state, turn.now)
    except OutOfRange:
        return wanted_yeast(batch.recipe, turn.state)


def _hops(old: Batch, batch: Batch) -> tuple[list[tuple[str, str, Measured]], list[tuple[str, str, Measured]]]:
    """Hops that went in since, and those that did not after all: an amount that was put right is the difference."""
    before = {hop.key: hop for hop in old.recipe.hops if hop.added_at}
    now = {hop.key: hop for hop in batch.recipe.hops if hop.added_at}
    more: list[tuple[str, str, Measured]] = []
    back: list[tuple[str, str, Measured]] = []
    for key in dict.fromkeys((*before, *now)):
        was, is_in = before.get(key), now.get(key)
        if was is not None and is_in is not None and was.name == is_in.name:
            grams = is_in.mass.in_unit("gram") - was.mass.in_unit("gram")
            if abs(grams) >= _LEAST_G:
                (more if grams > 0 else back).append(("hop", is_in.name, Measured(value=round(abs(grams), 6), unit="gram")))
            continue
        back += [_row(was)] if was is not None else []
        more += [_row(is_in)] if is_in is not None else []
    return more, back


def _row(hop: Hop) -> tuple[str, str, Measured]:
    return "hop", hop.name, hop.mass


def give_back(turn: Turn, batch: Batch, kind: str, name: str, mass: Measured) -> str:
    """Put what did not go in back to the lots that it was drawn from, the last first; what is left then, empty where none was drawn."""
    lots = {item.key: item for item in turn.state.stock if fits(item, kind, name)}
    missing, last = mass.value, ""
    for used in reversed(batch.used):
        item = next((each for each in turn.state.stock if each.key == used.item), None)
        if item is None or item.key not in lots or missing <= 0 or not used.amount.quantity.is_compatible_with(mass.quantity):
            continue
        part = min(missing, used.amount.in_unit(mass.unit))
        missing, last = missing - part, item.key
        back = Measured(value=round(part, 6), unit=mass.unit)
        left = Measured(value=round(item.left.value + back.in_unit(item.left.unit), 6), unit=item.left.unit)
        turn.record(
            "stock_returned", label=f"{name} back", batch=batch.id, key=item.key,
            left=left.model_dump(mode="json"), amount=back.model_dump(mode="json"),
        )
    return _left(turn, last, kind, name, mass.unit) if last else ""


def _left(turn: Turn, key: str, kind: str, name: str, unit: str) -> str:
    last = next(item for item in turn.state.stock if item.key == key)
    rest = fitting(turn.state.stock, kind, name)
    there = sum(item.left.in_unit(unit) for item in rest if item.left.quantity.is_compatible_with(Measured(value=1.0, unit=unit).quantity))
    return f"{amount(turn, Measured(value=there, unit=unit), kind) if there else 'none'} {last.name} left"
