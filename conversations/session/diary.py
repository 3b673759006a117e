"""The diary by message: a batch, a day, a value of long ago, two batches side by side, the best, the year."""

from __future__ import annotations

from calc.alcohol import alcohol_by_volume
from calc.units import quantity
from conversations.intents import Intent
from conversations.session import batch_names, batch_questions, plan, readings, wording
from conversations.session.bottling import lots_words
from conversations.session.judgement import judge, original_gravity
from conversations.session.recipe_paste import describe
from conversations.session.stages import stage_now
from conversations.session.state import Batch, Reading, Tasting
from conversations.session.turn import Handlers, Turn

_READINGS = 10
_NOTES = 5
_USES = 5


def _named(slot: object) -> str:
    """The words of a name slot, which a key of its own wraps."""
    return str(slot.get("name", "") if isinstance(slot, dict) else slot or "")


def diary(turn: Turn, intent: Intent) -> None:
    """The page of a batch: the one that is named, else the current one."""
    said = _named(intent.slots.get("which"))
    found = batch_names.find(turn.state, said)
    if not found:
        if not turn.state.batches:
            turn.say("The diary has no batch yet.", *turn.state.notes[-3:])
        else:
            turn.say(f"No batch is called {said}." if said else "No batch is open.", '"batches" lists them.')
        return
    page(turn, found[0])
    others = [each for each in found[1:] if each.name == found[0].name]
    if others:
        turn.say(f"An older one of that name: {batch_names.day_words(others[0].started, turn.state)}.")


def last(turn: Turn, intent: Intent) -> None:
    """The batch before this one."""
    found = batch_names.before(turn.state, turn.batch)
    if found is None:
        turn.say("There is no batch before this one.")
    else:
        page(turn, found)


def page(turn: Turn, batch: Batch) -> None:
    """What is known of a batch, in order of time; corrections show as corrections."""
    started = batch.started.astimezone(turn.now.tzinfo)
    turn.say(f"{batch.name}, started {started.strftime('%d.%m.%Y %H:%M')}, now {stage_now(batch.stage)}.")
    if batch.recipe.grains or batch.recipe.hops:
        turn.say(*(line for line in describe(turn, batch.recipe) if line))
    hidden = len(batch.readings) - _READINGS
    if hidden > 0:
        turn.say(f"({hidden} older reading{'s' if hidden > 1 else ''}; \"page of {batch.name}\" has them all.)")
    for reading in batch.readings[-_READINGS:]:
        turn.say(line_of(turn, batch, reading))
    older = len(batch.notes) - _NOTES
    turn.say(*(f"note: {note}" for note in batch.notes[-_NOTES:]))
    if older > 0:
        turn.say(f"({older} older note{'s' if older > 1 else ''}: \"notes of {batch.name}\".)")
    turn.say(*ending(turn, batch))


def line_of(turn: Turn, batch: Batch, reading: Reading) -> str:
    """One reading with day, hour and stage."""
    at = reading.at.astimezone(turn.now.tzinfo)
    return f"{at.day} {at:%b} {at:%H:%M} {shown_with_stage(turn, batch, reading)}"


def shown_with_stage(turn: Turn, batch: Batch, reading: Reading) -> str:
    """A reading with its stage, and what it was before it was corrected."""
    was = [correction.was for correction in batch.corrections if correction.by == reading.id]
    corrected = f" (corrected, was {shown(turn, was[0])})" if was else ""
    # Names only where several people brew: alone, everything is one's own.
    several = len({each.who for each in batch.readings}) > 1
    who = f", {reading.who}" if several and reading.who else ""
    return f"{reading.stage}: {_kind(reading)} {shown(turn, reading)}{who}{corrected}"


def shown(turn: Turn, reading: Reading) -> str:
    """The best value of a reading; a stick depth as the volume it stands for."""
    return readings.show(turn, _kind(reading), reading.best)


def _kind(reading: Reading) -> str:
    return "volume" if reading.kind == "depth" and reading.corrected else reading.kind


def tasted(note: Tasting) -> str:
    """A note in a line, the score first."""
    parts = [f"{note.score:g}/10"] if note.score is not None else []
    parts += [part for part in (note.appearance, note.aroma, note.taste, note.mouthfeel) if part]
    return "; ".join(parts) or "no words"


def ending(turn: Turn, batch: Batch) -> list[str]:
    """Bottles, risk, photos and tastings of a batch."""
    lines = []
    if batch.bottles:
        lines.append(f"bottled: {lots_words(batch.bottles, turn.state.units)}")
    if batch.risk_accepted:
        lines.append(f'bottled against advice: "{batch.risk_accepted}"')
    if batch.photos:
        lines.append(f"{len(batch.photos)} photo{'s' if len(batch.photos) > 1 else ''}")
    if batch.recordings:
        lines.append(f"{len(batch.recordings)} voice note{'s' if len(batch.recordings) > 1 else ''} kept")
    for note in batch.tastings:
        at = note.at.astimezone(turn.now.tzinfo)
        lines.append(f"{at.day} {at:%b} tasted: {tasted(note)}")
        if note.change:
            lines.append(f"next time: {note.change}")
    return lines


def used(turn: Turn, intent: Intent) -> None:
    """ "when did I last use Fuggle": the last batches with it, and how much."""
    said = str(intent.slots.get("name", intent.slots.get("text", ""))).strip(" ?.").lower()
    stem = said.removesuffix("s")
    found = []
    for batch in sorted(turn.state.batches, key=lambda each: each.started, reverse=True):
        amounts = [
            f"{wording.mass(mass.quantity, turn.state.units)} {name}"
            for name, mass in (
                *batch.recipe.grains,
                *((hop.name, hop.mass) for hop in batch.recipe.hops if not hop.skipped),
            )
            if stem in name.lower()
        ]
        if stem and stem in batch.recipe.yeast.lower():
            amounts.append(batch.recipe.yeast)
        if amounts:
            found.append((batch, amounts))
    if not found or not stem:
        turn.say(f"No batch in the diary has {said or 'that'}.", f'"search for {said}" looks through everything you sent.')
        return
    for batch, amounts in found[:_USES]:
        days = (turn.now.date() - batch.started.astimezone(turn.now.tzinfo).date()).days
        ago = f"{days} day{'s' if days > 1 else ''} ago" if days else "today"
        turn.say(f"{batch_names.day_words(batch.started, turn.state)} ({ago}), {batch.name}: {', '.join(amounts)}.")
    if len(found) > _USES:
        turn.say(f"And {len(found) - _USES} older.")


def value(turn: Turn, intent: Intent) -> None:
    """ "what was my mash temperature on the porter"."""
    said = str(intent.slots.get("name", ""))
    found = batch_names.find(turn.state, said)
    if not found:
        turn.say(f"No batch is called {said}." if said else "No batch is open.", '"batches" lists them.')
        return
    batch, what = found[0], str(intent.slots["what"])
    answer = facts(turn, batch).get(what)
    words = what.replace("_", " ")
    name = batch_names.label(batch, turn.state)
    turn.say(f"{name}: {_said(what, answer)}." if answer else f"{name}: no {words} in the diary.")
    older = [each for each in found[1:] if each.name == batch.name]
    for each in older[:2]:
        other = facts(turn, each).get(what)
        if other:
            turn.say(f"{batch_names.label(each, turn.state)}: {_said(what, other)}.")


def _said(what: str, answer: str) -> str:
    """A fact as a sentence says it: "14 bottles", and "original gravity 1.052"."""
    if what in ("bottles", "days_in_the_fermenter"):
        words = what.replace("_", " ")
        return f"{answer} {words.replace('days', 'day').replace('bottles', 'bottle') if answer == '1' else words}"
    return f"{what.replace('_', ' ')} {answer}"


def facts(turn: Turn, batch: Batch) -> dict[str, str]:
    """What can be asked after and compared, by its name; only what is known."""
    units = turn.state.units
    known: dict[str, str] = {}
    original, measured = original_gravity(batch)
    final = plan.gravities(batch, "ferment", "bottle", "condition")
    if original is not None:
        known["original_gravity"] = wording.gravity(original) + ("" if measured else " (expected)")
    if final:
        known["final_gravity"] = wording.gravity(final[-1])
    if original is not None and final and final[-1] <= original:
        known["strength"] = f"{float(alcohol_by_volume(original, final[-1]).to('percent').magnitude):.1f} %"
        attenuated = judge(batch).attenuation_percent
        if attenuated is not None:
            known["attenuation"] = f"{attenuated:.0f} %"
    for name, stage in (("mash_temperature", "mash"), ("fermentation_temperature", "ferment")):
        sent = [each.best for each in batch.readings if each.kind == "temperature" and each.stage == stage]
        if sent:
            first, end = wording.temperature(sent[0], units), wording.temperature(sent[-1], units)
            low, high = (wording.temperature(pick(sent), units) for pick in (min, max))
            known[name] = (
                first if len(sent) == 1 else (f"{first}, then {end}" if stage == "mash" else f"{low} to {high}")
            )
    volume = plan.volume_now(batch)
    if volume is not None:
        known["volume"] = wording.volume(volume, units)
    if batch.recipe.grains:
        known["grain"] = wording.mass(plan.grain_mass(batch.recipe), units)
    if batch.recipe.hops:
        total = quantity(sum(hop.mass.in_unit("gram") for hop in batch.recipe.hops if not hop.skipped), "gram")
        known["hops"] = wording.mass(total, units)
    if batch.recipe.yeast:
        known["yeast"] = batch.recipe.yeast
    pitched, bottled = batch.entered.get("ferment"), batch.entered.get("condition")
    if pitched is not None and bottled is not None:
        known["days_in_the_fermenter"] = f"{(bottled - pitched).total_seconds() / 86400:.0f}"
    if batch.bottles:
        known["bottles"] = str(sum(lot.count for lot in batch.bottles))
    scores = [note.score for note in batch.tastings if note.score is not None]
    if scores:
        known["score"] = f"{scores[-1]:g}/10"
    changes = [note.change for note in batch.tastings if note.change]
    if changes:
        known["next_time"] = changes[-1]
    return known


def compare(turn: Turn, intent: Intent) -> None:
    """Two batches side by side, one line for each thing that is known of either."""
    state = turn.state
    if "a" in intent.slots:
        names = _named(intent.slots["a"]), _named(intent.slots.get("b"))
        first = batch_names.find(state, names[0])
        if first and batch_names.find(state, names[1])[:1] == first[:1] and len(batch_names.find(state, names[1])) == 1:
            turn.say(f"Both are {batch_names.label(first[0], state)}. Name the other one; \"batches\" lists them.")
            return
        second = [each for each in batch_names.find(state, names[1]) if not first or each.id != first[0].id]
        for name, found in zip(names, (first, second), strict=True):
            if not found:
                turn.say(f"No other batch is called {name}." if first else f"No batch is called {name}.", '"batches" lists them.')
                return
        left, right = first[0], second[0]
    else:
        newest = sorted(state.batches, key=lambda each: each.started)[-2:]
        if len(newest) < 2:
            turn.say("There is only one batch so far." if newest else "The diary has no batch yet.")
            return
        left, right = newest
    turn.say(f"{batch_names.label(left, state)} | {batch_names.label(right, state)}")
    mine, theirs = facts(turn, left), facts(turn, right)
    for name in dict.fromkeys((*mine, *theirs)):
        turn.say(f"{name.replace('_', ' ')}: {mine.get(name, '-')} | {theirs.get(name, '-')}")


def best(turn: Turn, intent: Intent) -> None:
    """The batches that tasted best, the one that tasted least good, or the strongest ones."""
    by = str(intent.slots.get("which", "best"))
    if by == "strongest":
        _strongest(turn)
        return
    scored = [
        (max(scores), batch)
        for batch in turn.state.batches
        if (scores := [note.score for note in batch.tastings if note.score is not None])
    ]
    scored.sort(key=lambda pair: (pair[0] if by == "worst" else -pair[0], pair[1].started))
    for place, (score, batch) in enumerate(scored[:1] if by == "worst" else scored[:5], start=1):
        strength = facts(turn, batch).get("strength")
        first = "Lowest:" if by == "worst" else f"{place}."
        turn.say(f"{first} {batch.name}, {batch_names.day_words(batch.started, turn.state)}: {score:g}/10{f', {strength}' if strength else ''}")
    if not scored:
        turn.say('No batch has a score yet. "tasting" makes a note.')


def _strongest(turn: Turn) -> None:
    rows = [(float(known.split()[0]), batch) for batch in turn.state.batches if (known := facts(turn, batch).get("strength"))]
    rows.sort(key=lambda pair: (-pair[0], pair[1].started))
    turn.say(*(f"{k}. {batch.name}, {batch_names.day_words(batch.started, turn.state)}: {percent:.1f} %" for k, (percent, batch) in enumerate(rows[:5], start=1)))
    if not rows:
        turn.say("No batch has an original and a final gravity yet.")


def search(turn: Turn, intent: Intent) -> None:
    """Look through everything that was sent."""
    query = str(intent.slots.get("text", "")).strip(" ?.\"'").removeprefix("for ")
    if not any(letter.isalnum() for letter in query):
        turn.say('Say which word to look for: "search lid".')
        return
    turn.say(f'Diary, "{query}":')
    turn.attach("diary_search", f'What was said with "{query}"', query=query)


HANDLERS: Handlers = {
    **batch_questions.HANDLERS,
    "ask.diary": diary,
    "diary.last": last,
    "diary.used": used,
    "diary.value": value,
    "diary.compare": compare,
    "diary.best": best,
    "diary.search": search,
}
