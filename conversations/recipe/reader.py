"""A recipe's text, line by line, into a :class:`RecipeText`; what cannot be is refused in a sentence, the rest kept."""

from __future__ import annotations

import re

from conversations.intents import Measured, UnitSystem
from conversations.recipe.additions import each_addition
from conversations.recipe.alphas import ToldHop, alpha_alone, with_alphas
from conversations.recipe.asides import left_out, this_time, without_asides
from conversations.recipe.bottle_sugar import BottleSugar
from conversations.recipe.entries import entries
from conversations.recipe.entry import Entry, Line
from conversations.recipe.gravities import gravities
from conversations.recipe.hop_times import timed
from conversations.recipe.in_stock import of_the_cupboard, without_stock
from conversations.recipe.limits import (
    MOST_LINES,
    alpha_refused,
    grain_refused,
    hop_refused,
    time_refused,
)
from conversations.recipe.mark import Mark
from conversations.recipe.marks import marks, spread
from conversations.recipe.mash import MashRests, settled
from conversations.recipe.meant import listed_among_grains, meant, without_remark
from conversations.recipe.pairs import on_one_line
from conversations.recipe.per_volume import for_all_of_it, share_of, times_volume
from conversations.recipe.quoted import without_quoted
from conversations.recipe.recipe_text import ReadGrain, ReadHop, ReadYeast, RecipeText
from conversations.recipe.said_of_the_boil import with_boil
from conversations.recipe.shares import shares_apart
from conversations.recipe.steps_in_turn import in_turn
from conversations.recipe.tables import without_headings
from conversations.recipe.taken_back import without_taken_back
from conversations.recipe.titles import called, says_name, title, written_title
from conversations.recipe.unit_labels import with_units
from conversations.recipe.volumes import Volumes
from conversations.recipe.words import heading, known_grain, known_hop, same_hop, yeast_type

HOUR = 60.0
_LONGEST_ROW = 3000
"""Letters of one line beyond which it is no line of a recipe, and not looked through for asides."""
_SENTENCES = re.compile(
    r"(?<!\b[Ll][Bb])(?<!\b[Oo][Zz])(?<!\b[Gg][Aa][Ll])(?<!\b[Mm][Ii][Nn])(?<!\bapprox)(?<!\bca)(?<=[\w)%])[.!]\s+(?=[A-Z])"
)
"""Where one sentence ends and the next begins; a short unit's stop is none."""
_BULLET = re.compile(r"^\s*(?:[*•·▪‣◦>#]+|\d{1,2}[.)](?=\s)|[-–—](?=\s)|\[[ x]?\])\s*")
_TALK = 5
"""Pieces of a sentence from which on a thing named in it without any figure may be only spoken of."""
_SAYS_NOTHING = frozenset({"word", "sep", "name"})
_IN_BRACKETS = re.compile(r"^\s*[\[(].*[\])]\s*$")
_ALONE = re.compile(r"^\s*(?P<minutes>\d{2,3})\s*(?:minutes?|mins?\.?|m|['’′])?\s*$", re.IGNORECASE)
_TIGHT_BULLET = re.compile(r"^\s*[-–—](?=[\d.½¼¾])")
_NAMED = re.compile(r"^\s*(?:recipe|name|title|beer)\s*(?:name)?\s*:\s*(?P<name>\S.*)$", re.IGNORECASE)
_OF_ALL = re.compile(
    r"^\s*(?:(?:total|in all|all the|the)\s+)*(?:grain|grist|malts?|grain bill|malt bill|fermentables)(?:\s+(?:bill|total|weight))?\s*[:,(]?\s*"
    r"(?:of\s+)?\d+(?:[.,]\d+)?\s*(?:kg|g|grams?|kilos?|lbs?|pounds?)\)?\s*(?:in all|in total|total)?\s*[:,]\s*(?=(?:[^\W\d]+\s){0,3}\d+(?:[.,]\d+)?\s*%)",
    re.IGNORECASE,
)
_ALTOGETHER = re.compile(
    r"\b(?:total|totals|altogether|in all|all of it)\s*(?:of\s+|is\s+|weighs\s+|[:=]\s*)?(?P<mass>\d+(?:[.,]\d+)?\s*(?:kg|kilos?|lbs?|pounds?|\d{3,4}\s*g))\b",
    re.IGNORECASE,
)
_OF_GRIST = re.compile(
    r"(?P<mass>\b\d+(?:[.,]\d+)?\s*(?:kg|g|gr|grams?|kilos?|lbs?|pounds?)) of (?:the )?(?:grist|grains?|malts?|grain bill|malt bill)\b(?: in all| in total)?",
    re.IGNORECASE,
)
_EACH_LITRE = re.compile(
    r"^\s*(?:(?:all\s+)?(?:(?:amounts?|quantities|weights|everything)\s*)?(?:are |is )?(?:(?:for|to|in)\s+)?)(?:each|every|per)\s+"
    r"(?P<of>lit(?:re|er)|l|gallon|gal)\b(?:\s*\([^()]*\))?(?:\s+of\s+(?:the\s+)?(?:beer|ale|wort))?(?:\s+(?:needs?|takes?|gets?|you need|i use))?\s*[:,-]?\s*",
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
        rows = [row.strip() for row in re.split(r"\s+/\s+|;", rows[0]) if row.strip()]
    return [piece for row in rows for piece in shares_apart(row)]


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
    rows, reader.unread = without_quoted(rows)
    rows = in_turn(without_headings(on_one_line(with_units([_BULLET.sub("", row) for row in rows]))))
    tight = sum(bool(_TIGHT_BULLET.match(row)) for row in rows)
    for number, row in enumerate(rows):
        if tight > 1:
            row = _TIGHT_BULLET.sub("", row)
        reader.row(without_asides(row) if len(row) <= _LONGEST_ROW else row, first=number == 0)
    return reader.result()


class _Reader:
    """Collects what the lines tell."""

    def __init__(self, system: UnitSystem) -> None:
        self.system = system
        self.section: str | None = None
        self.dry = False
        self.name = ""
        self.named = False
        self.volumes = Volumes(system)
        self.grains: list[ReadGrain] = []
        self.hops: list[ToldHop] = []
        self.stock_grains: list[ReadGrain] = []
        self.stock_hops: list[ToldHop] = []
        self.yeast: ReadYeast | None = None
        self.extras: list[tuple[str, Measured | None, str]] = []
        self.fields: dict[str, object] = {}
        self.refused: list[str] = []
        self.unread: list[str] = []
        self.last_hop: ReadHop | None = None
        self.mash = MashRests([])
        self.per = ""
        self.per_below = False
        self.total: Measured | None = None

    def row(self, row: str, first: bool) -> None:
        """One line."""
        section = heading(row)
        if section is not None:
            self.section, self.dry = "hop" if section == "dry" else section, section == "dry"
            return
        if self.dry and {"mass", "hop"} <= {mark.what or mark.kind for mark in marks(row, self.system)}:
            row = f"{row.rstrip(' .,;')} dry hop"
        if self.section == "hop":
            # "60 - 15 g Fuggle" below the heading of the hops: a time and its amount, no range.
            row = re.sub(r"^\s*(\d{1,3})\s+[-–:=]\s+(?=\d)", r"\1 min: ", row)
        if self.section == "boil" and (alone := _ALONE.match(row)):
            self.fields.setdefault("boil_minutes", float(alone["minutes"]))
            return
        if len(row) <= _LONGEST_ROW:
            row, cut = left_out(without_taken_back(with_boil(row)))
            self.unread += cut
            row = without_remark(each_addition(self._each_litre(self._in_all(row))), self.system)
        named = _NAMED.match(row)
        if named and not any(m.kind == "mass" for m in marks(named["name"], self.system)):
            self.name, self.named = self.name if self.named else named["name"].strip(), True
        for number, sentence in enumerate(_SENTENCES.split(self._without_label(row))):
            told, another = this_time(sentence)
            if another and any(m.kind in ("mass", "volume") for m in marks(another, self.system)):
                self.unread.append(another.strip())
            if told:
                self._sentence(spread(told), first and number == 0 and not _IN_BRACKETS.match(row))

    def _in_all(self, row: str) -> str:
        """ "Total grain 2.3 kg: 90 % pale malt": the mass that the shares are of."""
        told = _OF_ALL.match(row)
        within = (_OF_GRIST.search(row) or _ALTOGETHER.search(row)) if told is None and row.count("%") > 1 else None
        if within is not None:
            mass = next((m for m in marks(within["mass"], self.system) if m.kind == "mass"), None)
            self.total = Measured(value=mass.value, unit=mass.unit) if mass is not None else None
            return row[: within.start()].rstrip() + row[within.end() :]
        if told is None:
            return row
        mass = next((m for m in marks(told[0], self.system) if m.kind == "mass"), None)
        if mass is not None:
            self.total = Measured(value=mass.value, unit=mass.unit)
        self.section = "grain"
        return row[told.end() :]

    def _each_litre(self, row: str) -> str:
        """ "For every litre: 200 g pale malt" counts for its line; as a heading alone for the lines below it."""
        begins = _EACH_LITRE.match(row)
        if begins is None:
            self.per = self.per if self.per_below else ""
            return row
        self.per = "gallon" if begins["of"].casefold().startswith("gal") else "litre"
        self.per_below = not row[begins.end() :].strip(" .:-")
        return row[begins.end() :]

    def _sentence(self, line: str, first: bool) -> None:
        """One sentence, which is a whole line unless somebody writes a letter."""
        found = marks(line, self.system, self.section)
        self.volumes.add(line, found)
        for key, value in gravities(line, found).items():
            self.fields.setdefault(key, value)
        built = entries(found)
        self.mash.add(found, built, self.section == "mash")
        self._mash_and_boil(built)
        if not built.entries and (alpha := alpha_alone(found)) is not None and self.hops and not self.hops[-1].unsure:
            self.hops[-1] = self.hops[-1].with_alpha(alpha)
        sugar = BottleSugar(line, found)
        told = len(self.grains), len(self.hops)
        kept = [self._entry(entry, line, found, sugar) for entry in built.entries]
        if of_the_cupboard(line):
            self.stock_grains += self.grains[told[0] :]
            self.stock_hops += self.hops[told[1] :]
        if (first and not self.name and (not any(kept) or says_name(line))) or (
            first and not self.name and found and found[0].kind == "word" and any(m.kind == "volume" for m in found)
        ):
            self.name = title(line, found)
        elif not self.named and (name := called(line)):
            self.name, self.named = name, True
        elif not first and not self.named and not (self.grains or self.hops or self.extras or self.yeast or any(kept)):
            self.name = written_title(line, found, self.name)

    def _without_label(self, row: str) -> str:
        """ "Hops: 12 g Fuggle" without its label, which holds for this line and the next ones."""
        for mark in (":", "|", "\t"):
            head, found, rest = row.strip(" |").partition(mark)
            if found and rest.strip() and (section := heading(head)) not in (None, "mash", "boil", "dry"):
                self.section = section
                return rest
        return row

    def _mash_and_boil(self, built: Line) -> None:
        for key, minutes in (("mash_minutes", built.mash_minutes), ("boil_minutes", built.boil_minutes)):
            if minutes is not None:
                refused = time_refused(minutes, "the mash" if key.startswith("mash") else "the boil")
                if refused:
                    self.refused.append(refused)
                else:
                    self.fields.setdefault(key, minutes)

    def _mash(self) -> None:
        """The main rest is the mash; where there are several, all of them are kept."""
        main, kept = self.mash.main(), []
        for mark, minutes in self.mash.rests:
            temperature, refused = settled(mark)
            refused = refused or (time_refused(minutes, "the mash") if minutes is not None else "")
            if refused:
                self.refused.append(refused)
                continue
            kept.append((temperature, minutes))
            if main is not None and mark is main[0]:
                self.fields["mash_temperature"] = temperature
                if minutes is not None:
                    self.fields["mash_minutes"] = minutes
        if len(kept) > 1:
            self.fields["rests"] = tuple(kept)

    def _entry(self, entry: Entry, line: str, found: list[Mark], sugar: BottleSugar) -> bool:
        """Keep one ingredient; False where the line holds none."""
        kind, name, known = self._kind(entry, found)
        unsure = entry.mass is not None and entry.mass.what == "range"
        mass = Measured(value=entry.mass.value, unit=entry.mass.unit) if entry.mass and not unsure else None
        per = entry.mass.what.removeprefix("per ") if entry.mass and entry.mass.what.startswith("per ") else self.per
        if (
            mass is None
            and not unsure
            and entry.share is None
            and kind in ("grain", "hop")
            and not (entry.same or meant(found, entry.name))
        ):
            if any(m.kind == "number" and m.what != "time" for m in found) and line.strip() not in self.unread:
                # "pale 80" has an amount that cannot be read: said, not passed over.
                self.unread.append(line.strip())
            elif any(m.kind == "mass" for m in found) and name.casefold() not in ("malt", "malts"):
                self.unread.append(f"{name} (no amount)")
            return False
        if sugar.holds(entry):
            each = per == "bottle" or re.search(r"\beach\b", line, re.IGNORECASE)
            self.extras.append((f"{name} for priming{', in each bottle' if each else ''}", mass, per))
            return True
        if kind == "grain":
            return self._grain(entry, name, known, mass, per)
        if kind == "hop":
            return self._hop(entry, name, known, mass, per)
        if kind == "yeast":
            return self._yeast(name, mass, per)
        if kind == "extra":
            if mass is None and self.section != "extra" and len(found) > _TALK and not any(m.kind not in _SAYS_NOTHING for m in found):
                # A coffee ring on the page is not in the beer.
                return False
            self.extras.append((name, mass, per))
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
        if self.section in ("extra", "other"):
            return "extra" if self.section == "extra" and entry.mass is not None else "", words, False
        if self.section in ("hop", "yeast") or (entry.timed and entry.mass is not None):
            return self.section if self.section in ("hop", "yeast") else "hop", words, False
        alone = listed_among_grains(entry, found) or len(found) - len(entry.words) <= 2 or words.casefold().endswith("malt")
        if self.section == "grain" or (entry.mass is not None and (alone or entry.mass.unit in ("kilogram", "pound"))):
            return "grain", words, False
        return "", words, False

    def _grain(self, entry: Entry, name: str, known: bool, mass: Measured | None, per: str) -> bool:
        if mass is not None and (refused := grain_refused(mass, entry.mass.text if entry.mass else "", name)):
            self.refused.append(refused)
            return True
        share = entry.share.value if entry.share is not None else None
        if mass is None and share is not None and not 0 < share <= 100:
            self.refused.append(f"{share:g} % {name} is no share of a grist.")
            return True
        self.grains.append(ReadGrain(name=name, mass=mass, share=share, known=known, per=per))
        return True

    def _hop(self, entry: Entry, name: str, known: bool, mass: Measured | None, per: str) -> bool:
        alpha = entry.share.value if entry.share is not None and entry.share.what != "range" else None
        if alpha is None and entry.share is None:
            # One packet serves all additions of a variety, unless the text says otherwise.
            alpha = next((each.hop.alpha for each in reversed(self.hops) if same_hop(each.hop.name, name)), None)
        when = entry.when
        refused = hop_refused(mass, entry.mass.text if entry.mass else "", name) if mass is not None else ""
        refused = refused or alpha_refused(alpha, name)
        minutes, use = entry.minutes, "boil"
        if entry.after:
            when = "after"
        elif when == "half":
            minutes = None
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
        hop = ReadHop(name=name, mass=mass, alpha=alpha, minutes=minutes, use=use, days=entry.days, known=known, per=per)
        self.hops.append(ToldHop(hop, when, unsure=entry.share is not None and alpha is None))
        self.last_hop = hop
        return True

    def _yeast(self, name: str, mass: Measured | None, per: str) -> bool:
        if mass is not None and not 0 < mass.in_unit("gram") <= 1000:
            mass = None
        if self.yeast is None or (self.yeast.mass is None and mass is not None) or len(self.yeast.name) < len(name):
            kept = self.yeast.mass if self.yeast is not None and mass is None else mass
            longest = name if self.yeast is None or len(name) >= len(self.yeast.name) else self.yeast.name
            kept_per = self.yeast.per if self.yeast is not None and mass is None else per
            self.yeast = ReadYeast(name=longest, kind=yeast_type(longest), mass=kept, per=kept_per)
        return True

    def result(self) -> RecipeText:
        """Everything together: the best volume, and the times that hang on the length of the boil."""
        self._mash()
        boil = self.fields.get("boil_minutes")
        length = float(boil) if isinstance(boil, int | float) else HOUR
        hops = tuple(timed(each.hop, each.when, length) for each in with_alphas(without_stock(self.hops, self.stock_hops)))
        volume, unsure, refused = self.volumes.best()
        self.refused += [refused] if refused else []
        return RecipeText(
            name=self.name,
            volume=volume,
            unsure_gallon=unsure,
            grains=tuple(share_of(for_all_of_it(grain, volume), self.total) for grain in without_stock(self.grains, self.stock_grains)),
            hops=tuple(for_all_of_it(hop, volume) for hop in hops),
            yeast=for_all_of_it(self.yeast, volume) if self.yeast is not None else None,
            extras=tuple((name, times_volume(mass, per, volume)) for name, mass, per in self.extras),
            refused=tuple(self.refused),
            unread=tuple(dict.fromkeys((*self.unread, *self.volumes.unread))),
            **self.fields,  # type: ignore[arg-type]
        )


def _only_total(entry: Entry, line: str, section: str | None) -> bool:
    """Whether a mass stands for no ingredient: a total, or the story around a recipe."""
    words = line.casefold().split()
    return any(word.strip(":(),") in ("total", "grains", "grain", "grist", "malts", "hops") for word in words[:3])
