"""The rim of the pot: how high it is by what is known, and depths on the stick that are above it, which no pot holds."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from conversations.intents import UnitSystem
from conversations.session import plan, wording
from conversations.session.state import Kit

_AS_FAR = 1.03
"""Share of its height by which a stick and a pot that was told in round figures may be off together."""


def rim(kit: Kit) -> Quantity | None:
    """How high the pot is inside; None where neither its height nor its width and what it holds are known."""
    if kit.pot_height is not None:
        return kit.pot_height.quantity
    if kit.pot_capacity is None or not ("pot_diameter" in kit.told or len(kit.marks) >= 2):
        return None
    try:
        return plan.depth_of_volume(kit.pot_capacity.quantity, kit)
    except OutOfRange:
        return None


def over(depth: Quantity, kit: Kit) -> bool:
    """Whether a depth is above the rim."""
    top = rim(kit)
    return top is not None and depth > _AS_FAR * top


def on_the_stick(litres: float, kit: Kit, units: UnitSystem) -> str:
    """ "12.4 cm on the stick", or that so much is over the rim; OutOfRange where the stick's marks say nothing of it."""
    depth, top = plan.depth_of_volume(quantity(litres, "litre"), kit), rim(kit)
    if top is not None and over(depth, kit):
        return f"over the rim of your pot, which is {wording.depth(top, units)} high"
    return f"{wording.depth(depth, units)} on the stick"
