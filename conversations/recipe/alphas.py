"""Alpha acids told once for all additions of a variety, beside them or on a line of their own."""

from __future__ import annotations

from dataclasses import dataclass

from conversations.recipe.limits import MOST_ALPHA
from conversations.recipe.mark import Mark
from conversations.recipe.recipe_text import ReadHop
from conversations.recipe.words import same_hop

_ALPHA = frozenset({"alpha", "alphas", "aa", "acid", "acids"})


@dataclass(frozen=True, slots=True)
class ToldHop:
    """A hop addition as it was told, before the lines behind it are known."""

    hop: ReadHop
    when: str
    """What its time hangs on: see hop_times.py."""
    unsure: bool = False
    """Its alpha acids were told as a range."""

    @property
    def only_alpha(self) -> bool:
        """Whether it tells alpha acids and nothing else: "packet says Fuggle 4.5 %"."""
        return self.hop.mass is None and self.hop.alpha is not None and self.hop.minutes is None and not self.when


    def with_alpha(self, alpha: float) -> ToldHop:
        """The addition with these alpha acids where it has none yet."""
        return self if self.hop.alpha is not None else ToldHop(self.hop.model_copy(update={"alpha": alpha}), self.when)


def alpha_alone(found: list[Mark]) -> float | None:
    """ "alpha 8 on both": what a sentence without any name says of the hops before it."""
    shares = [m for m in found if m.kind == "share" and m.what != "range"]
    said = any(m.text.casefold() in _ALPHA for m in found if m.kind == "word")
    return shares[0].value if said and len(shares) == 1 and 0 < shares[0].value <= MOST_ALPHA and not any(m.kind in ("name", "mass") for m in found) else None


def with_alphas(told: list[ToldHop]) -> list[ToldHop]:
    """The additions, each with the alpha acids of its variety where they are told anywhere; what tells only these is no addition."""
    kept = [each for each in told if not (each.only_alpha and _weighed(each, told))]
    return [_with_alpha(each, told) for each in kept]


def _weighed(one: ToldHop, told: list[ToldHop]) -> bool:
    return any(other.hop.mass is not None and same_hop(one.hop.name, other.hop.name) for other in told)


def _with_alpha(one: ToldHop, told: list[ToldHop]) -> ToldHop:
    if one.hop.alpha is not None or one.unsure:
        return one
    figures = {other.hop.alpha for other in told if other.hop.alpha is not None and same_hop(one.hop.name, other.hop.name)}
    if len(figures) != 1:
        return one
    return one.with_alpha(figures.pop())
