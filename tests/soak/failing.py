"""A connection to SQLite that a test can break: killed at a statement, full, or read-only."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any


class Killed(BaseException):
    """The program ends here, as by kill -9: nothing after this statement happens."""


class FailingConnection(sqlite3.Connection):
    """Counts statements down to a kill, which comes before or after the last of them is carried out."""

    kill_in: int | None = None
    after: bool = False

    def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:  # type: ignore[override]
        """Run one statement, unless the kill comes first."""
        return self._counted(super().execute, sql, *values)

    def executemany(self, sql: str, *values: Any) -> sqlite3.Cursor:  # type: ignore[override]
        """Run many, unless the kill comes first."""
        return self._counted(super().executemany, sql, *values)

    def _counted(self, run: Any, *arguments: Any) -> sqlite3.Cursor:
        if self.kill_in is None:
            return run(*arguments)  # type: ignore[no-any-return]
        self.kill_in -= 1
        if self.kill_in < 0:
            raise Killed
        got = run(*arguments)
        if self.kill_in == 0 and self.after:
            # From here on everything fails, so that no rollback of a living program tidies up.
            self.kill_in = -1
            raise Killed
        return got  # type: ignore[no-any-return]

    def fill(self) -> None:
        """No room for another page: SQLite itself answers SQLITE_FULL, as on a full disk."""
        pages = super().execute("PRAGMA page_count").fetchone()[0]
        super().execute(f"PRAGMA max_page_count = {pages}")

    def make_room(self) -> None:
        """Room again."""
        super().execute("PRAGMA max_page_count = 1073741823")

    def lock(self, on: bool) -> None:
        """SQLite itself answers SQLITE_READONLY, as on a medium that was mounted read-only."""
        super().execute(f"PRAGMA query_only = {'ON' if on else 'OFF'}")


def connect(path: Path) -> FailingConnection:
    """Open the data file on a connection that can be broken."""
    return sqlite3.connect(path, timeout=5.0, factory=FailingConnection)
