"""What this day had so far: what went in, how much water, what a figure began at, and what a hot one is once it is cold."""

from __future__ import annotations

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import hop_additions, joined_since, plan, stage_clocks, wording
from conversations.session.day import stage_key
from conversations.session.readings import show
from conversations.session.state import Batch, Hop, Reading
from conversations.session.turn import Handlers, Turn

_BEFORE_MASH = ("plan", "prepare", "heat")
_MOST_GRAINS = 4
_HOT_C = 40.0
_ENTERED = {"temperature": ("heat", "mash", "chill"), "gravity": (), "volume": ("drain", "top_up", "boil")}
"""Kinds of which a stage has its own beginning: the mash's first temperature is not the strike water's."""


def put_in(turn: Turn, intent: Intent) -> None:
    """ "what have I put in so far": grain, water, hops and what else was told, and what is still to go in."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        return
    if batch.stage in _BEFORE_MASH:
        turn.say("Nothing but water by my notes: the grain goes in when the water is hot enough.")
        return
    grains = [f"{wording.mass(mass.quantity, units)} {name}" for name, mass in batch.recipe.grains]
    more = f" and {len(grains) - _MOST_GRAINS} more" if len(grains) > _MOST_GRAINS else ""
    at = f" at {wording.local_clock(turn.now, batch.entered['mash'])}" if "mash" in batch.entered else ""
    turn.say(f"Grain{at}: {', '.join(grains[:_MOST_GRAINS])}{more}." if grains else f"The grain went in{at}; the recipe names none.")
    if batch.mash_water is not None:
        turn.say(f"Water: {wording.volume(batch.mash_water.quantity, units)} in the mash{_later_water(turn, batch)}.")
    inside = [f"{hop_additions.shown(turn, hop)} at {wording.local_clock(turn.now, hop.added_at)}" for hop in hop_additions.went_in(batch) if hop.added_at]
    left = sorted(hop_additions.waiting(batch), key=lambda hop: -hop.boil_minutes)
    extracts: dict[str, float] = {}
    for each in batch.readings:
        if each.kind == "extract":
            extracts[each.of or "malt extract"] = extracts.get(each.of or "malt extract", 0.0) + each.value.in_unit("gram")
    inside += [f"{wording.mass(quantity(grams, 'gram'), units)} {name}" for name, grams in extracts.items()]
    went = f"Hops: {', '.join(inside)}." if inside else "No hops yet by my notes." if left else ""
    turn.say(f"{went} Still to come: {', '.join(hop_additions.shown(turn, hop) for hop in left[:4])}.".strip() if left else went)
    if batch.paused_at is not None:
        turn.say(stage_clocks.left(turn, batch.stage))


def _added(batch: Batch) -> float:
    """Litres that were said to join after the mash."""
    return float(sum(each.value.in_unit("litre") for each in batch.readings if each.kind == "water"))


def _later_water(turn: Turn, batch: Batch) -> str:
    later = _added(batch)
    return f", {wording.litres(turn.state.units, later)} added later" if later else ""


def water(turn: Turn, intent: Intent) -> None:
    """ "how much water have I got in there altogether": what was told, against what the plan has."""
    batch, kit, units = turn.batch, turn.state.kit, turn.state.units
    if batch is None:
        return
    planned = plan.mash_water(batch.recipe, kit) if batch.recipe.grains else None
    if batch.stage in _BEFORE_MASH or batch.mash_water is None:
        now = plan.volume_now(batch)
        heard = f"{wording.volume(now, units)} by your last reading" if now is not None else "I was told no litres yet"
        turn.say(f"{heard}{f'; planned are {wording.volume(planned, units)}' if planned is not None else ''}.")
        return
    there, later = batch.mash_water.in_unit("litre"), _added(batch)
    turn.say(f"{wording.litres(turn.state.units, there + later)} in all: {wording.litres(turn.state.units, there)} in the mash{_later_water(turn, batch)}." if later else f"{wording.litres(turn.state.units, there)} in the mash, and none since." if batch.stage != "mash" else f"{wording.litres(turn.state.units, there)} in all.")
    if planned is not None and batch.stage == "mash":
        kept = plan.absorption_per_kg(kit) * float(plan.grain_mass(batch.recipe).to("kilogram").magnitude)
        turn.say(f"The grain keeps about {wording.litres(turn.state.units, kept)}, so about {wording.litres(turn.state.units, max(0.0, there - kept))} will drain; {wording.volume(plan.pre_boil_volume(batch.recipe, kit), units)} are wanted before the boil.")
    elif batch.stage != "mash" and (now := plan.volume_now(batch)) is not None:
        turn.say(f"The grain and the steam keep some of it: {wording.volume(now, units)} were in the pot by the last reading.")


def began(turn: Turn, intent: Intent) -> None:
    """ "what temp did I start at": the first figure of that kind, of this stage where it has its own."""
    batch, kind = turn.batch, str(intent.slots["kind"])
    if batch is None:
        return
    kinds = ("volume", "depth") if kind == "volume" else (kind,)
    sent = [each for each in batch.readings if each.kind in kinds]
    own = [each for each in sent if each.stage == batch.stage] if batch.stage in _ENTERED[kind] else sent
    found = own or sent
    if not found:
        turn.say(f"No {kind} was sent yet.")
        return
    first, last = found[0], found[-1]
    turn.say(f"{show(turn, first.kind, first.best)} at {wording.local_clock(turn.now, first.at)}{_where(first)}: the first {kind} that you sent.")
    if last is not first:
        turn.say(f"The last: {show(turn, last.kind, last.best)} at {wording.local_clock(turn.now, last.at)}.")


def _where(reading: Reading) -> str:
    return {"heat": ", of the water", "mash": ", in the mash", "chill": ", as it began to cool"}.get(reading.stage, "") if reading.kind == "temperature" else ""


def cold(turn: Turn, intent: Intent) -> None:
    """ "so what's that cold": the last volume or gravity as it is at room temperature."""
    batch = turn.batch
    found = next((each for each in reversed(batch.readings) if each.kind in ("volume", "depth", "gravity")), None) if batch is not None else None
    if batch is None or found is None:
        turn.say('Send the volume or the gravity with its temperature: "1.045 at 60 C".')
        return
    at = wording.local_clock(turn.now, found.at)
    if found.kind == "gravity":
        if found.corrected is not None:
            turn.say(f"{wording.gravity(found.best)} cold, from {wording.gravity(found.value.quantity)} read at {at}.")
        else:
            turn.say(f"{wording.gravity(found.best)} of {at} was taken as read cold. How warm was the sample?", f'"{wording.gravity(found.value.quantity)} at 60 C" puts it right.')
        return
    read_at = joined_since.READ_AT_C.get(found.stage, 20.0)
    litres = joined_since.cold_litres(found)
    if litres is None:
        turn.say(f"{show(turn, found.kind, found.value.quantity)} of {at} is beyond your stick's marks.")
        return
    shown = wording.litres(turn.state.units, plan.litres(found.value.quantity) if found.kind == "volume" else found.corrected.in_unit("litre") if found.corrected else litres)
    if read_at < _HOT_C:
        turn.say(f"{shown}, as you sent it at {at}: it was cold already.")
        return
    metric = turn.state.units == "metric"
    turn.say(f"About {wording.litres(turn.state.units, litres)} cold: {shown} were sent at {at}, taken as read at {f'{read_at:.0f} °C' if metric else f'{1.8 * read_at + 32:.0f} °F'}.")
    turn.working = "Hot wort takes more room: about 4 % more near boiling, 2 % at mash temperature."


def _hop_named(batch: Batch, name: str) -> list[Hop]:
    word = "" if name in ("hop", "hops") else name.removesuffix("s")
    return [hop for hop in batch.recipe.hops if not hop.dry_days and (not word or word in hop.name.lower())]


def reminded(turn: Turn, intent: Intent) -> None:
    """ "did you remind me about the goldings or did I miss it": when they were or will be called, and whether they are in."""
    batch = turn.batch
    name = str(intent.slots.get("name", "")).lower()
    if batch is None:
        return
    named = _hop_named(batch, name) if name or _OF_HOPS.intersection(intent.text.lower().split()) else []
    if not named:
        _other_call(turn)
        return
    for hop in named[:3]:
        shown = hop_additions.shown(turn, hop)
        due = hop_additions.due(batch, hop, turn.now)
        call = turn.state.reminders.get(stage_key(batch.id, f"hop:{hop.key}"))
        if hop.added_at is not None:
            turn.say(f"Nothing missed: {shown} is in since {wording.local_clock(turn.now, hop.added_at)}.")
        elif hop.skipped:
            turn.say(f"{shown} was left out.")
        elif batch.stage in ("steep", "chill", "transfer", "pitch") or (due is not None and due <= turn.now and batch.paused_at is None):
            called = f"I called it at {wording.local_clock(turn.now, due)}" if due is not None and call is None else f"It was due at {wording.local_clock(turn.now, due)}" if due is not None else "The boil is over"
            turn.say(f'{shown}: {called}, and it is not in by my notes. Say "{hop.name.lower()} in" when it is, or "skip".')
        elif due is None:
            turn.say(f"Not yet: {shown} is called {hop.boil_minutes:.0f} min before the end of the boil." if hop.boil_minutes > 0 else f"Not yet: {shown} goes in at flame-out.")
        elif batch.paused_at is not None:
            turn.say(f"Not yet: {shown} is called {wording.duration((due - turn.now).total_seconds())} after it boils again.")
        else:
            turn.say(f"Not yet: I call {shown} at {wording.local_clock(turn.now, due)}, in {wording.duration((due - turn.now).total_seconds())}.")


_OF_HOPS = frozenset({"hops", "hop", "addition", "additions"})


def _other_call(turn: Turn) -> None:
    """The last call, whatever it was of."""
    last = turn.state.last_fired
    if last is None:
        turn.say("I have called nothing yet.")
        return
    turn.say(f"The last I called, at {wording.local_clock(turn.now, last.due)}: {last.text}", 'Say "done" when it is.')


HANDLERS: Handlers = {
    "ask.put_in": put_in,
    "ask.water_in_all": water,
    "ask.began": began,
    "ask.cold_figure": cold,
    "ask.reminded": reminded,
}
