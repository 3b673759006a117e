"""The pages for newcomers name no file, folder or command that is not there."""

from __future__ import annotations

import re
from fnmatch import fnmatch
from pathlib import Path

import pytest

from bot.main import main
from tests.module_map import PACKAGES, PAGE, first_line, page

ROOT = Path(__file__).resolve().parent.parent
_PARTS = ("bot", "calc", "conversations", "tests", "benchmarks", "docs", "deploy", "fixtures", ".ci")
_CODE = re.compile(r"`([^`]+)`|```sh\n(.*?)```", re.DOTALL)
_FILE = re.compile(r"(?<![\w/.*-])[\w.*/-]+\.(?:py|toml|md|service|json)\b|(?<![\w/.*-])(?:[\w.-]+/)+(?![\w.*-])")
_YOURS = {"FILE.json", "/etc/potside.toml"}
"""Files that the reader has, not the project."""


def _there() -> list[str]:
    found = [path for part in _PARTS for path in (ROOT / part).rglob("*") if "__pycache__" not in path.parts]
    found += [ROOT / part for part in _PARTS] + [path for path in ROOT.iterdir() if path.is_file()]
    return [path.relative_to(ROOT).as_posix() + ("/" if path.is_dir() else "") for path in found]


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_each_file_and_folder_that_is_named_is_there(page: str) -> None:
    there = _there()
    code = [a or b for a, b in _CODE.findall((ROOT / page).read_text(encoding="utf-8"))]
    named = {name for piece in code for name in _FILE.findall(piece)} - _YOURS
    named = {name for name in named if not name.startswith((".venv", "/"))}
    assert len(named) > 5
    missing = [name for name in named if not any(fnmatch(path, name) or fnmatch(path, f"*/{name}") for path in there)]
    assert missing == []


def test_each_command_of_the_readme_is_one(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    offered = capsys.readouterr().out
    named = set(re.findall(r"potside ([a-z]+)\b", " ".join(a or b for a, b in _CODE.findall((ROOT / "README.md").read_text(encoding="utf-8")))))
    assert {"demo", "ask", "recipe", "stick", "export", "hear", "say", "status", "serve"} <= named
    assert [name for name in named if not re.search(rf"^    {name}\b", offered, re.MULTILINE)] == []


def test_every_module_says_what_is_inside_and_the_map_repeats_it() -> None:
    silent = [path for part in PACKAGES for path in (ROOT / part).rglob("*.py") if path.name != "__init__.py" and not first_line(path)]
    assert silent == []
    assert PAGE.read_text(encoding="utf-8") == page()
