""" "put 30 g of sugar in" while it ferments: kept as a note, with what it adds; "can I put sugar in" is told the same and keeps nothing."""

from __future__ import annotations

import re

from calc.alcohol import alcohol_shortcut
from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from calc.units import quantity
from conversations.intents import Intent
from conversations.session import plan, sugar_on_top, wording
from conversations.session.readings import measured
from conversations.session.recipe_edit import name_in
from conversations.session.state import Recipe
from conversations.session.turn import Handlers, Turn

_BROWN = re.compile(r"\b(brown|demerara|muscovado)\b", re.IGNORECASE)
_MOST_GRAMS_A_LITRE = 150.0
_ANY = 1.040
_PER_10_G = 0.5
"""Percent of alcohol by volume from 10 g/l of sugar: half of its weight becomes ethanol, at 0.79 g/ml 6.5 ml a litre at most."""


def sugar_in(turn: Turn, intent: Intent) -> None:
    """Sugar in the fermenter, told or asked about."""
    batch, asked = turn.batch, intent.name.startswith("ask.")
    if asked and batch is not None and batch.stage == "condition":
        sugar_on_top.asked(turn, intent)
        return
    if "mass" not in intent.slots:
        _how_much(turn)
        return
    mass, name = measured(intent.slots["mass"]), _named(intent)
    shown = f"{wording.mass(mass.quantity, turn.state.units)} {name}"
    if batch is None:
        turn.say("No batch is running.")
        return
    beer = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
    litres = float(beer.to("litre").magnitude)
    if mass.in_unit("gram") > _MOST_GRAMS_A_LITRE * litres or fermentable_or_default(name).mashed:
        turn.say(f"{shown} in {wording.volume(beer, turn.state.units)}? Nothing is recorded. Send it again.")
        return
    try:
        # As in water: what it brings on top of the wort's own.
        alone = plan.gravity_at(beer, Recipe(grains=((name, mass),)), turn.state.kit)
        # The shortcut goes by the fall alone, from any gravity.
        added = float(alone.magnitude) - 1
        more = float(alcohol_shortcut(quantity(_ANY + added, "dimensionless"), quantity(_ANY, "dimensionless")).to("percent").magnitude)
    except OutOfRange:
        turn.say(f"{shown} is more than I can reckon with. Nothing is recorded.")
        return
    adds = f"It ferments out: {1000 * added:.1f} gravity points and about {more:.1f} % alcohol, on top of what the gravities show."
    if asked:
        turn.last = intent
        turn.say(f"You can. {adds}{' Brown sugar leaves a little of its own taste.' if name.startswith('brown') else ''}", "Boil it in a little water and cool it first. Fizz is another thing: that sugar goes in at bottling.")
    else:
        turn.record("note", label="sugar in the fermenter", text=f"{shown} into the fermenter")
        turn.say(f"Noted: {shown} into the fermenter. {adds}", 'Meant for the fizz? Say "undo": that sugar goes in at bottling.')
        turn.offer(("undo", "undo"))
    turn.say("Before bottling two gravities must agree again: it makes pressure in bottles.")
    turn.working = f"{shown} in {wording.volume(beer, turn.state.units)}; 131 times the fall of gravity is the alcohol, good to about a quarter for sugar alone."


def _named(intent: Intent) -> str:
    """The sugar as it was called: brown sugar brings what white sugar does, and some taste."""
    name = name_in(intent.slots.get("name", "sugar"))
    return f"brown {name}" if name == "sugar" and _BROWN.search(intent.text) else name


def _how_much(turn: Turn) -> None:
    """ "can I add a bit of sugar": what ten grams a litre do, and how to ask for another amount."""
    turn.say(f"You can: each 10 g in a litre adds about {_PER_10_G:g} % alcohol and nothing sweet, it ferments out.", 'How much? "can I put 100 g of sugar in" tells what it does.')
    turn.say("Fizz is another thing: that sugar goes in at bottling.")


HANDLERS: Handlers = {"done.sugar_in": sugar_in, "ask.sugar_in": sugar_in}
