"""Marks of one line into entries: which mass, share and time belong to which ingredient."""

from __future__ import annotations

import re

from conversations.recipe.amounts import celsius, same_amount
from conversations.recipe.entry import Entry, Line
from conversations.recipe.hop_sharing import boiled_with, leads_on, only_next, share_times, together, told_again
from conversations.recipe.lead import lead_of
from conversations.recipe.mark import Mark
from conversations.recipe.packs import without_packs
from conversations.recipe.walk import Walk
from conversations.recipe.words import words_of

_NAME_WORDS = 3
_ALPHA = re.compile(r"\d{1,2}[.,]\d")
_LONG = 30.0
"""Minutes from which on a time in front of "boil" is its length, whatever stands before."""


class _Builder(Walk):
    """Walks the marks of one line once."""

    def __init__(self, marks: list[Mark]) -> None:
        super().__init__(marks)
        self.line = Line()
        self.entry: Entry | None = None
        self.target = ""
        self.waiting: Mark | None = None
        self.alpha: Mark | None = None
        """Alpha acids told before the hop's name."""
        self.early: Entry | None = None
        """The entry whose time stood before its mass: "with ten minutes left 150 g of sugar"."""
        self.lead, self.amount = lead_of(marks)
        self.mashing = False
        """The line began with "Mash 2 kg pale malt": a mash temperature may follow the malt."""
        self.each: list[Entry] = []
        """Ingredients that share one mass and one time: "12 g each of Fuggle and Goldings"."""
        self.sealed: Entry | None = None
        """The entry that a sentence ended behind: words after it are no name of it."""
        self.before: list[Mark] = []
        """Words of this piece before its mass: a name, where none is known."""

    def _open(self, **fields: Mark | str | bool) -> Entry:
        self.mashing = self.mashing or self.target == "mash"
        self.entry = Entry(**fields)  # type: ignore[arg-type]
        self.line.entries.append(self.entry)
        self.target = ""
        if self.waiting is not None:
            self._time(self.waiting)
            self.waiting, self.early = None, self.entry
        return self.entry

    def build(self) -> Line:
        for place, mark in enumerate(self.marks):
            self.place = place
            match mark.kind:
                case "name":
                    self._name(mark)
                case "mass":
                    self._mass(mark)
                case "share":
                    self._share(mark)
                case "time" | "when" | "days":
                    self._timed(place, mark)
                case "number":
                    self._number(place, mark)
                case "temperature":
                    self._temperature(mark)
                case "key":
                    self._key(mark)
                case "sep":
                    self._sep(mark)
                case "word":
                    self._word(place, mark)
        boiled_with(self.line.entries, self.marks)
        share_times(self.line.entries, self.marks, self.early)
        self.line.entries = without_packs(self.line.entries)
        return self.line

    def _name(self, mark: Mark) -> None:
        entry = self.entry
        before = self.marks[self.place - 1].text.casefold() if self.place else ""
        again = entry is not None and entry.name is not None and entry.mass is not None and mark.what == "grain"
        if again and entry is not None and entry.name is not None and entry.name.ours == mark.ours and not self.mass_follows():
            # "8 lb pale malt (2-row) 88.9 %": the same malt under another name.
            return
        if before == "or" and entry is not None and entry.kind == mark.what and not self.between_masses():
            # "20 g Fuggle or Goldings 60 min": the first one counts.
            return
        if (
            self.each
            and entry is not None
            and entry.name is not None
            and entry.mass is not None
            and not self.ahead("mass")
        ):
            self.each.append(self._open(name=mark, mass=entry.mass))
            return
        if entry is not None and entry.mass is not None and not self.behind("mass") and self.ahead("mass"):
            # "6 kg of something, sugar 300 g": this piece has an amount of its own.
            self._open(name=mark)
            return
        nameless = entry is not None and entry.name is None and not entry.own and (entry.mass is not None or entry.share is not None)
        if (entry is not None and nameless and (mark.what == "hop" or not entry.timed or self._waited(entry))) or (
            entry is not None
            and entry.name is not None
            and self.lead != "name"
            and entry.kind == mark.what == "grain"
            and entry.mass is None
        ):
            entry.name = mark
        elif entry is not None and entry.kind == "yeast" and mark.what == "yeast":
            entry.name = mark if len(mark.text) > len(entry.name.text if entry.name else "") else entry.name
        else:
            if entry is not None and entry.name is None and entry.mass is None and not entry.timed:
                self.line.entries.remove(entry)
            self._open(name=mark)
        if self.alpha is not None and self.entry is not None and mark.what == "hop":
            self.entry.share, self.alpha = self.alpha, None
        self.target = ""

    def _waited(self, entry: Entry) -> bool:
        """Whether the nameless entry had its time first and its mass stands in this piece: the name here is its own."""
        return entry is self.early and self.behind("mass")

    def _mass(self, mark: Mark) -> None:
        entry = self.entry
        self.each = []
        of = entry is not None and entry.name is not None and [m.text.casefold() for m in self.marks[self.place + 1 : self.place + 2]] == ["of"]
        if entry is not None and entry.mass is not None and not of and same_amount(entry.mass, mark):
            return
        complete = entry is not None and entry.mass is not None and entry.name is not None
        if complete and self.ahead("name"):
            self._open(mass=mark)
            return
        if (
            self.before
            and not self.behind("name")
            and not self.ahead("name")
            and (entry is None or entry.mass is not None)
        ):
            entry = self._open(mass=mark, own=entry is not None)
            entry.words, entry.share, self.alpha = self.before[:_NAME_WORDS], self.alpha, None
            self.before = []
            return
        if entry is None or (entry.mass is not None and entry.name is None):
            self._open(mass=mark)
        elif entry.mass is None and (
            self.lead == "name" or entry.kind == "yeast" or (self.waiting is None and entry.name is None)
        ):
            entry.mass = mark
        elif self.lead == "name" and entry.kind == "hop" and (own := self.unknown_hop()):
            entry = self._open(mass=mark, own=True)
            entry.words, entry.share, self.alpha = own, self.alpha, None
        elif self.lead == "name" and entry.kind in ("hop", ""):
            before = entry
            entry = self._open(mass=mark)
            entry.name, entry.share, entry.same = before.name, before.share, True
        elif entry.mass is None and entry.name is not None and (self.lead == "time" or self.closes(entry)):
            entry.mass = mark
        else:
            self._open(mass=mark)
        self.target = ""

    def _share(self, mark: Mark) -> None:
        entry = self.entry
        if entry is not None and entry.kind == "hop" and entry.mass is not None and entry.share is not None and not self.behind("name") and not self.behind("mass") and self.between_masses():
            # Waits for the name that its mass will show to be one.
            self.alpha = mark
            return
        if self.alpha_first() and (entry is None or (entry.name is not None and entry.share is not None)):
            self.alpha = mark
            return
        if entry is not None and self.alpha_first() and entry.mass is not None and not self.behind("name"):
            self.alpha = mark if entry.name is not None else None
            if self.alpha is not None:
                return
        if (self.amount == "share" and self.lead == "mass") or ((entry is None or entry.share is not None) and self.grain_behind()):
            self._open(share=mark)
        elif self.entry is not None and (
            self.entry.share is None or self.entry.same or (self.entry.share.what == "range" and mark.what != "range")
        ):
            # "9.5 to 12 % on the packet, I count 11 %": the one that is settled on.
            self.entry.share = mark

    def _timed(self, place: int, mark: Mark) -> None:
        following = self.marks[place + 1].text.casefold() if place + 1 < len(self.marks) else ""
        if mark.kind == "time" and self.target == "boil" and following in ("more", "longer"):
            # "and boil 15 minutes more": what is left of it, not its length.
            self.target = ""
        elif mark.kind == "time" and self.target == "mash" and self.line.mash_minutes is not None and self.key_follows(place) == "boil":
            # "mash for an hour and a seventy minute boil"
            self.target = "boil"
            self._keyed_time(mark.value)
            self.target = "done"
        elif mark.kind == "time" and self.target in ("mash", "boil"):
            self._keyed_time(mark.value)
        elif mark.kind == "time" and self.target == "hold" and self.line.mash_temperature is not None and self.line.mash_minutes is None and not self._waits():
            # "it rests at 66 °C; leave it for 70 minutes"
            self.line.mash_minutes = mark.value
        elif mark.kind == "time" and self.key_follows(place) and self._between():
            self.target = self.key_follows(place)
            self._keyed_time(mark.value)
            self.target = "done"
        elif self.target == "other" and mark.kind == "time":
            pass
        elif self.lead == "time":
            if mark.kind == "time" and self._label_only():
                # "Bittering: 28 g Nugget for 45 minutes": the time that is told, not what the label would mean.
                self._time(mark)
            elif mark.kind != "days" and self.waiting is None and (self.entry is None or self.entry.mass is not None):
                if self.entry is not None and not self.entry.timed:
                    self._time(mark)
                else:
                    self.waiting = mark
            elif self.entry is not None:
                self._time(mark)
        elif self.entry is not None:
            self._time(mark)
        else:
            self.waiting = mark

    def _waits(self) -> bool:
        """Whether a hop is told whose time is not."""
        return self.entry is not None and self.entry.kind == "hop" and not self.entry.timed

    def _between(self) -> bool:
        """Whether no entry waits for a time: a grain without a mass may be a word of the beer's name."""
        if self.entry is None or self.entry.timed:
            return True
        return self.entry.kind == "grain" and (self.entry.mass is None or self.marks[self.place].value >= _LONG)

    def _label_only(self) -> bool:
        entry = self.entry
        return (
            entry is not None
            and entry.minutes is None
            and entry.when in ("start", "end")
            and entry.mass is not None
            and not any(m.kind == "mass" for m in self.marks[self.place + 1 :])
        )

    def _keyed_time(self, minutes: float) -> None:
        if self.target == "mash" and self.line.mash_minutes is None:
            self.line.mash_minutes = minutes
        elif self.target == "boil" and self.line.boil_minutes is None:
            self.line.boil_minutes = minutes

    def _time(self, mark: Mark) -> None:
        if self.entry is not None and leads_on(self.marks, self.place, self.entry, self.early):
            self.waiting = mark
            return
        again = told_again(self.marks, self.place, self.entry) if self.entry is not None and not self.each else None
        if again is not None:
            added = [again.of(entry) for entry in together(self.line.entries, self.marks)]
            self.line.entries += added
            self.entry = added[-1]
            for entry in added:
                self._time_of(entry, mark)
            return
        for entry in self.each or ([self.entry] if self.entry is not None else []):
            self._time_of(entry, mark)

    def _time_of(self, entry: Entry, mark: Mark) -> None:
        if mark.kind == "days":
            entry.days = mark.value
        elif mark.kind == "when" and mark.what in ("off", "end", "stand") and only_next(self.marks, self.place, entry):
            return
        elif mark.kind == "when":
            entry.when = mark.what if entry.when != "dry" else entry.when
        elif entry.minutes is None:
            entry.minutes, entry.after = mark.value, mark.what == "after"

    def _number(self, place: int, mark: Mark) -> None:
        entry = self.entry
        if self.target in ("mash", "hold") and self.line.mash_temperature is None and 30 <= mark.value <= 180:
            self._temperature(Mark("temperature", mark.start, mark.end, mark.text, mark.value, "deg"))
        elif entry is not None and entry.kind == "hop" and entry.share is None and self.in_percent(mark):
            # "20 g Saaz (3.2) @ 15", "Fuggles at 4.3": nobody boils for a tenth of a minute.
            entry.share = Mark("share", mark.start, mark.end, mark.text, mark.value, "percent")
        elif (mark.what != "time" and self.target == "boil" and self.line.boil_minutes is None and 10 <= mark.value <= 240 and self.cell(place)) or (mark.what == "time" and (self.target == "boil" or (self.target == "mash" and self.line.mash_temperature))):
            self._keyed_time(mark.value)
        elif mark.what == "time" and self.target not in ("other", "mash", "hold"):
            self._timed(place, mark)
        elif entry is not None and entry.kind == "hop" and entry.mass is None and entry.share is None and (self.between_masses() or self.bracketed()) and _ALPHA.fullmatch(mark.text) and 1 < mark.value <= 20:
            # "Challenger 7.1 20 g": alpha acids, as in a table.
            entry.share = Mark("share", mark.start, mark.end, mark.text, mark.value, "percent")
        elif (
            entry is not None
            and entry.kind == "hop"
            and entry.mass is not None
            and not entry.timed
            and 0 <= mark.value <= 120
            and mark.value == int(mark.value)
            and not (place and self.marks[place - 1].text.casefold() == "to")
            and self.cell(place)
        ):
            entry.minutes = mark.value

    def _temperature(self, mark: Mark) -> None:
        following = self.marks[self.place + 1 : self.place + 2]
        if not self.target and following and following[0].what == "mash" and following[0].kind == "key" and 50 <= celsius(mark) <= 78:
            # "66 degrees mash for 1 h"
            self.line.mash_temperature = self.line.mash_temperature or mark
            return
        if not self.target and self.mashing and 50 <= celsius(mark) <= 78:
            self.target = "mash"
        if self.target == "mash" and self.line.mash_temperature is None:
            self.line.mash_temperature = mark
        elif self.target == "hold" and self.line.mash_temperature is None and 50 <= celsius(mark) <= 78:
            self.line.mash_temperature, self.target = mark, "mash"

    def _key(self, mark: Mark) -> None:
        entry = self.entry
        if (
            mark.what == "boil"
            and entry is not None
            and (entry.kind == "hop" or (entry.name is None and entry.share is not None and bool(entry.words)))
            and not entry.timed
            and entry.mass is not None
            and not self.turned_since(entry.mass)
        ):
            return
        if mark.what == "hold" and entry is not None and entry.kind == "hop" and entry.when in ("off", "stand"):
            # "20 g at flame-out, leave it at 75 °C for 20 minutes" is no mash.
            self.target = ""
            return
        if self.counts_down(self.entry):
            return
        stands = mark.text.casefold() in ("stand", "steep", "soak", "rest")
        if stands and entry is not None and entry.kind == "hop" and entry.mass is not None and entry.minutes is None:
            entry.when, self.target = "stand", ""
            return
        if mark.what == "other" and entry is not None and entry.mass is not None and entry.kind in ("grain", "hop"):
            self.target = "other"
            return
        if self.target != "done" or mark.what != "boil":
            self.target = mark.what

    def _sep(self, mark: Mark) -> None:
        if mark.what != "," or (self.entry is not None and not self.alone()):
            # "Carahell, 250 g": the first cell of a row may be the name of the second.
            self.before = []
        if (
            mark.what in (".", "!", "?")
            and self.entry is not None
            and self.entry.name is not None
            and self.entry.mass is not None
        ) or (mark.what in (".", "!", "?", ";") and not (mark.what == "?" and self.place == 1)):
            # "Boil? 70 min."
            self.target = ""
            self.sealed = self.entry if self.entry is not None and self.entry.timed else None

    def _each_before(self, entry: Entry) -> None:
        """ "wheat malt and Pilsner, two kilos of each": the names before that have no amount of their own."""
        if not self.cell(self.place):
            return
        for before in reversed(self.line.entries[: self.line.entries.index(entry)]):
            if before.kind != entry.kind or before.mass is not None or before.share is not None:
                break
            before.mass = entry.mass

    def _word(self, place: int, mark: Mark) -> None:
        if mark.what == "each" and self.entry is not None and self.entry.mass is not None:
            self.each = [self.entry]
            self._each_before(self.entry)
        when = {"start": "start", "off": "off", "end": "end"}.get(mark.text.casefold())
        if when and self.cell(place) and self.entry is not None and self.entry.kind == "hop" and self.entry.mass is not None and not self.entry.timed:
            self.entry.when = when
        of_a_malt = mark.text.casefold() in ("malt", "malts") and bool(self.before) and mark.start - self.before[-1].end <= 1
        if (of_a_malt or mark.text.casefold() not in words_of("names", "never")) and not self.target:
            self.before.append(mark)
        entry = self.entry
        if (
            entry is None
            or entry.name is not None
            or entry.mass is None
            or entry is self.sealed
            or (entry.timed and not entry.words and self.lead != "time")
            or self.target
            or len(entry.words) == _NAME_WORDS
        ):
            return
        beside = not entry.words or mark.start - entry.words[-1].end <= 2
        # "banana malt": the word says that the unknown thing is a malt.
        malt = bool(entry.words) and mark.text.casefold() in ("malt", "malts")
        if beside and (malt or mark.text.casefold() not in words_of("names", "never")):
            entry.words.append(mark)


def entries(marks: list[Mark]) -> Line:
    """The ingredients of a line, and what it says of mash and boil."""
    return _Builder(marks).build()
