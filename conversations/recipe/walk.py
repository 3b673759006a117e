"""The marks of one line, where among them the reader stands, and what lies before and behind it."""

from __future__ import annotations

import re

from conversations.recipe.entry import Entry
from conversations.recipe.mark import Mark
from conversations.recipe.words import words_of

_MINUTES = 20.0
_MOST = 20.0
_ONE_DECIMAL = re.compile(r"^\d{1,2}[.,]\d$|\bpoint\b", re.IGNORECASE)


class Walk:
    """A place in a row of marks; says what stands near it."""

    def __init__(self, marks: list[Mark]) -> None:
        self.marks = marks
        self.place = 0

    def mass_follows(self) -> bool:
        """Whether an amount comes before the next name."""
        following = (mark.kind for mark in self.marks[self.place + 1 :] if mark.kind in ("mass", "name"))
        return next(following, "") == "mass"

    def between_masses(self) -> bool:
        """Whether a mass follows before anything else does: the name has an amount of its own."""
        return self.place + 1 < len(self.marks) and self.marks[self.place + 1].kind == "mass"

    def ahead(self, kind: str) -> bool:
        """Whether a mark of that kind follows in this piece, before the next break."""
        for mark in self.marks[self.place + 1 :]:
            if mark.kind == "sep":
                return False
            if mark.kind == kind:
                return True
        return False

    def behind(self, kind: str) -> bool:
        """Whether a mark of that kind lies before in this piece."""
        for mark in reversed(self.marks[: self.place]):
            if mark.kind == "sep":
                return False
            if mark.kind == kind:
                return True
        return False

    def alpha_first(self) -> bool:
        """Whether a hop's name follows the share at hand with nothing but words between: "13 % alpha Magnum"."""
        for mark in self.marks[self.place + 1 :]:
            if mark.kind != "word":
                return mark.kind == "name" and mark.what == "hop"
        return False

    def bracketed(self) -> bool:
        """Whether the mark at hand stands in brackets behind a name, or between two commas."""
        behind, ahead = self.marks[max(0, self.place - 2) : self.place], self.marks[self.place + 1 : self.place + 2]
        return [m.kind for m in behind] == ["name", "sep"] and [m.kind for m in ahead] == ["sep"]

    def in_percent(self, mark: Mark) -> bool:
        """Whether a bare number with one decimal is a hop's alpha acids: in brackets, or behind "at", "is" or "says"."""
        if not _ONE_DECIMAL.search(mark.text) or not 1 < mark.value <= _MOST or mark.value == int(mark.value):
            return False
        before, after = self.marks[max(0, self.place - 1) : self.place], self.marks[self.place + 1 : self.place + 2]
        led = bool(before) and before[0].text.casefold() in ("at", "is", "says", "say", "@", "of", "alpha")
        return led or ([m.kind for m in before] == ["sep"] and (not after or after[0].kind == "sep"))

    def turned_since(self, mark: Mark) -> bool:
        """Whether a sentence ended or the talk turned to the mash since that mark."""
        return any((m.kind == "key" and m.what == "mash") or (m.kind == "sep" and m.what == ".") for m in self.marks[: self.place] if m.start > mark.start)

    def alone(self) -> bool:
        """Whether a mass follows that has its piece for itself: a cell of a table, or brackets."""
        row = self.marks[self.place + 1 : self.place + 3]
        return bool(row) and row[0].kind == "mass" and (len(row) == 1 or row[1].kind == "sep")

    def grain_behind(self) -> bool:
        """Whether a grain stands right behind the mark at hand: "45 % Munich"."""
        following = next((m for m in self.marks[self.place + 1 :] if m.text.casefold() != "of"), None)
        return following is not None and following.kind == "name" and following.what == "grain"

    def key_follows(self, place: int) -> str:
        """ "mash" or "boil" where the word stands right behind that place: "60 minute boil"."""
        following = self.marks[place + 1] if place + 1 < len(self.marks) else None
        after = self.marks[place + 2] if place + 2 < len(self.marks) else None
        if after is not None and (after.kind == "time" or (after.kind == "number" and after.value >= _MINUTES)):
            # "72 C 20 min. Boil 60": the word has a length of its own.
            return ""
        return (
            following.what
            if following is not None and following.kind == "key" and following.what in ("mash", "boil")
            else ""
        )

    def cell(self, place: int) -> bool:
        """Whether a bare number ends its piece, as in "12 g Fuggle 60" or in a table."""
        return place + 1 == len(self.marks) or self.marks[place + 1].kind == "sep"

    def unknown_hop(self) -> list[Mark]:
        """ "Bobek 4 % 20 g" behind another hop: a name that nobody here knows, by its capital and what stands behind it."""
        place = self.place - 1
        if place >= 0 and self.marks[place].kind == "share":
            place -= 1
        word = self.marks[place] if place >= 0 else None
        if word is None or word.kind != "word" or not word.text[:1].isupper() or word.text.isupper() or word.text.casefold() in words_of("names", "never"):
            return []
        return [word]

    def closes(self, entry: Entry) -> bool:
        """Whether the mass at hand belongs to the name before it: "challenger fifteen grams for an hour" behind malts told the other way round."""
        following = next((m for m in self.marks[self.place + 1 :] if m.kind != "word" or m.text.casefold() in ("and", "then", "plus")), None)
        if following is None or following.kind in ("word", "sep"):
            return not entry.timed
        return not entry.timed and entry.kind == "hop" and following.kind in ("time", "when", "days", "number", "key", "share")

    def counts_down(self, entry: Entry | None) -> bool:
        """ "when rest 60 minutes to the end": what is left and no stand."""
        following = self.marks[self.place + 1 : self.place + 3]
        before = self.marks[self.place - 1].text.casefold() if self.place else ""
        if before == "when" and following and following[0].kind == "time" and entry is not None:
            # "15 g Cascade when rest 5 minutes of boil": that much of the boil is left.
            return entry.kind == "hop"
        return (
            self.marks[self.place].text.casefold() in ("rest", "stand", "leave")
            and len(following) == 2
            and following[0].kind == "time"
            and (following[1].what == "end" or following[1].text.casefold() in ("to", "before", "until", "till"))
        )
