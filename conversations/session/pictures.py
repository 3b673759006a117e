"""Pictures by message: the number first, the picture after it. What they show is drawn by the shell."""

from __future__ import annotations

import re
from contextlib import suppress
from decimal import Decimal

from calc.alcohol import alcohol_by_volume
from calc.cost import rounded
from calc.errors import OutOfRange
from calc.units import quantity
from conversations.intents import Intent
from conversations.session import as_planned, batch_names, wording
from conversations.session.predictions import predict
from conversations.session.rests import rest_at
from conversations.session.stages import stage_now
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn
from conversations.short_code import read_code, short_code

_NIGHT = {"dark": "night", "night": "night", "light": "day", "day": "day", "daylight": "day"}
_WRITTEN = re.compile(r"\b(?:recipe|ingredients|grain bill|grist|report|analysis|label|packet|instructions|shopping list)\b", re.IGNORECASE)
"""What a picture is of when its words are wanted."""
_BEER = ("ferment", "bottle", "condition")


def wanted(turn: Turn, intent: Intent) -> Batch | None:
    """The batch that is meant, the current one where none is named; says so where there is none."""
    name = str(intent.slots.get("name", "")).strip()
    batches = turn.state.batches
    if not batches:
        turn.say('There is no batch yet. "brew 5 litres of ..." starts one.')
        return None
    if not name and turn.batch is None:
        return batches[-1]
    code = read_code(name)
    coded = [each for each in batches if each.id == code]
    found = coded or batch_names.find(turn.state, name)
    if not found:
        turn.say(f"No batch is called {name}.", 'Say "batches" for their names.')
        return None
    return found[0]


def _send(turn: Turn, kind: str, batch: Batch, line: str, alt: str, intent: Intent) -> None:
    turn.say(line)
    said = intent.slots.get("theme", "")
    theme = _NIGHT.get(str(said.get("name", "") if isinstance(said, dict) else said).lower())
    turn.attach(kind, alt, batch=batch.id, **({"theme": theme} if theme else {}))


def gravity(turn: Turn, intent: Intent) -> None:
    """Gravity and temperature since pitching."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    found = [each for each in batch.readings if each.kind == "gravity" and each.stage in (*_BEER, "transfer", "pitch")]
    if not found:
        turn.say(f'No gravity of {batch.name} in the fermenter yet. Send one like "gravity 1.012 at 20 C".')
        if batch.expected_original is not None:
            turn.say(f"By the recipe it began at {batch.expected_original:.3f}; that was not measured.")
        return
    first, last = found[0], found[-1]
    line = f"{wording.gravity(last.best)}, from {wording.gravity(first.best)}." if len(found) > 1 else ""
    if last.stage in _BEER and first.stage not in _BEER:
        with suppress(OutOfRange):
            line += f" {alcohol_by_volume(first.best, last.best).to('percent').magnitude:.1f} % alcohol so far."
    days = (last.at - first.at).total_seconds()
    over = f" over {wording.duration(days)}" if days >= 3600 else ""
    alt = f"Gravity of {batch.name}: {wording.gravity(first.best)} to {wording.gravity(last.best)}{over}."
    if len(found) == 1:
        line, alt = f"{wording.gravity(last.best)}, one reading.{_by_the_recipe(batch, last)}", f"Gravity of {batch.name}: {wording.gravity(last.best)}."
    _send(turn, "gravity_chart", batch, line, alt, intent)


def _by_the_recipe(batch: Batch, last: Reading) -> str:
    """Where no original gravity was measured: what the recipe gives instead, and the alcohol by it."""
    original = batch.expected_original
    if original is None or last.stage not in _BEER:
        return ""
    line = f" It began at {original:.3f} by the recipe, not measured"
    with suppress(OutOfRange):
        return f"{line}: about {alcohol_by_volume(quantity(original, 'dimensionless'), last.best).to('percent').magnitude:.1f} % alcohol so far."
    return f"{line}."


def temperatures(turn: Turn, intent: Intent) -> None:
    """ "picture of the fermentation temperatures": they are drawn below the gravity, and in words where there is none."""
    batch, units = wanted(turn, intent), turn.state.units
    if batch is None:
        return
    warm = [each for each in batch.readings if each.kind == "temperature" and each.stage in _BEER]
    if not warm:
        turn.say(f"No temperature of {batch.name} since the yeast went in. Send one like \"{'19 C' if units == 'metric' else '66 F'}\".")
        return
    low, high = (edge(warm, key=lambda each: float(each.best.to("degC").magnitude)).best for edge in (min, max))
    line = f"{wording.temperature(low, units)} to {wording.temperature(high, units)} in {len(warm)} readings." if len(warm) > 1 else f"{wording.temperature(high, units)}, one reading."
    if not any(each.kind == "gravity" and each.stage in (*_BEER, "transfer", "pitch") for each in batch.readings):
        turn.say(line, f'The picture shows them below the gravity, and no gravity of {batch.name} is there yet: send one like "gravity 1.012 at 20 C".')
        return
    _send(turn, "gravity_chart", batch, f"{line} They are below the gravity.", f"Temperatures of {batch.name}: {line}", intent)


def mash(turn: Turn, intent: Intent) -> None:
    """Mash temperature against what was wanted."""
    batch, units = wanted(turn, intent), turn.state.units
    if batch is None:
        return
    found = [each for each in batch.readings if each.kind == "temperature" and each.stage == "mash"]
    if not found:
        example = "66.5 C" if units == "metric" else "152 F"
        turn.say(f'No mash temperature of {batch.name} yet. In the mash, send one like "{example}".')
        return
    last = wording.temperature(found[-1].best, units)
    since = (found[-1].at - batch.entered.get("mash", found[-1].at)).total_seconds() / 60
    rest = rest_at(batch.recipe, turn.state.kit, since)
    target = wording.temperature(rest.temperature.quantity, units)
    many = f"{len(found)} readings" if len(found) > 1 else "one reading"
    alt = f"Mash of {batch.name}: {many}, last {last}, wanted {target}."
    _send(turn, "mash_chart", batch, f"{last} last, {target} wanted.", alt, intent)


def boil(turn: Turn, intent: Intent) -> None:
    """The boil with its additions."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    hops = batch.recipe.hops
    if not hops:
        turn.say(f'{batch.name} has no hops yet. Tell me one like "12 g Fuggle 5% at 60".')
        return
    done = sum(hop.added_at is not None for hop in hops)
    count = f"{len(hops)} additions" if len(hops) > 1 else "1 addition"
    minutes = f"{batch.recipe.boil_minutes:.0f} min"
    _send(
        turn, "boil_chart", batch, f"{minutes} boil, {count}, {done} in.", f"Boil of {batch.name}: {minutes}, {count}, {done} in.", intent
    )


def day(turn: Turn, intent: Intent) -> None:
    """The brew day as planned against as done."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    if batch.stage == "plan":
        turn.say(f'The brew day of {batch.name} has not begun. Say "next" to begin it.')
        return
    took = wording.duration((batch.stage_since - batch.started).total_seconds())
    at = stage_now(batch.stage)
    where = f"{at[:1].upper()}{at[1:]}, {took} after the batch was begun."
    turn.say(*as_planned.lines(turn, batch))
    _send(turn, "day_chart", batch, where, f"Brew day of {batch.name} as planned and as done, now {at}.", intent)


def colour(turn: Turn, intent: Intent) -> None:
    """The colour in a glass; the shell works it out from the malts."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    if not batch.recipe.grains:
        turn.say(f'The colour of {batch.name} needs its malts. Tell me one like "1.6 kg pale malt".')
        return
    shade = predict(batch.recipe, turn.state.kit).colour
    ebc, srm = (f"{float(shade.to(unit).magnitude):.0f} {unit.upper()}" for unit in ("ebc", "srm"))
    numbers = f"{srm} ({ebc})" if turn.state.units == "us" else f"{ebc} ({srm})"
    _send(turn, "colour_chart", batch, f"{numbers}, predicted from the malts.", f"{batch.name} in a glass: {numbers}.", intent)


def costs(turn: Turn, intent: Intent) -> None:
    """What the batch cost, as a picture."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    found = [Decimal(each.cost) for each in batch.used if each.cost]
    if not found:
        turn.say(f'Nothing in {batch.name} has a price yet. Tell me one like "bought 5 kg pale malt for 9.50".')
        return
    total = f"{rounded(sum(found, Decimal(0)))} {turn.state.currency}"
    _send(turn, "cost_chart", batch, f"{total} so far.", f"Costs of {batch.name}: {total}.", intent)


def card(turn: Turn, intent: Intent) -> None:
    """A card to share."""
    batch = wanted(turn, intent)
    if batch is not None:
        _send(
            turn, "batch_card", batch, f"{batch.name}, batch {short_code(batch.id)}.", f"Card of {batch.name}, begun {batch.started:%d.%m.%Y}.", intent
        )


def chart(turn: Turn, intent: Intent) -> None:
    """The picture that fits the stage: mash, boil, gravity, or the day so far."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    beer = any(each.kind == "gravity" and each.stage in _BEER for each in batch.readings)
    if batch.stage in _BEER and beer:
        gravity(turn, intent)
    elif batch.stage == "mash" and any(each.stage == "mash" for each in batch.readings):
        mash(turn, intent)
    elif batch.stage in ("boil", "steep") and batch.recipe.hops:
        boil(turn, intent)
    elif batch.stage == "plan" and batch.recipe.grains:
        colour(turn, intent)
    else:
        day(turn, intent)


HANDLERS: Handlers = {
    "picture.chart": chart,
    "picture.gravity": gravity,
    "picture.temperatures": temperatures,
    "picture.mash": mash,
    "picture.boil": boil,
    "picture.day": day,
    "picture.colour": colour,
    "picture.costs": costs,
    "picture.card": card,
}


def of_writing(caption: str) -> bool:
    """Whether a picture is sent for what is written in it, and the caption does not tell that itself."""
    return _WRITTEN.search(caption) is not None and not any(letter.isdigit() for letter in caption)


def keep(turn: Turn, path: str, caption: str) -> None:
    """A picture came along: it belongs to the running batch, and to the diary where there is none."""
    turn.record("photo", label="photo", path=path, text=caption)
    # A picture of the glass does not end the tasting note that it belongs to.
    turn.expects, turn.question = turn.state.expects, turn.state.question
    turn.say(f"Photo kept with {turn.batch.name}." if turn.batch else "Photo kept; no batch is running.")
    if of_writing(caption):
        turn.say("I cannot read what is written in a picture: paste, type or say it.")
    elif turn.batch is None or (turn.batch.stage == "plan" and not turn.batch.recipe.grains):
        turn.say("I cannot read a recipe from a picture: paste or say it as text.")
    turn.offer(("undo", "undo"))
