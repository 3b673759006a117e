"""What the kit in use comes to: where each value is from, where water boils, what the hob gives, what the pot holds."""

from __future__ import annotations

from typing import Literal

from calc.boil import boiling_point
from calc.errors import OutOfRange
from calc.thermometer import correct_temperature
from calc.units import Quantity, quantity
from conversations.session import plan
from conversations.session.state import Kit

Origin = Literal["assumed", "told", "learned"]

TAP_WATER = quantity(15.0, "degC")
ASSUMED_HOB = quantity(1.3, "kilowatt")
"""What reaches the pot from an ordinary 2 kW plate, until the person says more: common practice."""
SEA_LEVEL = quantity(0.0, "metre")

def origin(kit: Kit, field: str) -> Origin:
    """Where a value of the kit comes from."""
    if field in kit.told:
        return "told"
    return "learned" if field in kit.learned else "assumed"


def boils_at(kit: Kit) -> Quantity:
    """Where water boils in this kitchen, by its altitude and the air pressure where they were told."""
    altitude = kit.altitude.quantity if kit.altitude else SEA_LEVEL
    if kit.air_pressure is None:
        return boiling_point(altitude)
    return boiling_point(altitude, kit.air_pressure.quantity)


def hob(kit: Kit) -> Quantity:
    """Heat that reaches the pot, assumed where nothing is known."""
    return kit.hob_power.quantity if kit.hob_power else ASSUMED_HOB


def capacity(kit: Kit) -> Quantity | None:
    """Volume to the brim; None where neither it nor the height was told."""
    if kit.pot_capacity is not None:
        return kit.pot_capacity.quantity
    if kit.pot_height is None:
        return None
    return plan.volume_of_depth(kit.pot_height.quantity, kit.model_copy(update={"marks": ()}))


def true_temperature(shown: Quantity, kit: Kit) -> Quantity:
    """What a reading of this kit's thermometer really is; as shown where it was never checked."""
    if kit.thermometer_ice is None and kit.thermometer_boiling is None:
        return shown
    try:
        return correct_temperature(
            shown,
            kit.thermometer_ice.quantity if kit.thermometer_ice else None,
            kit.thermometer_boiling.quantity if kit.thermometer_boiling else None,
            kit.thermometer_boiled_at.quantity if kit.thermometer_boiled_at else boils_at(kit),
        )
    except OutOfRange:
        return shown
