"""The shared recorder of checks against the outside world, and the table that it writes.

Every reference check goes through the fixture ``agree``: it asserts, and it keeps the row. To write the
docs table, run the checks in one process, since each xdist worker sees only its own rows::

    POTSIDE_WRITE_TABLE=docs/checks.md pytest -n0 -m '' tests/references
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

Agree = Callable[..., None]
"""Type of the fixture: ``agree(quantity, ours, outside, tolerance, source, unit="")``."""

HEADER = ("quantity", "our value", "outside value", "difference", "tolerance", "source")


class Row(NamedTuple):
    """One check: what was compared, with what, and how close it had to be."""

    quantity: str
    source: str
    unit: str
    ours: float
    outside: float
    tolerance: float


_rows: list[Row] = []


def _number(value: float, unit: str = "") -> str:
    return f"{value:.6g} {unit}".strip()


def _cells(row: Row) -> tuple[str, ...]:
    return (
        row.quantity,
        _number(row.ours, row.unit),
        _number(row.outside, row.unit),
        f"{row.ours - row.outside:+.2g}",
        f"{row.tolerance:.2g}",
        row.source,
    )


TITLE = (
    "# Every number against the outside\n\n"
    "Generated from the tests: `POTSIDE_WRITE_TABLE=docs/checks.md pytest -n0 -m '' tests/references`.\n"
    "A row is written only where our value lies within the tolerance.\n\n"
)


def _table(rows: list[Row]) -> str:
    lines = [HEADER, ("---",) * len(HEADER), *(_cells(row) for row in sorted(rows))]
    return "".join(
        "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in line) + " |\n"
        for line in lines
    )


@pytest.fixture
def agree() -> Agree:
    """Assert that our value lies within the tolerance of an outside one, and record the row."""
    if os.environ.get("POTSIDE_WRITE_TABLE") and os.environ.get("PYTEST_XDIST_WORKER"):
        pytest.fail("POTSIDE_WRITE_TABLE needs one process: run pytest with -n0")

    def check(
        quantity: str, ours: float, outside: float, tolerance: float, source: str, unit: str = ""
    ) -> None:
        assert source, "a check needs its source"
        # Written so that a NaN on either side fails.
        assert abs(ours - outside) <= tolerance, (
            f"{quantity}: ours {_number(ours, unit)}, outside {_number(outside, unit)}, "
            f"tolerance {tolerance:g} ({source})"
        )
        _rows.append(Row(quantity, source, unit, float(ours), float(outside), float(tolerance)))

    return check


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Write the table where asked to; only from a run in which everything passed."""
    target = os.environ.get("POTSIDE_WRITE_TABLE")
    if not target or exitstatus != 0 or not _rows:
        return
    Path(target).write_text(TITLE + _table(_rows), encoding="utf-8")
