"""One ingredient of a line while it is put together, and what else the line says."""

from __future__ import annotations

from dataclasses import dataclass, field

from conversations.recipe.mark import Mark


@dataclass(slots=True)
class Entry:
    """One ingredient of a line as far as it was found; ``name`` is None where the line names none."""

    name: Mark | None = None
    mass: Mark | None = None
    share: Mark | None = None
    minutes: float | None = None
    when: str = ""
    days: float | None = None
    after: bool = False
    """``minutes`` count from the start of the boil."""
    words: list[Mark] = field(default_factory=list)
    """Words that stand where a name would: taken for one where none is known."""
    own: bool = False
    """Its words stand before its mass: they are its name, and no name behind it is."""
    same: bool = False
    """The name was taken over from the addition before."""

    @property
    def kind(self) -> str:
        """grain, hop, yeast, extra, or empty where the line names nothing known."""
        return self.name.what if self.name is not None else ""

    @property
    def timed(self) -> bool:
        """Whether the line says when it goes in."""
        return self.minutes is not None or bool(self.when) or self.days is not None


@dataclass(slots=True)
class Line:
    """What one line holds besides ingredients."""

    entries: list[Entry] = field(default_factory=list)
    mash_temperature: Mark | None = None
    mash_minutes: float | None = None
    boil_minutes: float | None = None
