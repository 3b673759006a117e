"""Words for every slot of the sentence files, for the ear that listens for seldom things as well."""

from __future__ import annotations

import re

from bot.speech.spoken_numbers import HOURS, Say, decimal_forms, words
from conversations.understanding.numbers import ONES

_SLOT = re.compile(r"\{(\w+)\}")


class SayEverything(Say):
    """Fills the slots in the ways of saying a bank as well, and knows counts and small numbers."""

    def _from(self, bank: list[str]) -> str:
        """Raises ValueError where a way of saying it holds a slot that nobody can say."""
        return _SLOT.sub(self._inner, super()._from(bank))

    def _inner(self, slot: re.Match[str]) -> str:
        said = self.slot(slot[1])
        if said is None:
            raise ValueError(f"Nobody can say {slot[0]}.")
        return said

    def _decimals(self, tenths: int) -> list[tuple[str, float]]:
        forms = decimal_forms(tenths)
        whole, part = divmod(tenths, 10)
        return [forms[0], (f"nought point {ONES[part]}", 2.0), *forms[1:]] if part and not whole else forms

    def _count(self) -> str:
        return words(self._random.choice([*range(1, 13), *range(1, 31), *range(35, 100, 5)]))

    def _small(self) -> str:
        return words(self._random.choice([*range(2, 8), *range(2, 13)]))

    def _cents(self) -> str:
        return words(self._random.choice([10 * self._random.randint(1, 9), self._random.randint(11, 99), 50, 99]))

    def _hundreds(self) -> str:
        return words(self._random.choice([100 * self._random.randint(1, 20), 50 * self._random.randint(1, 40)]))

    def _hour(self) -> str:
        return words(self._random.choice(HOURS))
