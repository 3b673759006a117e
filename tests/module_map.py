"""The list of all modules with the first line of each, docs/modules.md: `python -m tests.module_map` writes it anew."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "modules.md"
PACKAGES = ("calc", "conversations", "bot")


def first_line(path: Path) -> str:
    """What a module says of itself."""
    said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return " ".join(said.split("\n\n")[0].split())


def page() -> str:
    """The whole page."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    yield "# Every module in a line"
    yield ""
    yield "Written by `python -m tests.module_map` from the first lines of the modules; a test holds it true."
    for package in PACKAGES:
        folders = sorted({path.parent for path in (ROOT / package).rglob("*.py")})
        for folder in folders:
            modules = [path for path in sorted(folder.glob("*.py")) if path.name != "__init__.py"]
            if modules:
                yield f"\n## `{folder.relative_to(ROOT).as_posix()}/`\n"
                yield from (f"- `{path.name}`: {first_line(path)}" for path in modules)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
