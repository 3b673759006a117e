"""Questions about one batch of the diary that is named: its recipe, its tasting, its notes, its cost, when something was done."""

from __future__ import annotations

from decimal import Decimal

from calc.cost import cost_per_bottle
from conversations.intents import Intent
from conversations.session import batch_names, costs, recipe_paste, wording
from conversations.session.diary import search, tasted
from conversations.session.prices import money
from conversations.session.stages import stage_now, stages
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_MOST_NOTES = 12
_MOST_PHOTOS = 6


def _meant(turn: Turn, intent: Intent) -> Batch | None:
    """The newest batch of that name, the current one where none is named; says so where there is none."""
    slot = intent.slots.get("name", "")
    said = str(slot.get("name", "") if isinstance(slot, dict) else slot)
    found = batch_names.find(turn.state, said)
    if found:
        return found[0]
    turn.say(f"No batch is called {said}." if said else "No batch is open.", '"batches" lists them.')
    return None


def recipe(turn: Turn, intent: Intent) -> None:
    """ "recipe of the porter", "what was in the porter"."""
    batch = _meant(turn, intent)
    if batch is not None:
        recipe_paste.tell(turn, batch)


def amount(turn: Turn, intent: Intent) -> None:
    """ "how much Fuggle did I use in the porter"."""
    batch = _meant(turn, intent)
    if batch is None:
        return
    slot = intent.slots.get("what", "")
    said = str(slot.get("name", "") if isinstance(slot, dict) else slot).strip(" ?.")
    stem = said.lower().removesuffix("s")
    units = turn.state.units
    every = [(name, mass, "") for name, mass in batch.recipe.grains]
    every += [(hop.name, hop.mass, ", left out" if hop.skipped else f", {recipe_paste.hop_time(hop)}") for hop in batch.recipe.hops]
    found = [f"{wording.mass(mass.quantity, units)} {name}{when}" for name, mass, when in every if stem and stem in name.lower()]
    name = batch_names.label(batch, turn.state)
    if not found:
        turn.say(f"{name} had no {said}.")
        recipe_paste.tell(turn, batch)
        return
    turn.say(f"{name}: {'; '.join(found)}.")


def tasting(turn: Turn, intent: Intent) -> None:
    """ "what did I think of the porter", "tasting notes of the mild": the notes themselves, the newest first."""
    slot = intent.slots.get("name", "")
    said = str(slot.get("name", "") if isinstance(slot, dict) else slot)
    if said and not batch_names.find(turn.state, said):
        # "what did I say about the lid" is of no batch.
        search(turn, Intent(name="diary.search", slots={"text": said}))
        return
    if not said and not any(each.tastings for each in turn.state.batches):
        turn.say('No tasting note yet. "tasting" makes one.')
        return
    if not said:
        rows = sorted(((note.at, each, note) for each in turn.state.batches for note in each.tastings), key=lambda row: row[0], reverse=True)
        turn.say(*(f"{batch_names.day_words(at, turn.state)}, {each.name}: {tasted(note)}." for at, each, note in rows[:5]))
        return
    batch = _meant(turn, intent)
    if batch is None:
        return
    name = batch_names.label(batch, turn.state)
    if not batch.tastings:
        turn.say(f"{name} has no tasting note yet; it is {stage_now(batch.stage)}.")
        return
    for note in reversed(batch.tastings[-3:]):
        turn.say(f"{name}, {batch_names.day_words(note.at, turn.state)}: {tasted(note)}.")
        if note.faults:
            turn.say(f"Heard: {', '.join(note.faults)}.")
        if note.change:
            turn.say(f"Next time: {note.change}")


def photos(turn: Turn, intent: Intent) -> None:
    """ "show me the photos of the porter": they come back with their captions, the newest last."""
    batch = _meant(turn, intent)
    if batch is None:
        return
    name, found = batch_names.label(batch, turn.state), batch.photos
    if not found:
        turn.say(f"No photo of {name} was sent.")
        return
    shown = found[-_MOST_PHOTOS:]
    older = f", the last {len(shown)} of them here" if len(found) > len(shown) else ""
    turn.say(f"{len(found)} photo{'s' if len(found) > 1 else ''} of {name}{older}.")
    for each in shown:
        local = each.at.astimezone(turn.now.tzinfo)
        caption = f": {each.caption}" if each.caption else "."
        turn.attach("photo", f"{local.day} {local:%B %Y} {local:%H:%M}, {name}{caption}", batch=batch.id, path=each.path)


def change(turn: Turn, intent: Intent) -> None:
    """ "what would I change on the bitter": what was said for next time, of every batch where none is named."""
    named = bool(intent.slots.get("name"))
    batch = _meant(turn, intent) if named else None
    if named and batch is None:
        return
    among = [batch] if batch is not None else sorted(turn.state.batches, key=lambda each: each.started, reverse=True)
    found = [(each, note.change) for each in among for note in reversed(each.tastings) if note.change]
    turn.say(*(f"{batch_names.label(each, turn.state)}: {words}" for each, words in found[:5]))
    if not found:
        whose = f" of {batch_names.label(batch, turn.state)}" if batch is not None else ""
        turn.say(f'Nothing was said for next time{whose}. "tasting" asks for it.')


def notes(turn: Turn, intent: Intent) -> None:
    """ "notes of the bitter": with the day of each."""
    batch = _meant(turn, intent)
    if batch is None:
        return
    name = batch_names.label(batch, turn.state)
    rows = list(zip(batch.notes, batch.notes_at, strict=False))[-_MOST_NOTES:]
    if not rows:
        turn.say(f"No note on {name}.")
        return
    turn.say(f"{name}:")
    for note, at in rows:
        local = at.astimezone(turn.now.tzinfo)
        turn.say(f"{local.day} {local:%b} {local:%H:%M} {note}")
    if len(batch.notes) > len(rows):
        turn.say(f'({len(batch.notes) - len(rows)} older ones; "search" finds all of them.)')


def cost(turn: Turn, intent: Intent) -> None:
    """ "how much did the porter cost"."""
    batch = _meant(turn, intent)
    if batch is None:
        return
    found, code = costs.costs_of(batch, turn.state), turn.state.currency
    name = batch_names.label(batch, turn.state)
    if not found.by_kind:
        turn.say(f"{name}: no price is known of what went in.", 'Tell me what you bought: "bought 5 kg pale malt for 9.50".')
        return
    turn.say(f"{name}: {money(found.total, code)}{', part of it reckoned with later prices' if found.planned else ''}.")
    bottle = costs.bottle_of(batch, turn.state)
    each = cost_per_bottle(found.total, costs.volume_of(batch), bottle)
    turn.say(f"{money(each if each else Decimal(0), code)} a bottle of {wording.volume(bottle, 'metric')}.")
    if found.unpriced:
        turn.say(f"Without a price: {', '.join(found.unpriced[:4])}.")


def when(turn: Turn, intent: Intent) -> None:
    """ "when did I bottle the porter", "when did I brew the mild"."""
    batch, stage = _meant(turn, intent), str(intent.slots["stage"])
    if batch is None:
        return
    at = batch.started if stage == "plan" else batch.entered.get(stage)
    name = batch_names.label(batch, turn.state)
    word = {"plan": "begun", "ferment": "yeast in", "condition": "bottled"}.get(stage, stages()[stage].title.lower())
    if at is None:
        turn.say(f"{name}: not {word} yet; it is {stage_now(batch.stage)}." if stage != "ferment" else f"{name}: no yeast in yet; it is {stage_now(batch.stage)}.")
        return
    local = at.astimezone(turn.now.tzinfo)
    days = (turn.now.date() - local.date()).days
    ago = f"{days} days ago" if days > 1 else ("yesterday" if days else "today")
    turn.say(f"{name}: {word} {local:%A} {local.day} {local:%B %Y} at {local:%H:%M}, {ago}.")


HANDLERS: Handlers = {
    "diary.recipe": recipe,
    "diary.amount": amount,
    "diary.tasting": tasting,
    "diary.photos": photos,
    "diary.change": change,
    "diary.notes": notes,
    "diary.cost": cost,
    "diary.when": when,
}
