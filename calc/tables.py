"""Reading the package's own data files, the numbers that a brewer may want to correct."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def read_table(name: str) -> dict[str, Any]:
    """Return ``calc/data/<name>.toml`` as a dictionary; read once in a process.

    Raises:
        FileNotFoundError: there is no such data file in the package.

    >>> read_table("heat_capacity")["material"]["steel"]["kilojoule_per_kg_kelvin"]
    0.5
    """
    return tomllib.loads((files("calc") / "data" / f"{name}.toml").read_text(encoding="utf-8"))
