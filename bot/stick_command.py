"""`potside stick`: the measuring stick written to a file."""

from __future__ import annotations

import re
from pathlib import Path

from calc.errors import OutOfRange
from conversations.intents import Measured, UnitSystem
from conversations.session.state import Kit
from conversations.session.stick import scale_of
from conversations.understanding.quantities import KINDS, quantities_in


class Unreadable(Exception):
    """What was asked for cannot be read; the text is a sentence."""


def _one(text: str, units: UnitSystem, kind: str) -> Measured:
    # In running text "in" is a preposition; behind a number on the command line it is inches.
    found = quantities_in(re.sub(r"(?<=\d)\s*in$", " inch", text.strip()), units)
    if len(found) != 1 or KINDS.get(found[0].unit) != kind:
        example = {"length": "24cm", "volume": "2l"}[kind]
        raise Unreadable(f"'{text}' is not a {kind}. Write it like {example}.")
    return Measured(value=found[0].value, unit=found[0].unit)


def read_marks(text: str, units: UnitSystem) -> tuple[tuple[Measured, Measured], ...]:
    """ "6.3cm=2l, 12.5cm=4l" as pairs of depth and volume, deepest last."""
    pairs = []
    for piece in text.split(","):
        depth, equals, volume = piece.partition("=")
        if not equals:
            raise Unreadable(f"'{piece.strip()}' is not a mark. Write marks like 6.3cm=2l,12.5cm=4l.")
        pairs.append((_one(depth, units, "length"), _one(volume, units, "volume")))
    return tuple(sorted(pairs, key=lambda pair: pair[0].in_unit("mm")))


def kit_for(kit: Kit, units: UnitSystem, diameter: str | None, marks: str | None, height: str | None) -> Kit:
    """The kit of the diary with what was asked for on the command line."""
    fields: dict[str, object] = {}
    if diameter:
        fields |= {"pot_diameter": _one(diameter, units, "length"), "marks": (), "name": "pot"}
    if marks:
        fields |= {"marks": read_marks(marks, units), "name": "pot"}
    if height:
        fields["pot_height"] = _one(height, units, "length")
    elif fields:
        # The height and capacity of the diary belong to the diary's pot.
        fields |= {"pot_height": None, "pot_capacity": None}
    return kit.model_copy(update=fields)


def write(kit: Kit, units: UnitSystem, path: Path) -> list[Path]:
    """Write the stick as PDF, or as one PNG a page where the name ends in .png; returns what was written."""
    from bot.stick_page import pages_as_png, stick_pdf

    try:
        scale = scale_of(kit, units)
    except OutOfRange as error:
        raise Unreadable(f"That makes no scale: {error.argument.replace('_', ' ')} {error.reason}.") from error
    pdf = stick_pdf(scale, units)
    if path.suffix.lower() != ".png":
        path.write_bytes(pdf)
        return [path]
    pages = pages_as_png(pdf)
    names = [path] if len(pages) == 1 else [path.with_stem(f"{path.stem}-{n}") for n in range(1, len(pages) + 1)]
    for name, page in zip(names, pages, strict=True):
        name.write_bytes(page)
    return names
