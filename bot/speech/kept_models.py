"""Where models of what may be said are kept: made from the language data at first use, under a key of that data."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from bot.speech.dictionary import hearing
from bot.speech.port import Situation
from bot.speech.what_is_said import SENTENCES

_VERSION = "4"
_MADE_BY = (
    "what_is_said.py",
    "spoken_numbers.py",
    "every_slot.py",
    "dictionary.py",
    "language_model.py",
    "likeness.py",
    "phone_ear.py",
    "wide_ear.py",
)


@lru_cache(maxsize=1)
def data_key() -> str:
    """A key that changes with any file that the models are made from."""
    key = hashlib.sha256(f"{_VERSION} {SENTENCES}".encode())
    for package in ("conversations.understanding", "bot.speech"):
        for page in _pages(files(package).joinpath("data")):
            key.update(page.read_bytes())
    for module in _MADE_BY:
        key.update(files("bot.speech").joinpath(module).read_bytes())
    return key.hexdigest()[:16]


def _pages(folder: Any) -> list[Any]:
    found: list[Any] = []
    for each in sorted(folder.iterdir(), key=lambda one: one.name):
        found += _pages(each) if each.is_dir() else [each] if each.name.endswith(".toml") else []
    return found


def default_cache() -> Path:
    """Where models are kept on this system."""
    from platformdirs import user_cache_path

    return user_cache_path("potside", appauthor=False) / "hearing"


def situation_key(situation: Situation) -> str:
    """A name for the models of a situation: two situations in which the same may be said share it."""
    known = {name for bank in hearing()["names"].values() for name in bank}
    new = sorted({name.lower() for name in situation.names} - known)
    mark = hashlib.sha256(" ".join(new).encode()).hexdigest()[:8] if new else "all"
    return f"{situation.stage or 'none'}-{situation.units}-{mark}"


def kept(paths: tuple[Path, ...], make: Callable[[list[Path]], None]) -> tuple[Path, ...]:
    """The paths, all of them written by ``make`` where one is missing."""
    if all(path.exists() for path in paths):
        return paths
    paths[0].parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    # Written beside and renamed: another process may be building the same.
    drafts = [path.with_name(f"{path.name}.{os.getpid()}.draft") for path in paths]
    make(drafts)
    for draft, path in zip(drafts, paths, strict=True):
        draft.replace(path)
    return paths
