"""A recipe's text, line by line, into a :class:`RecipeText`; what cannot be is refused in a sentence, the rest kept."""

from __future__ import annotations

import re

from conversations.intents import Measured, UnitSystem
from conversations.recipe.asides import about_another_time, best_rest, main_rest, primes, without_asides
from conversations.recipe.entries import Entry, Line, entries
from conversations.recipe.limits import (
    MOST_LINES,
    alpha_refused,
    grain_refused,
    hop_refused,
    mash_refused,
    time_refused,
    volume_refused,
)
from conversations.recipe.marks import Mark, marks, spread
from conversations.recipe.recipe_text import ReadGrain, ReadHop, ReadYeast, RecipeText
from conversations.recipe.tables import without_headings
from conversations.recipe.titles import says_name, title
from conversations.recipe.words import heading, known_grain, known_hop, same_hop, words_of, yeast_type

HOUR = 60.0
SMALLEST_BATCH = 0.45
"""Litres below which a volume is a spoon or a cup of something, not a batch."""
_SENTENCES = re.compile(
    r"(?<!\blb)(?<!\boz)(?<!\bgal)(?<!\bmin)(?<!\bMin)(?<!\bapprox)(?<!\bca)(?<=[\w)%])[.!]\s+(?=[A-Z])"
)
"""Where one sentence ends and the next begins; a short unit's stop is none."""
_EDGES = frozenset({"sep", "name", "mass"})
_BULLET = re.compile(r"^\s*(?:[*•·▪‣◦>#]+|\d{1,2}[.)](?=\s)|[-–—](?=\s)|\[[ x]?\])\s*")
_TIGHT_BULLET = re.compile(r"^\s*[-–—](?=[\d.½¼¾])")
_NAMED = re.compile(r"^\s*(?:recipe|name|title|beer)\s*(?:name)?\s*:\s*(?P<name>\S.*)$", re.IGNORECASE)
_GRAVITY = re.compile(
    r"\b(?P<which>o\.?g\.?|f\.?g\.?|original gravity|starting gravity|start gravity|final gravity|finishing gravity|"
    r"(?:came|comes) out at|(?:started|starts) at|finished at|finishes at)\b",
    re.IGNORECASE,
)
_TOP_UP = re.compile(
    r"\b(?:top(?:ped)?|make|made|fill(?:ed)?|dilute[sd]?)\s+(?:\w+\s+)?(?:up\s+)?to\s*$", re.IGNORECASE
)
_STEEPED = re.compile(r"\b(?:steep|soak|dissolve|mash|stir)\w*\b.*\b(?:in|into|with)\s+(?:\w+\s+)?$", re.IGNORECASE)
_FROM_TO = re.compile(r"\b(1[.,]\d{3})\s*(?:[-=]+>|→|[-–—]|to|down to)\s*((?:1|0)[.,]\d{3})\b")
_EFFICIENCY = re.compile(
    r"efficiency\D{0,12}(?P<a>\d{2})(?:\.\d+)?\s*%|(?P<b>\d{2})(?:\.\d+)?\s*% *(?:brewhouse |mash )?efficiency",
    re.IGNORECASE,
)


class TooLong(ValueError):
    """The text has more lines than are read; ``lines`` says how many."""

    def __init__(self, lines: int) -> None:
        self.lines = lines
        super().__init__(f"{lines} lines, {MOST_LINES} at most")


def lines_of(text: str) -> list[str]:
    """The lines of a recipe: a text in one line is cut at " / " and ";".

    >>> lines_of("8 l; 1.4 kg pale / 90 g crystal")
    ['8 l', '1.4 kg pale', '90 g crystal']
    """
    rows = [row for row in text.splitlines() if row.strip()]
    if len(rows) == 1:
        rows = [row for row in re.split(r"\s+/\s+|;", rows[0]) if row.strip()]
    return rows


def read_recipe(text: str, system: UnitSystem = "metric") -> RecipeText:
    """Read a recipe; never raises but for :class:`TooLong`, and never makes an amount up.

    >>> read = read_recipe("1.2 kg pale malt, 12 g Fuggle 5% at 60, 8 litres")
    >>> read.grains[0].name, read.grains[0].mass.value, read.hops[0].minutes, read.volume.value
    ('pale malt', 1.2, 60.0, 8.0)
    """
    rows = lines_of(text)
    if len(rows) > MOST_LINES:
        raise TooLong(len(rows))
    reader = _Reader(system)
    rows = without_headings(rows)
    tight = sum(bool(_TIGHT_BULLET.match(row)) for row in rows)
    for number, row in enumerate(rows):
        if tight > 1:
            row = _TIGHT_BULLET.sub("", row)
        reader.row(without_asides(_BULLET.sub("", row)), first=number == 0)
    return reader.result()


class _Reader:
    """Collects what the lines tell."""

    def __init__(self, system: UnitSystem) -> None:
        self.system = system
        self.section: str | None = None
        self.name = ""
        self.volumes: list[tuple[int, Mark]] = []
        self.grains: list[ReadGrain] = []
        self.hops: list[tuple[ReadHop, str]] = []
        self.yeast: ReadYeast | None = None
        self.extras: list[tuple[str, Measured | None]] = []
        self.fields: dict[str, object] = {}
        self.refused: list[str] = []
        self.unread: list[str] = []
        self.last_hop: ReadHop | None = None
        self.rests: list[tuple[Mark, float | None]] = []

    def row(self, row: str, first: bool) -> None:
        """One line."""
        section = heading(row)
        if section is not None:
            self.section = section
            return
        named = _NAMED.match(row)
        if named and not any(m.kind == "mass" for m in marks(named["name"], self.system)):
            self.name = self.name or named["name"].strip()
        for number, sentence in enumerate(_SENTENCES.split(self._without_label(row))):
            self._sentence(spread(sentence), first and number == 0)

    def _sentence(self, line: str, first: bool) -> None:
        """One sentence, which is a whole line unless somebody writes a letter."""
        found = marks(line, self.system, self.section)
        if about_another_time(line):
            if any(m.kind in ("mass", "volume") for m in found):
                self.unread.append(line.strip())
            return
        self._volumes(line, found)
        self._gravities(line, found)
        built = entries(found)
        self._rests(found, built)
        self._mash_and_boil(built)
        kept = [self._entry(entry, line, found) for entry in built.entries]
        if (first and not self.name and (not any(kept) or says_name(line))) or (
            first and not self.name and found and found[0].kind == "word" and any(m.kind == "volume" for m in found)
        ):
            self.name = title(line, found)

    def _without_label(self, row: str) -> str:
        """ "Hops: 12 g Fuggle" without its label, which holds for this line and the next ones."""
        for mark in (":", "|", "\t"):
            head, found, rest = row.strip(" |").partition(mark)
            if found and rest.strip() and (section := heading(head)) not in (None, "mash"):
                self.section = section
                return rest
        return row

    def _rests(self, found: list[Mark], built: Line) -> None:
        """Of several rests, in one line or in lines below a heading, the main one is the mash."""
        main = main_rest(found, self.section == "mash")
        if main is not None:
            built.mash_temperature, built.mash_minutes = main[0], main[1] or built.mash_minutes
        elif self.section == "mash" and built.mash_temperature is None:
            heat = next((m for m in found if m.kind == "temperature"), None)
            if heat is not None and not any(m.kind == "mass" or (m.kind == "key" and m.what == "boil") for m in found):
                self.rests.append((heat, next((m.value for m in found if m.kind == "time"), None)))

    def _volumes(self, line: str, found: list[Mark]) -> None:
        for place, mark in enumerate(found):
            if mark.kind != "volume":
                continue
            left, right = place, place + 1
            while left > 0 and found[left - 1].kind not in _EDGES:
                left -= 1
            while right < len(found) and found[right].kind not in _EDGES:
                right += 1
            near = [
                m.what if m.kind == "key" else m.text.casefold() for m in found[left:right] if m.kind in ("word", "key")
            ]
            near += [m.text.casefold() for m in found[left:right] if m.kind == "key"]
            near += [m.what for m in found[left:right] if m.what == "preboil"]
            against = words_of("size", "against") | {"preboil"}
            # A word in front of its colon or bracket counts for the volume behind it ("Batch: 5 l").
            cues = words_of("size", "cues")
            following = [m for m in found[place + 1 : place + 3] if m.text.casefold() != "of"][:1]
            if following and following[0].what == "grain" and not any(m.kind == "mass" for m in found):
                # "a pint of honey" has no weight that could be told.
                self.unread.append(line.strip())
                continue
            small = Measured(value=mark.value, unit=mark.unit).in_unit("litre") < SMALLEST_BATCH
            if _TOP_UP.search(line[: mark.start]) and not {"pot", "kettle", "boil", "preboil", "pre"}.intersection(
                near
            ):
                against = frozenset()
            if _STEEPED.search(line[: mark.start]):
                # "steep 250 g crystal in 3 litres": the water that it is steeped in.
                continue
            if any(word in against for word in near) or (small and "batch" not in near):
                continue
            rank = 3 if any(word in cues for word in near) else 2
            self.volumes.append((rank, mark))

    def _gravities(self, line: str, found: list[Mark]) -> None:
        for cue in _GRAVITY.finditer(line):
            following = next((m for m in found if m.kind == "gravity" and m.start >= cue.end()), None)
            if following is None or following.start - cue.end() > 12:
                continue
            which = cue["which"].casefold().replace(".", "")
            key = "final" if which.startswith("f") else "original"
            self.fields.setdefault(key, following.value)
        drop = _FROM_TO.search(line)
        if drop and (high := _decimal(drop[1])) > (low := _decimal(drop[2])):
            self.fields.setdefault("original", high)
            self.fields.setdefault("final", low)
        efficiency = _EFFICIENCY.search(line)
        if efficiency:
            self.fields.setdefault("efficiency", float(efficiency["a"] or efficiency["b"]))

    def _mash_and_boil(self, built: Line) -> None:
        mark = built.mash_temperature
        if mark is not None:
            unit = mark.unit
            if unit == "deg" or (unit == "degC" and 120 <= mark.value <= 176):
                unit = "degF" if mark.value > 100 else "degC"
            temperature = Measured(value=mark.value, unit=unit)
            refused = mash_refused(temperature, mark.text)
            if refused:
                self.refused.append(refused)
            else:
                self.fields.setdefault("mash_temperature", temperature)
        for key, minutes in (("mash_minutes", built.mash_minutes), ("boil_minutes", built.boil_minutes)):
            if minutes is not None:
                refused = time_refused(minutes, "the mash" if key.startswith("mash") else "the boil")
                if refused:
                    self.refused.append(refused)
                else:
                    self.fields.setdefault(key, minutes)

    def _entry(self, entry: Entry, line: str, found: list[Mark]) -> bool:
        """Keep one ingredient; False where the line holds none."""
        kind, name, known = self._kind(entry, found)
        unsure = entry.mass is not None and entry.mass.what == "range"
        mass = Measured(value=entry.mass.value, unit=entry.mass.unit) if entry.mass and not unsure else None
        if (
            mass is None
            and not unsure
            and entry.share is None
            and kind in ("grain", "hop")
            and not self._meant(entry, found)
        ):
            if any(m.kind == "number" and m.what != "time" for m in found) and line.strip() not in self.unread:
                # "pale 80" has an amount that cannot be read: said, not passed over.
                self.unread.append(line.strip())
            elif any(m.kind == "mass" for m in found):
                self.unread.append(f"{name} (no amount)")
            return False
        if primes(entry, line, found):
            self.extras.append((f"{name} for priming", mass))
            return True
        if kind == "grain":
            return self._grain(entry, name, known, mass, line)
        if kind == "hop":
            return self._hop(entry, name, known, mass, line)
        if kind == "yeast":
            return self._yeast(name, mass)
        if kind == "extra":
            self.extras.append((name, mass))
            return True
        if mass is not None and not _only_total(entry, line, self.section):
            self.unread.append(line.strip())
        return False

    def _kind(self, entry: Entry, found: list[Mark]) -> tuple[str, str, bool]:
        """grain, hop, yeast or extra; the name; and whether it is known."""
        if entry.name is not None:
            written, ours = entry.name.text.strip(), entry.name.ours
            readable = not ours or (known_grain if entry.kind == "grain" else known_hop)(written)
            return entry.kind, written if readable else ours, True
        words = " ".join(mark.text for mark in entry.words)
        if not words and entry.timed and self.last_hop is not None:
            return "hop", self.last_hop.name, self.last_hop.known
        if not words:
            return "", "", False
        if self.section in ("hop", "yeast") or (entry.timed and entry.mass is not None):
            return self.section if self.section in ("hop", "yeast") else "hop", words, False
        alone = len(found) - len(entry.words) <= 2
        if self.section == "grain" or (entry.mass is not None and (alone or entry.mass.unit in ("kilogram", "pound"))):
            return "grain", words, False
        return "", words, False

    def _meant(self, entry: Entry, found: list[Mark]) -> bool:
        """Whether a name without an amount is an ingredient: it has the line for itself, or a vague amount."""
        texts = [m.text.casefold() for m in found if m.kind == "word"]
        if any(text in words_of("names", "vague") for text in texts):
            return True
        rest = [text for text in texts if text not in words_of("names", "never")]
        return not rest and not any(m.kind in ("key", "volume", "number", "gravity") for m in found) and len(found) <= 4

    def _grain(self, entry: Entry, name: str, known: bool, mass: Measured | None, line: str) -> bool:
        if mass is not None and (refused := grain_refused(mass, entry.mass.text if entry.mass else "", name)):
            self.refused.append(refused)
            return True
        share = entry.share.value if entry.share is not None else None
        if mass is None and share is not None and not 0 < share <= 100:
            self.refused.append(f"{share:g} % {name} is no share of a grist.")
            return True
        self.grains.append(ReadGrain(name=name, mass=mass, share=share, known=known))
        return True

    def _hop(self, entry: Entry, name: str, known: bool, mass: Measured | None, line: str) -> bool:
        alpha = entry.share.value if entry.share is not None else None
        if alpha is None:
            # One packet serves all additions of a variety, unless the text says otherwise.
            alpha = next((h.alpha for h, _ in reversed(self.hops) if same_hop(h.name, name)), None)
        when = entry.when
        refused = hop_refused(mass, entry.mass.text if entry.mass else "", name) if mass is not None else ""
        refused = refused or alpha_refused(alpha, name)
        minutes, use = entry.minutes, "boil"
        if when == "dry" or entry.days is not None:
            minutes, use = 0.0, "dry"
        elif when == "first_wort":
            use = "first_wort"
        elif when == "hour":
            minutes = HOUR if minutes is None else minutes
        elif when in ("stand", "off") or (when == "end" and minutes is None):
            minutes, use = 0.0, "steep"
        if minutes == 0 and use == "boil":
            use = "steep"
        refused = refused or (time_refused(minutes, name) if minutes is not None else "")
        if refused:
            self.refused.append(refused)
            return True
        hop = ReadHop(name=name, mass=mass, alpha=alpha, minutes=minutes, use=use, days=entry.days, known=known)
        self.hops.append((hop, when))
        self.last_hop = hop
        return True

    def _yeast(self, name: str, mass: Measured | None) -> bool:
        if mass is not None and not 0 < mass.in_unit("gram") <= 1000:
            mass = None
        if self.yeast is None or (self.yeast.mass is None and mass is not None) or len(self.yeast.name) < len(name):
            kept = self.yeast.mass if self.yeast is not None and mass is None else mass
            longest = name if self.yeast is None or len(name) >= len(self.yeast.name) else self.yeast.name
            self.yeast = ReadYeast(name=longest, kind=yeast_type(longest), mass=kept)
        return True

    def result(self) -> RecipeText:
        """Everything together: the best volume, and the times that hang on the length of the boil."""
        if self.rests and "mash_temperature" not in self.fields:
            main = best_rest(self.rests) or (self.rests[0] if len(self.rests) == 1 else None)
            if main is not None:
                self._mash_and_boil(Line(mash_temperature=main[0], mash_minutes=main[1]))
        boil = self.fields.get("boil_minutes")
        length = float(boil) if isinstance(boil, int | float) else HOUR
        hops = tuple(
            hop.model_copy(update={"minutes": length})
            if hop.minutes is None and (when == "start" or hop.use == "first_wort")
            else hop
            for hop, when in self.hops
        )
        volume, unsure = None, False
        best = max(self.volumes, key=lambda pair: (pair[0], pair[1].what != "unsure"), default=None)
        if best is not None:
            mark = best[1]
            volume = Measured(value=mark.value, unit=mark.unit)
            if refused := volume_refused(volume, mark.text):
                self.refused.append(refused)
                volume = None
            unsure = volume is not None and mark.what == "unsure" and self.system == "metric"
        return RecipeText(
            name=self.name,
            volume=volume,
            unsure_gallon=unsure,
            grains=tuple(self.grains),
            hops=hops,
            yeast=self.yeast,
            extras=tuple(self.extras),
            refused=tuple(self.refused),
            unread=tuple(self.unread),
            **self.fields,  # type: ignore[arg-type]
        )


def _decimal(written: str) -> float:
    return float(written.replace(",", "."))


def _only_total(entry: Entry, line: str, section: str | None) -> bool:
    """Whether a mass stands for no ingredient: a total, or the story around a recipe."""
    words = line.casefold().split()
    return any(word.strip(":(),") in ("total", "grains", "grain", "grist", "malts", "hops") for word in words[:3])
