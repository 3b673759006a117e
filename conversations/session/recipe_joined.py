"""A recipe that comes in pieces: a long one cut, further lines joined to what is there, amounts that were asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from conversations.intents import Intent, Measured, Understanding
from conversations.recipe.limits import MOST_LETTERS, MOST_LINES
from conversations.recipe.recipe_text import RecipeText
from conversations.session import telling
from conversations.session.state import Hop, Recipe
from conversations.session.turn import Turn
from conversations.understanding.quantities import KINDS, quantities_in

EXPECTS_AMOUNTS = "recipe.amounts"
_BETWEEN = re.compile(r"(?:\s|,|;|\band\b|\bthen\b|\bof it\b)*", re.IGNORECASE)


def readable(text: str) -> tuple[str, str]:
    """As much of a text as is read at once, whole lines of it, and the sentence that says so; empty where that is all."""
    lines = [line for line in text.splitlines() if line.strip()]
    if len(text) <= MOST_LETTERS and len(lines) <= MOST_LINES:
        return text, ""
    kept: list[str] = []
    length = 0
    for line in lines[:MOST_LINES]:
        length += len(line) + 1
        if length > MOST_LETTERS:
            break
        kept.append(line)
    if not kept:
        kept = [lines[0][:MOST_LETTERS].rpartition(" ")[0]]
    if len(lines) == 1:
        return kept[0], f"That is {len(text)} characters: I read the first {len(kept[0])}. Send the rest by itself, if it matters."
    return "\n".join(kept), f"That is {len(lines)} lines: I read the first {len(kept)}. Send the rest by itself, if it matters."


def goes_on(read: RecipeText, old: Recipe) -> bool:
    """Whether a text is further lines of the recipe that is there: no title, no size, malts alone or hops alone."""
    if read.name or read.volume is not None or not (old.grains or old.hops):
        return False
    return not read.grains or not read.hops


def joined(old: Recipe, new: Recipe, read: RecipeText) -> Recipe:
    """The old recipe with further lines: what is named again is put right, the rest stays."""
    named = {name.casefold() for name, _ in new.grains}
    grains = (*(row for row in old.grains if row[0].casefold() not in named), *new.grains)
    again = {(hop.name.casefold(), hop.boil_minutes, bool(hop.dry_days)) for hop in new.hops}
    hops = (*(hop for hop in old.hops if _as_key(hop) not in again), *new.hops)
    also = dict(old.also) | dict(new.also)
    fields: dict[str, Any] = {"grains": grains, "hops": hops, "also": tuple(also.items()), "extras": old.extras}
    if read.boil_minutes is None:
        fields["boil_minutes"] = max(old.boil_minutes, new.boil_minutes)
    if not read.rests:
        fields["rests"] = old.rests
    if read.original is None:
        fields["original_gravity"] = old.original_gravity if not new.grains else None
    return new.model_copy(update=fields)


def _as_key(hop: Hop) -> tuple[str, float, bool]:
    return hop.name.casefold(), hop.boil_minutes, bool(hop.dry_days)


def ask(turn: Turn, read: RecipeText) -> None:
    """Ask for the amounts that are missing, and take bare ones in that order."""
    grains = [{"grain": grain.name} for grain in read.grains if grain.mass is None and grain.share is None]
    hops = [{"hop": hop.name, "minutes": hop.minutes, "alpha": hop.alpha} for hop in read.hops if hop.mass is None]
    _expect(turn, [*grains, *hops])


def _expect(turn: Turn, rows: list[dict[str, Any]]) -> None:
    if not rows:
        return
    names = list(dict.fromkeys(str(row.get("grain") or row.get("hop")) for row in rows))
    example = f"100 g {names[0]}" if "grain" in rows[0] else f"10 g {names[0]}"
    turn.say(f'How much {", ".join(names)}? Send it like "{example}"{", or the amounts in this order" if len(names) > 1 else ""}.')
    if turn.expects is None:
        turn.expects, turn.question = EXPECTS_AMOUNTS, {"rows": rows}


def amounts(turn: Turn, reading: Understanding, text: str) -> bool:
    """ "1.5 kg", "1.5 kg, 100 g and 12 g": the amounts that were asked for, in that order; False for any other message."""
    rows = (turn.state.question or {}).get("rows")
    found = quantities_in(text, turn.state.units)
    if not rows or not found or len(found) > len(rows) or any(KINDS.get(each.unit) != "mass" for each in found):
        return False
    edges = [0, *(each.end for each in found)]
    gaps = [text[a:b] for a, b in zip(edges, [*(each.start for each in found), len(text)], strict=True)]
    if any(_BETWEEN.fullmatch(gap.strip(" .!")) is None for gap in gaps):
        return False
    for row, each in zip(rows, found, strict=False):
        slots: dict[str, Any] = {"name": row.get("grain") or row.get("hop"), "mass": Measured(value=each.value, unit=each.unit)}
        if "hop" in row and row["minutes"] is not None:
            slots["duration_s"] = 60 * float(row["minutes"])
        if "hop" in row and row["alpha"] is not None:
            slots["percent"] = Measured(value=float(row["alpha"]), unit="percent")
        telling.recipe(turn, Intent(name="recipe.grain" if "grain" in row else "recipe.hop", slots=slots))
    _expect(turn, rows[len(found) :])
    return True


FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {EXPECTS_AMOUNTS: amounts}
