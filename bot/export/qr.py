"""The QR code of a batch's short code (ISO/IEC 18004), as rows of dark and light."""

from __future__ import annotations

QUIET = 4
"""Light modules that the standard wants on each side."""


def qr_rows(text: str) -> list[list[bool]]:
    """True where it is dark; without the quiet zone. Error correction M: a smudge does not matter."""
    import segno

    return [[bool(module) for module in row] for row in segno.make(text, error="m", micro=False).matrix]


def qr_svg_path(text: str) -> tuple[str, int]:
    """The dark modules as one SVG path, and the side of the square with its quiet zone, in modules."""
    rows = qr_rows(text)
    path = "".join(
        f"M{x + QUIET} {y + QUIET}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark
    )
    return path, len(rows) + 2 * QUIET
