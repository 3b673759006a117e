"""The ways out of a pot that is too small, taken in a person's own words: "top up later", "make it fit", "the first one"."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from conversations.intents import Intent, Measured, Understanding
from conversations.session import fit, wording
from conversations.session.kit_values import capacity
from conversations.session.recipe_edit import keep, late_water, planned, rinse, scale
from conversations.session.recipe_plan import WAYS_EXPECTED, show
from conversations.session.turn import Handlers, Turn

_WHICH = re.compile(
    r"(?:i(?:'ll| will)? (?:take|do|go (?:for|with)|choose) |let's (?:do|go with) |go with |do )?(?:the |option |number |no\.? )?"
    r"(?P<which>first|second|third|last|1st|2nd|3rd|[123abc])(?: (?:one|way|option|of them))?(?: please)?[.! ]*",
    re.IGNORECASE,
)
_ORDER = {"first": 0, "1st": 0, "1": 0, "a": 0, "second": 1, "2nd": 1, "2": 1, "b": 1, "third": 2, "3rd": 2, "3": 2, "c": 2, "last": -1}
_NOT_THIS = {
    "rinse": "A rinse does not help here: the wort itself is too much for a boil in this pot.",
    "late": "Topping up later does not help here: it would take more than half of the beer.",
    "smaller": "No batch of a litre or more fits this pot.",
}


def way(turn: Turn, intent: Intent) -> None:
    """ "top up later", "rinse then", "make it smaller": with the litres that the pot needs."""
    batch = planned(turn)
    if batch is None:
        return
    kind, kit = str(intent.slots["kind"]), turn.state.kit
    if capacity(kit) is None:
        turn.say('How much does the pot hold? Then I know how much: "pot holds 10 litres".')
        return
    offered = fit.proposals(batch.recipe, kit)
    if not offered:
        size = wording.volume(batch.recipe.volume.quantity, turn.state.units) if batch.recipe.volume else "it"
        how = {"rinse": '"rinse with 2 litres"', "late": '"top up with 2 litres after the boil"'}.get(kind, '"make it 6 litres"')
        turn.say(f"{size} fits this pot as it is. If you want it all the same, say how much: {how}.")
        return
    chosen = next((each for each in offered if kind in (each.kind, "any")), None)
    if chosen is None:
        turn.say(_NOT_THIS[kind])
        show(turn, Intent(name="ask.plan"))
        return
    _take(turn, chosen.kind, chosen.litres)


def _take(turn: Turn, kind: str, litres: float) -> None:
    handler, name = {"rinse": (rinse, "recipe.rinse"), "late": (late_water, "recipe.late_water"), "smaller": (scale, "recipe.scale")}[kind]
    handler(turn, Intent(name=name, slots={"volume": Measured(value=litres, unit="litre")}))


def chosen(turn: Turn, reading: Understanding, text: str) -> bool:
    """ "the first one", after the ways were told; False for any other message."""
    ways, found = (turn.state.question or {}).get("ways"), _WHICH.fullmatch(text.strip())
    if not ways or found is None or planned(turn) is None:
        return False
    place = _ORDER[found["which"].lower()]
    if place >= len(ways):
        turn.say(f"There are only {len(ways)}." if len(ways) > 1 else "There is only one.")
        return True
    _take(turn, *ways[place])
    return True


def not_late(turn: Turn, intent: Intent) -> None:
    """ "no top-up": all the water is boiled again."""
    batch = planned(turn)
    if batch is None:
        return
    if batch.recipe.late_water is None:
        turn.say("No water joins later in this plan. Nothing is changed.")
        return
    keep(turn, batch.recipe.model_copy(update={"late_water": None}), "no top-up", "All of it is boiled, nothing joins later.")


FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {WAYS_EXPECTED: chosen}
HANDLERS: Handlers = {"recipe.way": way, "recipe.not_late": not_late}
