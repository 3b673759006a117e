"""The measuring stick to print: its scale from the kit, and the message that asks for it."""

from __future__ import annotations

from typing import NamedTuple

from calc.errors import OutOfRange
from calc.stick_scale import Line, ScaleUnit, scale_lines
from calc.units import quantity
from conversations.intents import Intent, UnitSystem
from conversations.session import plan, wording
from conversations.session.state import Kit
from conversations.session.turn import Handlers, Turn

ASSUMED_HEIGHT = quantity(25.0, "centimetre")
"""How high a pot is taken to be where nobody said."""
HIGHEST_MM = 1000.0
UNIT_NAMES: dict[str, tuple[str, str]] = {
    "litre": ("l", "litres"),
    "imperial_pint": ("pt", "imperial pints"),
    "US_pint": ("pt", "US pints"),
}


class Scale(NamedTuple):
    """A scale ready to be drawn: lines from the bottom up, its length, and words for the paper."""

    lines: tuple[Line, ...]
    length_mm: float
    unit: ScaleUnit
    made_for: str
    height_assumed: bool


def scale_of(kit: Kit, units: UnitSystem) -> Scale:
    """The scale of a kit's pot: by marks where there are any, else by the diameter; OutOfRange where neither works."""
    unit: ScaleUnit = "litre" if units == "metric" else ("imperial_pint" if units == "imperial" else "US_pint")
    marks = [(depth.quantity, volume.quantity) for depth, volume in kit.marks]
    height_mm, assumed = _height_mm(kit)
    if marks:
        top = max(depth for depth, _ in marks)
        beyond = float(top.to("mm").magnitude) * 1.25
        height_mm = min(height_mm, beyond) if not assumed else beyond
        made_for = f"{kit.name}, by {len(marks)} measured marks"
    else:
        made_for = f"{kit.name}, {wording.depth(kit.pot_diameter.quantity, units)} across inside"
    lines = scale_lines(
        quantity(min(height_mm, HIGHEST_MM), "mm"), diameter=kit.pot_diameter.quantity, marks=marks, unit=unit
    )
    return Scale(lines, lines[-1].depth_mm, unit, made_for, assumed and not marks)


def _height_mm(kit: Kit) -> tuple[float, bool]:
    if kit.pot_height is not None:
        return kit.pot_height.in_unit("mm"), False
    if kit.pot_capacity is not None:
        try:
            return float(plan.depth_of_volume(kit.pot_capacity.quantity, kit).to("mm").magnitude), False
        except OutOfRange:
            pass
    return float(ASSUMED_HEIGHT.to("mm").magnitude), True


def print_stick(turn: Turn, intent: Intent) -> None:
    """ "print my stick": a page at natural size, as PDF or as a picture."""
    kit, units = turn.state.kit, turn.state.units
    scale = scale_of(kit, units)
    sort = str(intent.slots.get("format", "pdf"))
    whole = [line for line in scale.lines if line.rank == "whole"]
    words = UNIT_NAMES[scale.unit][1]
    alt = f"Measuring stick for {scale.made_for}: {whole[0].number:g} to {whole[-1].number:g} {words}."
    turn.say(alt)
    if not kit.marks and "pot_diameter" not in kit.told:
        turn.say(
            f"{wording.depth(kit.pot_diameter.quantity, units)} is assumed: measure your pot inside and tell me "
            '("pot is 24 cm across") before you print.'
        )
    else:
        turn.say("Print at 100 %, not fitted to the page; the check line must measure 50 mm.")
    if kit.marks and len(kit.marks) >= 2:
        top_depth, top_volume = kit.marks[-1]
        if scale.length_mm > top_depth.in_unit("mm") + 0.5:
            turn.say(f"Above {wording.volume(top_volume.quantity, units)} it goes on as between your last marks, which is a guess.")
    if scale.height_assumed:
        turn.say(f'Height {wording.depth(ASSUMED_HEIGHT, units)} assumed ("pot is 28 cm high").')
    elif not kit.marks:
        turn.say('A pot with a round bottom wants marks: "mark my stick".')
    turn.attach("stick_scale", alt, format=sort)
    if sort == "pdf":
        turn.offer(("as a picture", "print my stick as png"))


HANDLERS: Handlers = {"kit.print_stick": print_stick}
