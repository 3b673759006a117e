"""A pot told in other ways: both sizes at once, by its girth, one that widens; and several fermenters together."""

from __future__ import annotations

import math

from conversations.intents import Intent, Measured
from conversations.session import kit, kit_checks
from conversations.session.kit_values import hob
from conversations.session.readings import measured
from conversations.session.turn import Handlers, Turn


def both_sizes(turn: Turn, intent: Intent) -> None:
    """ "a 24 by 20 cm pot": across, then high, as pots are labelled; said back so that it can be turned round."""
    kit.tell(turn, Intent(name="kit.pot", slots={"diameter": intent.slots["diameter"]}))
    if turn.records:
        kit.tell(turn, Intent(name="kit.pot_height", slots={"height": intent.slots["height"]}))
    if turn.records:
        turn.say('The other way round? "pot is 24 cm across and 20 cm high" says it.')


def girth(turn: Turn, intent: Intent) -> None:
    """ "the pot is 80 cm around": the diameter by the circle."""
    around = measured(intent.slots["girth"])
    across = Measured(value=round(around.in_unit("centimetre") / math.pi, 1), unit="centimetre")
    kit.tell(turn, Intent(name="kit.pot", slots={"diameter": across}))
    if turn.records:
        turn.say("That is around it by pi, outside; inside it is a few millimetres less.")


def cone(turn: Turn, intent: Intent) -> None:
    """A pot that is wider at the top than at the bottom has no one diameter: marks tell its volume."""
    if turn.expects == kit_checks.EXPECTS_MARK:
        # Said in two clauses of one message.
        return
    turn.say("A pot that widens has no one diameter: marks know it better, a pour at a time.")
    kit_checks.mark_stick(turn, Intent(name="kit.mark_stick"))


def fermenters(turn: Turn, intent: Intent) -> None:
    """ "two demijohns of 4.5 litres": what they hold together."""
    count, each = float(intent.slots["count"]), measured(intent.slots["volume"])
    if not 1 <= count <= 20:
        turn.say('Send fermenters like "two demijohns of 4.5 litres".')
        return
    together = Measured(value=round(count * each.value, 3), unit=each.unit)
    kit.tell(turn, Intent(name="kit.fermenter_volume", slots={"volume": together}))


def hob_sort(turn: Turn, intent: Intent) -> None:
    """ "I cook on gas": without a figure nothing can be worked out yet, so that the best one is asked for."""
    sort = str(intent.slots["sort"])
    kept = "assumed" if turn.state.kit.hob_power is None else "as before"
    turn.say(
        f"{sort.capitalize()}: how strong? Best by a time, like \"it takes 25 minutes to boil 8 litres\"; the label helps too.",
        f"Until then I count on {float(hob(turn.state.kit).to('kilowatt').magnitude):.2f} kW in the pot ({kept}).",
    )


HANDLERS: Handlers = {
    "kit.pot_sizes": both_sizes,
    "kit.pot_girth": girth,
    "kit.pot_cone": cone,
    "kit.fermenters": fermenters,
    "kit.hob_sort": hob_sort,
}
