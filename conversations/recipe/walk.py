"""The marks of one line, where among them the reader stands, and what lies before and behind it."""

from __future__ import annotations

from conversations.recipe.mark import Mark


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

    def alone(self) -> bool:
        """Whether a mass follows that has its piece for itself: a cell of a table, or brackets."""
        row = self.marks[self.place + 1 : self.place + 3]
        return bool(row) and row[0].kind == "mass" and (len(row) == 1 or row[1].kind == "sep")

    def key_follows(self, place: int) -> str:
        """ "mash" or "boil" where the word stands right behind that place: "60 minute boil"."""
        following = self.marks[place + 1] if place + 1 < len(self.marks) else None
        return (
            following.what
            if following is not None and following.kind == "key" and following.what in ("mash", "boil")
            else ""
        )

    def cell(self, place: int) -> bool:
        """Whether a bare number ends its piece, as in "12 g Fuggle 60" or in a table."""
        return place + 1 == len(self.marks) or self.marks[place + 1].kind == "sep"
