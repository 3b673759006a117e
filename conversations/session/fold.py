"""Events into state: the only place where state changes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from conversations.intents import Intent, Measured
from conversations.session.events import Event, Reminder
from conversations.session.stages import stages
from conversations.session.state import (
    Awaited,
    Batch,
    Bottles,
    Correction,
    Kit,
    Photo,
    Priming,
    Reading,
    Recipe,
    Recording,
    State,
    StockItem,
    Tasting,
    Timer,
    Used,
)

EMPTY = State()
UNDO_DEPTH = 8


def fold(state: State, events: Iterable[Event]) -> State:
    """State after the events, in order; an event of an unknown kind raises KeyError."""
    for event in events:
        state = _APPLY[event.kind](state, event)
    return state


def _set(state: State, **fields: Any) -> State:
    return state.model_copy(update=fields)


def _batch(state: State, event: Event, **fields: Any) -> State:
    changed = tuple(batch.model_copy(update=fields) if batch.id == event.batch else batch for batch in state.batches)
    return _set(state, batches=changed)


def batch_of(state: State, number: int | None) -> Batch | None:
    """The batch with this number, or None."""
    return next((batch for batch in state.batches if batch.id == number), None)


def _opened(state: State, event: Event) -> State:
    kept = _set(state, undo=())
    return _set(state, undo=(*state.undo, (event.data["label"], kept))[-UNDO_DEPTH:])


def _undone(state: State, event: Event) -> State:
    if not state.undo:
        return state
    _, earlier = state.undo[-1]
    # Numbers are never given twice, so that a reminder of the retracted message is not mixed up with a new one.
    kept = {"next_id": state.next_id, "clock": state.clock, "nudged_at": state.nudged_at}
    return _set(earlier, undo=state.undo[:-1], **kept)


def _batch_started(state: State, event: Event) -> State:
    batch = Batch(
        id=event.data["id"], name=event.data["name"], kit=state.kit.name, stage_since=event.at, started=event.at
    )
    return _set(state, batches=(*state.batches, batch), current=batch.id, next_id=max(state.next_id, batch.id + 1))


def _kits_told(state: State, event: Event) -> State:
    kit = Kit.model_validate(event.data["kit"])
    kits = tuple(Kit.model_validate(each) for each in event.data["kits"])
    batch = batch_of(state, event.batch)
    if batch is not None and batch.stage in ("plan", "prepare", "heat"):
        state = _batch(state, event, kit=kit.name)
    return _set(state, kit=kit, kits=kits)


def _kit_learned(state: State, event: Event) -> State:
    def taught(kit: Kit) -> Kit:
        if kit.name != event.data["name"]:
            return kit
        fields = event.data["fields"]
        learned = tuple(sorted({*kit.learned, *fields} - {*kit.told}))
        return Kit.model_validate({**kit.model_dump(), **fields, "learned": learned})

    return _set(state, kit=taught(state.kit), kits=tuple(taught(kit) for kit in state.kits))


def _stock_set(state: State, event: Event) -> State:
    item = StockItem.model_validate(event.data["item"])
    # What was spoken of last stands last, for "used 200 g" and "it cost 9.50".
    others = tuple(each for each in state.stock if each.key != item.key)
    return _set(state, stock=(*others, item), next_id=max(state.next_id, int(item.key) + 1))


def _stock_used(state: State, event: Event) -> State:
    left = Measured.model_validate(event.data["left"])
    stock = tuple(
        each.model_copy(update={"left": left}) if each.key == event.data["key"] else each for each in state.stock
    )
    state, batch = _set(state, stock=stock), batch_of(state, event.batch)
    if batch is None or not event.data.get("in_batch", True):
        return state
    return _batch(state, event, used=(*batch.used, Used.model_validate(event.data["used"])))


def _stock_returned(state: State, event: Event) -> State:
    """Some of what was drawn for a batch lies on the shelf again: its rows shrink with their cost, the last first."""
    key, back = event.data["key"], Measured.model_validate(event.data["amount"])
    left = Measured.model_validate(event.data["left"])
    stock = tuple(each.model_copy(update={"left": left}) if each.key == key else each for each in state.stock)
    state, batch = _set(state, stock=stock), batch_of(state, event.batch)
    if batch is None:
        return state
    rows, missing = list(batch.used), back.value
    for place in range(len(rows) - 1, -1, -1):
        row = rows[place]
        if row.item == key and missing > 0:
            had = row.amount.in_unit(back.unit)
            kept = max(0.0, had - missing)
            missing -= had - kept
            cost = str(Decimal(row.cost) * Decimal(str(round(kept / had, 9)))) if row.cost is not None else None
            rows[place] = row.model_copy(update={"amount": Measured(value=round(kept, 6), unit=back.unit), "cost": cost})
    return _batch(state, event, used=tuple(row for row in rows if row.amount.value > 0))


def _stage_entered(state: State, event: Event) -> State:
    batch, stage = batch_of(state, event.batch), event.data["stage"]
    order = list(stages())
    upto = order[: order.index(stage) + 1] if stage in order else [*order, stage]
    entered = {name: at for name, at in (batch.entered if batch else {}).items() if name in upto}
    if "since" in event.data:
        # Told later than it was done: it counts from then.
        entered[stage] = datetime.fromisoformat(str(event.data["since"]))
    entered.setdefault(stage, event.at)
    expected = event.data.get("expected_original", batch.expected_original if batch else None)
    return _batch(
        state, event, stage=stage, stage_since=event.at, paused_at=None, entered=entered, expected_original=expected
    )


def _resumed(state: State, event: Event) -> State:
    """A boil that stood still lasts so much longer: its start counts as later."""
    batch = batch_of(state, event.batch)
    if batch is None or batch.paused_at is None or batch.boil_started is None or batch.stage != "boil":
        return _batch(state, event, paused_at=None)
    return _batch(state, event, paused_at=None, boil_started=batch.boil_started.astimezone(UTC) + (event.at.astimezone(UTC) - batch.paused_at))


def _reading(state: State, event: Event) -> State:
    reading = Reading.model_validate(event.data["reading"])
    batch = batch_of(state, event.batch)
    state = _set(state, next_id=max(state.next_id, reading.id + 1))
    if batch is None:
        return state
    # A reading of yesterday that is sent today takes its place in time.
    return _batch(state, event, readings=tuple(sorted((*batch.readings, reading), key=lambda each: each.at)))


def _reading_dropped(state: State, event: Event) -> State:
    batch = batch_of(state, event.batch)
    if batch is None:
        return state
    wrong = [each for each in batch.readings if each.id == event.data["id"]]
    left = tuple(each for each in batch.readings if each.id != event.data["id"])
    corrections = (*batch.corrections, *(Correction(was=each, by=event.data.get("by")) for each in wrong))
    return _batch(state, event, readings=left, corrections=corrections)


def _note(state: State, event: Event) -> State:
    batch = batch_of(state, event.batch)
    if batch is None:
        return _set(state, notes=(*state.notes, event.data["text"]))
    return _batch(state, event, notes=(*batch.notes, event.data["text"]), notes_at=(*batch.notes_at, event.at))


def _caution(state: State, event: Event) -> State:
    batch = batch_of(state, event.batch)
    if batch is None:
        return state
    return _batch(state, event, cautions_shown=(*batch.cautions_shown, event.data["key"]))


def _bottles_told(state: State, event: Event) -> State:
    return _batch(state, event, bottles=tuple(Bottles.model_validate(each) for each in event.data["bottles"]))


def _bottles_gone(state: State, event: Event) -> State:
    batch = batch_of(state, event.batch)
    gone = batch.gone if batch is not None else ()
    return _batch(state, event, gone=(*gone, Bottles.model_validate(event.data["lot"])))


def _tasted(state: State, event: Event) -> State:
    tasting = Tasting.model_validate(event.data["tasting"])
    batch = batch_of(state, event.batch)
    state = _set(state, next_id=max(state.next_id, tasting.id + 1))
    if batch is None:
        return state
    others = tuple(each for each in batch.tastings if each.id != tasting.id)
    return _batch(state, event, tastings=(*others, tasting))


def _photo(state: State, event: Event) -> State:
    batch = batch_of(state, event.batch)
    if batch is None:
        return state
    photo = Photo(path=event.data["path"], at=event.at, caption=event.data.get("text", ""))
    return _batch(state, event, photos=(*batch.photos, photo))


def _recorded(state: State, event: Event) -> State:
    # The sound is there whatever becomes of what was said in it.
    undo = tuple((label, _recorded(earlier, event)) for label, earlier in state.undo)
    batch = batch_of(state, event.batch)
    if batch is None:
        return _set(state, undo=undo)
    kept = Recording(path=event.data["path"], at=event.at, text=event.data["text"])
    return _set(_batch(state, event, recordings=(*batch.recordings, kept)), undo=undo)


def _timer_set(state: State, event: Event) -> State:
    timer = Timer.model_validate(event.data["timer"])
    others = tuple(other for other in state.timers if other.key != timer.key)
    return _set(state, timers=(*others, timer))


def _timer_dropped(state: State, event: Event) -> State:
    return _set(state, timers=tuple(timer for timer in state.timers if timer.key != event.data["key"]))


def _reminder_set(state: State, event: Event) -> State:
    reminder = Reminder.model_validate(event.data["reminder"])
    return _set(state, reminders={**state.reminders, reminder.key: reminder})


def _reminder_dropped(state: State, event: Event) -> State:
    left = {key: value for key, value in state.reminders.items() if key != event.data["key"]}
    return _set(state, reminders=left)


def _awaited_set(state: State, event: Event) -> State:
    return _set(state, awaited=(*state.awaited, Awaited.model_validate(event.data["awaited"])))


def _awaited_dropped(state: State, event: Event) -> State:
    return _set(state, awaited=tuple(each for each in state.awaited if each.key != event.data["key"]))


def _fired(state: State, event: Event) -> State:
    # What has been said aloud is not said again after an undo.
    undo = tuple((label, _reminder_dropped(earlier, event)) for label, earlier in state.undo)
    fired = state.reminders.get(event.data["key"])
    nudged_at = event.at if fired is not None and fired.kind == "nudge" else state.nudged_at
    return _set(_reminder_dropped(state, event), undo=undo, last_fired=fired, nudged_at=nudged_at)


def _said(state: State, event: Event) -> State:
    last = event.data.get("last")
    return _set(
        state,
        expects=event.data.get("expects"),
        question=event.data.get("question"),
        last=Intent.model_validate(last) if last else state.last,
        why=event.data.get("why") or state.why,
        understood=event.data.get("understood") or state.understood,
        about=event.data.get("about") or "",
        clock=max(state.clock, event.at) if state.clock else event.at,
        next_id=state.next_id,
    )


_APPLY = {
    "heard": lambda state, event: state,
    "opened": _opened,
    "undone": _undone,
    "batch_started": _batch_started,
    "recipe_told": lambda s, e: _batch(s, e, recipe=Recipe.model_validate(e.data["recipe"])),
    "renamed": lambda s, e: _batch(s, e, name=e.data["name"]),
    "kit_told": lambda s, e: _set(s, kit=Kit.model_validate(e.data["kit"])),
    "kits_told": _kits_told,
    "kit_learned": _kit_learned,
    "mash_water": lambda s, e: _batch(s, e, mash_water=Measured.model_validate(e.data["water"])),
    "bag_squeezed": lambda s, e: _batch(s, e, squeezed=e.data["squeezed"]),
    "stock_set": _stock_set,
    "stock_used": _stock_used,
    "stock_returned": _stock_returned,
    "timeline_planned": lambda s, e: _batch(s, e, planned_start=datetime.fromisoformat(e.data["start"])),
    "settings_told": lambda s, e: _set(s, **e.data, told=tuple(sorted({*s.told, *e.data})), currency_told=s.currency_told or "currency" in e.data),
    "stage_entered": _stage_entered,
    "boil_started": lambda s, e: _batch(s, e, boil_started=datetime.fromisoformat(e.data["since"]) if "since" in e.data else e.at),
    "paused": lambda s, e: _batch(s, e, paused_at=datetime.fromisoformat(e.data["since"]) if "since" in e.data else e.at),
    "resumed": _resumed,
    "reading": _reading,
    "reading_dropped": _reading_dropped,
    "bottles_told": _bottles_told,
    "bottles_gone": _bottles_gone,
    "bottle_type_told": lambda s, e: _batch(s, e, bottle_type=e.data["type"]),
    "yeast_pitched": lambda s, e: _batch(s, e, yeast_pitched=Measured.model_validate(e.data["mass"])),
    "priming_told": lambda s, e: _batch(s, e, priming=Priming.model_validate(e.data["priming"])),
    "risk_accepted": lambda s, e: _batch(s, e, risk_accepted=e.data["sentence"]),
    "tasted": _tasted,
    "batch_closed": lambda s, e: _batch(s, e, closed=e.data["closed"]),
    "photo": _photo,
    "recording": _recorded,
    "note": _note,
    "caution": _caution,
    "timer_set": _timer_set,
    "timer_dropped": _timer_dropped,
    "reminder_set": _reminder_set,
    "reminder_dropped": _reminder_dropped,
    "numbered": lambda s, e: _set(s, next_id=max(s.next_id, e.data["next_id"])),
    "awaited_set": _awaited_set,
    "awaited_dropped": _awaited_dropped,
    "fired": _fired,
    "switched": lambda s, e: _set(s, current=e.batch, switched_at=e.at if e.data.get("chosen") else s.switched_at),
    "said": _said,
}
