"""The diary over a stretch of time: what was brewed in it, the last few batches, and totals."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import batch_names, plan, wording
from conversations.session.diary import facts
from conversations.session.prices import money
from conversations.session.priming import litres_in
from conversations.session.stages import stage_now
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_MOST_LISTED = 12
_USUAL_FEW = 3


def in_a_line(turn: Turn, batch: Batch) -> str:
    """A batch in one line: its day, name, gravities, strength, bottles and score, as far as they are known."""
    known = facts(turn, batch)
    gravities = " to ".join(known[name] for name in ("original_gravity", "final_gravity") if name in known)
    bottles = f"{known['bottles']} bottles" if "bottles" in known else ""
    parts = [gravities, known.get("strength", ""), bottles, known.get("score", "")]
    told = ", ".join(part for part in parts if part) or stage_now(batch.stage)
    return f"{batch_names.day_words(batch.started, turn.state)}, {batch.name}: {told}."


def _named(intent: Intent, turn: Turn) -> tuple[date, date, str]:
    """First day, the day after the last one, and the words of the stretch that is asked for; else this year."""
    slots = intent.slots
    if "from" in slots:
        return date.fromisoformat(str(slots["from"])), date.fromisoformat(str(slots["until"])), str(slots["period"])
    if slots.get("which") == "all":
        return date.min, date.max, "all together"
    year = turn.now.year
    if "year" in slots:
        year = max(1, min(9998, int(float(slots["year"]))))
    elif slots.get("which") == "last":
        year -= 1
    return date(year, 1, 1), date(year + 1, 1, 1), str(year)


def _within(turn: Turn, at: datetime, first: date, after: date) -> bool:
    return first <= at.astimezone(ZoneInfo(turn.state.zone)).date() < after


def _whole(name: str) -> str:
    return name[:1].upper() + name[1:]


def brewed(turn: Turn, intent: Intent) -> None:
    """ "what did I brew in March": the batches that were begun then, one line each."""
    first, after, name = _named(intent, turn)
    found = sorted((each for each in turn.state.batches if _within(turn, each.started, first, after)), key=lambda each: each.started)
    if not found:
        where = f"in {name}" if name[:4] not in ("this", "last", "all ") else name
        turn.say(f"Nothing was begun {where}.", _nearest(turn, first))
        return
    turn.say(f"{_whole(name)}: {_counted(len(found))}, {_litres(turn, found)}.")
    turn.say(*(in_a_line(turn, each) for each in found[:_MOST_LISTED]))
    if len(found) > _MOST_LISTED:
        turn.say(f"And {len(found) - _MOST_LISTED} more: name a shorter time.")


def _nearest(turn: Turn, first: date) -> str:
    """The batch before that time, else the one after it; empty without any."""
    zone = ZoneInfo(turn.state.zone)
    by_day = sorted(turn.state.batches, key=lambda each: each.started)
    before = [each for each in by_day if each.started.astimezone(zone).date() < first]
    near = before[-1] if before else by_day[0] if by_day else None
    if near is None:
        return "The diary has no batch yet."
    return f"The one {'before' if before else 'after'} it: {batch_names.day_words(near.started, turn.state)}, {near.name}."


def happened(turn: Turn, intent: Intent) -> None:
    """ "what happened in March": for each batch what was done with it then."""
    first, after, name = _named(intent, turn)
    lines = []
    for batch in sorted(turn.state.batches, key=lambda each: each.started):
        told = _told(turn, batch, first, after)
        if told:
            lines.append(f"{batch_names.label(batch, turn.state)}: {', '.join(told)}.")
    if not lines:
        turn.say(f"Nothing is in the diary for {name}.", _nearest(turn, first))
        return
    turn.say(f"{_whole(name)}:", *lines[:_MOST_LISTED])


def _told(turn: Turn, batch: Batch, first: date, after: date) -> list[str]:
    def day(at: datetime) -> str:
        local = at.astimezone(ZoneInfo(turn.state.zone))
        return f"{local.day} {local:%b}"

    steps = (("begun", batch.started), ("yeast in", batch.entered.get("ferment")), ("bottled", batch.entered.get("condition")))
    told = [f"{word} {day(at)}" for word, at in steps if at is not None and _within(turn, at, first, after)]
    told += [f"tasted {day(note.at)}" for note in batch.tastings if _within(turn, note.at, first, after)]
    for count, word in (
        (sum(_within(turn, each.at, first, after) for each in batch.readings), "reading"),
        (sum(_within(turn, at, first, after) for at in batch.notes_at), "note"),
        (sum(_within(turn, each.at, first, after) for each in batch.photos), "photo"),
    ):
        if count:
            told.append(f"{count} {word}{'s' if count > 1 else ''}")
    return told


def last_few(turn: Turn, intent: Intent) -> None:
    """ "show me the last three": the newest batches, the newest first."""
    wanted = int(float(intent.slots.get("count", _USUAL_FEW)))
    found = sorted(turn.state.batches, key=lambda each: each.started, reverse=True)[: max(1, min(wanted, _MOST_LISTED))]
    if not found:
        turn.say("The diary has no batch yet.")
        return
    turn.say(*(in_a_line(turn, each) for each in found))
    if len(found) < wanted <= _MOST_LISTED:
        turn.say(f"There {'are' if len(found) > 1 else 'is'} no more than {_counted(len(found))}.")


def _counted(number: int) -> str:
    return f"{number} batch{'es' if number != 1 else ''}"


def _litres(turn: Turn, batches: Iterable[Batch]) -> str:
    volumes = [plan.volume_now(each) or plan.batch_volume(each.recipe) for each in batches]
    return wording.volume(quantity(sum(float(each.to("litre").magnitude) for each in volumes), "litre"), turn.state.units)


def totals(turn: Turn, intent: Intent) -> None:
    """Totals of a year, a month or another stretch."""
    first, after, name = _named(intent, turn)
    mine = [batch for batch in turn.state.batches if _within(turn, batch.started, first, after)]
    if not mine:
        turn.say(f"No batch in {name}." if name[:4] not in ("this", "last", "all ") else f"No batch {name}.", _nearest(turn, first))
        return
    pitched = [batch for batch in mine if "ferment" in batch.entered]
    filled = [lot for batch in mine for lot in batch.bottles]
    grain = quantity(sum(float(plan.grain_mass(b.recipe).to("kilogram").magnitude) for b in pitched), "kilogram")
    hops = quantity(sum(h.mass.in_unit("gram") for b in pitched for h in b.recipe.hops if not h.skipped), "gram")
    units = turn.state.units
    turn.say(f"{_whole(name)}: {_counted(len(mine))}, {_litres(turn, pitched)} brewed.")
    if filled:
        turn.say(f"{sum(lot.count for lot in filled)} bottles, {wording.volume(quantity(litres_in(tuple(filled)), 'litre'), units)}.")
    turn.say(f"{wording.mass(grain, units)} grain and {wording.mass(hops, units)} hops.")
    paid = [Decimal(used.cost) for batch in mine for used in batch.used if used.cost]
    if paid:
        turn.say(f"{money(sum(paid, Decimal(0)), turn.state.currency)} for what went in, as far as prices are known.")
    elif "spen" in intent.text.lower():
        turn.say('No price is known of what went in. "bought 5 kg pale malt for 9.50" tells one.')
    if len(mine) <= _MOST_LISTED:
        turn.offer(("which ones", f"batches of {name}"))
    turn.working = "Litres are the last volume measured of each batch that was pitched, else the recipe's size."


HANDLERS: Handlers = {
    "diary.brewed": brewed,
    "diary.happened": happened,
    "diary.few": last_few,
    "diary.year": totals,
}
