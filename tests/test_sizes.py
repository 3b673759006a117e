"""A module that grows beyond what one reads in one go is split along meaning."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[1]
MOST_LINES = 400


def test_no_module_is_longer_than_one_reads() -> None:
    pages = [page for package in ("calc", "conversations", "bot") for page in (ROOT / package).rglob("*.py")]
    assert len(pages) > 150
    sizes = {page.relative_to(ROOT).as_posix(): len(page.read_text(encoding="utf-8").splitlines()) for page in pages}
    assert {name: size for name, size in sizes.items() if size > MOST_LINES} == {}
