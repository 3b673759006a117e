"""The port between sound and words: what an engine takes and gives, whichever engine it is."""

from __future__ import annotations

from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from conversations.hearing import Trust

Samples = NDArray[np.float32]
"""Mono sound at :data:`RATE`, from -1 to 1."""

RATE = 16_000
"""Samples a second of everything that an engine is given."""


class SpeechError(Exception):
    """Speech that cannot be had, or sound that cannot be used; the text is a sentence for the person."""


class Hypothesis(NamedTuple):
    """One way of hearing a note: the words, and how sure the engine is of them, from 0 to 1."""

    text: str
    confidence: float
    like: bool = True
    """Whether it has the shape of a sentence that is said here; true where the engine does not know."""


class Situation(NamedTuple):
    """What may sharpen the hearing: the stage of the batch, the units, names that may be said."""

    stage: str | None = None
    units: str = "metric"
    names: tuple[str, ...] = ()


class Recogniser(Protocol):
    """An engine: sound in, ways of hearing it out, the likeliest first; empty where it heard no words."""

    @property
    def name(self) -> str:
        """The name under which it is chosen and reported."""
        ...

    def trust(self, sound: Samples) -> Trust:
        """How far its shares are to be believed for this sound; measured (docs/speech.md)."""
        ...

    def recognise(self, sound: Samples, situation: Situation) -> list[Hypothesis]:
        """Hear the sound, which holds speech and is not longer than a minute."""
        ...
