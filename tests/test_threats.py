"""docs/threats.md names tests that exist, and dependencies are as bounded as it says."""

from __future__ import annotations

import ast
import os
import re
import tomllib
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
CONSTRAINTS = ROOT / "deploy" / "constraints.txt"
UNBOUNDED = {"tzdata"}
"""Data that is to be as new as can be."""


def functions(page: Path) -> set[str]:
    return {
        node.name
        for node in ast.walk(ast.parse(page.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }


def test_each_test_that_the_page_names_exists() -> None:
    text = (ROOT / "docs" / "threats.md").read_text(encoding="utf-8")
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", text)
    assert len(named) > 40
    assert [f"{page}::{name}" for page, name in named if not (ROOT / page).is_file() or name not in functions(ROOT / page)] == []
    rows = [line for line in text.split("## Not done")[0].splitlines() if line.startswith("| ") and not line.startswith("| threat")]
    assert len(rows) > 15
    assert [row[:40] for row in rows if "::" not in row] == []


def ours() -> list[Requirement]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [Requirement(each) for each in project["dependencies"]]


def closure() -> dict[str, str]:
    """Every package that the program needs here, with its version."""
    found: dict[str, str] = {}
    waiting = ours()
    while waiting:
        need = waiting.pop()
        name = re.sub(r"[-_.]+", "-", need.name).lower()
        if name in found or (need.marker is not None and not need.marker.evaluate({"extra": ""})):
            continue
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            continue
        waiting += [Requirement(each) for each in requires(name) or []]
    return found


def test_dependencies_are_bounded_and_constrained() -> None:
    if os.environ.get("POTSIDE_WRITE_CONSTRAINTS"):
        lines = "".join(f"{name}=={number}\n" for name, number in sorted(closure().items()))
        CONSTRAINTS.write_text("# The versions that the tests passed with; see docs/threats.md.\n" + lines, encoding="utf-8")
    kept = dict(line.split("==") for line in CONSTRAINTS.read_text(encoding="utf-8").splitlines() if "==" in line)
    for need in ours():
        signs = {each.operator for each in need.specifier}
        assert need.name in UNBOUNDED or ("<" in signs and signs & {">=", ">"}), need.name
        name = re.sub(r"[-_.]+", "-", need.name).lower()
        assert name in kept, f"{name} is missing in {CONSTRAINTS.name}: write it anew"
        assert need.specifier.contains(kept[name]), name
