"""The table of stages in `stages.toml` and the cautions beside it, read once."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from pydantic import BaseModel, ConfigDict


class StageReminder(BaseModel):
    """A reminder that a stage sets on entering: ``after`` minutes, or a share of the mash.

    ``from_boil`` is minutes from the moment the boil starts instead of from entering; ``done`` is the intent that
    "done" stands for when it was called.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    key: str
    text: str
    after: str = ""
    from_boil: str = ""
    done: str = ""


class Stage(BaseModel):
    """One row of the table; the head of `stages.toml` says what each field means."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    name: str
    title: str
    now: str
    asks: str
    next: str
    opens: tuple[str, ...] = ()
    caution: tuple[str, ...] = ()
    plausible: dict[str, tuple[float, float, str]] = {}
    then: str = ""
    once: tuple[str, ...] = ()
    reminders: tuple[StageReminder, ...] = ()


def _read(name: str) -> str:
    return files("conversations.session").joinpath(name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def stages() -> dict[str, Stage]:
    """All stages by name, in the order of the day."""
    return {row["name"]: Stage(**row) for row in tomllib.loads(_read("stages.toml"))["stage"]}


@lru_cache(maxsize=1)
def cautions() -> dict[str, str]:
    """Caution lines by name."""
    return {key: str(line) for key, line in tomllib.loads(_read("cautions.toml")).items()}


def stage_now(name: str) -> str:
    """How a batch is at a stage: "fermenting", "in the bottle"."""
    return stages()[name].now if name in stages() else name


def before(name: str) -> str:
    """The stage before in the table; the first one stays where it is."""
    names = list(stages())
    return names[max(0, names.index(name) - 1)]


@lru_cache(maxsize=1)
def opened_by() -> dict[str, str]:
    """Intent name to the stage that it opens."""
    return {intent: stage.name for stage in stages().values() for intent in stage.opens}
