"""What the intents of one message mean together, where they mean something else than one by one."""

from __future__ import annotations

from conversations.intents import Intent

Placed = tuple[int, Intent]
"""An intent and the place in the row at which it begins."""

_SAID_BETTER = {"ask.finished": "ask.stuck", "look.quiet": "look.alive", "ask.next": "ask.correct_mash"}
"""The first goes where the second is there: "it's stopped fermenting, is it stuck", "airlock still bubbling"."""


def together(found: list[Placed], stage: str | None) -> list[Placed]:
    """The intents of a message in their order, with those that only make sense together joined."""
    found = sorted(found, key=lambda pair: pair[0])
    names = [intent.name for _, intent in found]
    found = [pair for k, pair in enumerate(found) if pair[1].slots or pair[1].name not in {each.name for _, each in found[:k]}]
    if len(found) > 1:
        # "ok 66 now": beside something else it agrees to nothing.
        found = [pair for pair in found if pair[1].name != "yes"]
    if stage == "mash" and names == ["reading.temperature", "ask.next"]:
        # "mash has dropped to 62, what now": asks what to do about it.
        (place, reading), (_, asked) = found
        return [(place, Intent(name="ask.correct_mash", slots=reading.slots, text=f"{reading.text}, {asked.text}"))]
    if any(name.startswith("ask.") for name in names):
        # "what strike temperature do I want in fahrenheit" names the unit of the answer and changes no setting.
        found = [pair for pair in found if pair[1].name != "settings.units"]
    return [pair for pair in found if _SAID_BETTER.get(pair[1].name) not in names]
