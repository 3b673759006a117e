"""The rests of a mash over all lines of a recipe, and which of them makes the sugar."""

from __future__ import annotations

from dataclasses import dataclass, field

from conversations.intents import Measured
from conversations.recipe.amounts import celsius
from conversations.recipe.entry import Line
from conversations.recipe.limits import mash_refused
from conversations.recipe.mark import Mark

Told = tuple[Mark, float | None]


_SUGAR = (60.0, 72.0)
_REST = (35.0, 80.0)
_SHORTEST = 20.0
"""Minutes below which a rest is none that a recipe would live on."""
_NEAR = 6
_JOINS = frozenset({"for", "at", "in", "during", "/", "about", "a", "an", "the", "x", "×", "@", "-", "–"})
_GIVES = frozenset({"give", "wait", "let", "rests", "sits", "sit", "lid"})


@dataclass(slots=True)
class MashRests:
    """Collects rests sentence by sentence."""

    rests: list[Told]
    waiting: bool = False
    """The sentence before told a temperature and no time: "Leave it for 70 minutes" may follow."""

    loose: list[Told] = field(default_factory=list)
    """Rests that nobody called a mash, at a heat and of a length that nothing else has: "66 °C, 60 min"."""

    def add(self, found: list[Mark], built: Line, heading: bool) -> None:
        """Take what one sentence says of the mash; ``heading`` where it stands under the heading of the mash."""
        self.loose += _unnamed(found)
        several = rests_in(found, heading or _in_turn(found))
        if len(several) > 1:
            self.rests += several
            built.mash_temperature = None
        elif built.mash_temperature is not None:
            self.rests.append((built.mash_temperature, built.mash_minutes))
        elif heading and (alone := _alone(found)) is not None:
            self.rests.append(alone)
        elif self.waiting and built.mash_minutes is None and (minutes := _held(found)) is not None:
            self.rests[-1] = (self.rests[-1][0], minutes)
            self.waiting = False
            return
        else:
            self.waiting = self.waiting and not found
            return
        self.waiting = bool(self.rests) and self.rests[-1][1] is None

    def main(self) -> Told | None:
        """The rest that counts as the mash; None where no temperature was told."""
        if not self.rests:
            self.rests = self.loose[:1]
        return best_rest(self.rests) or (self.rests[0] if self.rests else None)


def _unnamed(found: list[Mark]) -> list[Told]:
    """A heat at which sugar is made with its time beside it, where no hop, no yeast and no word for anything else stands before."""
    held, hop = True, False
    for place, mark in enumerate(found):
        if mark.kind == "sep" and mark.what in (".", "!", "?", ";"):
            held = True
        elif (mark.kind == "name" and mark.what in ("hop", "yeast")) or (mark.kind == "key" and mark.what in ("other", "boil")) or (mark.kind == "when" and mark.what != "start"):
            held = False
            hop = mark.kind == "name" and mark.what == "hop"
        elif mark.kind == "time" and hop and not any(m.kind == "when" and m.what in ("off", "stand") for m in found[place : place + _NEAR]):
            # The hop before has its time.
            held = True
        if not held or mark.kind != "temperature" or not _SUGAR[0] <= celsius(mark) <= _SUGAR[1]:
            continue
        beside = [m for m in found[place + 1 : place + 4] if m.kind != "sep" and m.text.casefold() not in _JOINS][:1]
        before = [m for m in found[max(0, place - 3) : place] if m.kind != "sep" and m.text.casefold() not in _JOINS][-1:]
        time = next((m for m in (*beside, *before) if (m.kind == "time" or (m.kind == "number" and m.what == "time")) and m.value >= _SHORTEST), None)
        if time is not None:
            return [(mark, time.value)]
    return []


def _alone(found: list[Mark]) -> Told | None:
    """A temperature in a line under the heading, with its time."""
    heat = next((m for m in found if m.kind == "temperature"), None)
    if heat is None or any(m.kind == "mass" or (m.kind == "key" and m.what == "boil") for m in found):
        return None
    return heat, next((m.value for m in found if m.kind == "time"), None)


def _held(found: list[Mark]) -> float | None:
    """The only time of a sentence that says to leave, keep or rest something, and weighs nothing."""
    times = [m.value for m in found if m.kind == "time"]
    holds = any((m.kind == "key" and m.what in ("hold", "mash")) or m.text.casefold() in _GIVES for m in found)
    return times[0] if holds and len(times) == 1 and not any(m.kind in ("mass", "temperature") for m in found) else None


def _in_turn(found: list[Mark]) -> bool:
    """ "Dough in at 45 °C for 10 minutes, then 53 °C for 15 minutes, then 63 °C ...": rests that only their number shows to be a mash."""
    if any(m.kind == "mass" or (m.kind == "key" and m.what in ("boil", "other")) or (m.kind == "name" and m.what in ("hop", "yeast")) for m in found):
        return False
    heats = [place for place, m in enumerate(found) if m.kind == "temperature" and _REST[0] <= celsius(m) <= _REST[1]]
    said = any(m.kind == "key" or m.text.casefold() == "dough" for m in found)
    return said and sum(_timed_behind(found, place) for place in heats) > 1


def _timed_behind(found: list[Mark], place: int) -> bool:
    """Whether a time stands right behind that place."""
    following = next((m for m in found[place + 1 : place + 3] if m.text.casefold() not in ("for", ",")), None)
    return following is not None and (following.kind == "time" or (following.kind == "number" and following.what == "time"))


def rests_in(found: list[Mark], mashing: bool) -> list[Told]:
    """The rests of one sentence in their order; ``mashing`` where a heading says that it is about the mash."""
    rests: list[Told] = []
    waiting: float | None = None
    for place, mark in enumerate(found):
        before = found[place - 1].text.casefold() if place else ""
        if mark.kind == "number" and rests and mashing and 35 <= mark.value <= 80 and rests[-1][1] is not None and _timed_behind(found, place):
            # "at 45 for ten minutes, 63 for thirty"
            mark = Mark("temperature", mark.start, mark.end, mark.text, mark.value, "deg")
        if mark.kind == "number" and before in ("at", "to", "then") and (35 <= mark.value <= 80 or 95 <= mark.value <= 176):
            mark = Mark("temperature", mark.start, mark.end, mark.text, mark.value, "deg")
        if mark.kind == "key":
            if mark.what in ("boil", "other") and mashing:
                break
            mashing = mashing or mark.what == "mash"
        elif mashing and mark.kind == "temperature" and rests and abs(celsius(rests[-1][0]) - celsius(mark)) < 1 and mark.unit != rests[-1][0].unit:
            # "67 °C (153 °F)" is one temperature.
            continue
        elif mashing and mark.kind == "temperature":
            rests.append((mark, waiting))
            waiting = None
        elif mashing and (mark.kind == "time" or (mark.kind == "number" and mark.what == "time")):
            if rests and rests[-1][1] is None:
                rests[-1] = (rests[-1][0], mark.value)
            else:
                waiting = mark.value
    return rests


def best_rest(rests: list[Told]) -> Told | None:
    """The longest rest between 60 and 72 degC, where sugar is made; None where there is none.

    Common practice, no source: rests below are for proteins and gums, those above end the mash.
    """
    inside = [rest for rest in rests if 60 <= celsius(rest[0]) <= 72]
    return max(inside, key=lambda rest: rest[1] or 0.0, default=None)


def settled(mark: Mark) -> tuple[Measured, str]:
    """The temperature of a rest with its scale made out, and why it cannot be (else empty)."""
    unit = mark.unit
    if unit == "deg" or (unit == "degC" and 120 <= mark.value <= 176):
        unit = "degF" if mark.value > 100 else "degC"
    temperature = Measured(value=mark.value, unit=unit)
    return temperature, mash_refused(temperature, mark.text)
