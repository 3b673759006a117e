"""Amounts as they are scribbled: "2k4 pale, 180 xtal", "EKG 5.1: 20@60 10@10", "66/60", "four fifths pilsner malt"."""

from __future__ import annotations

import re

from conversations.recipe.words import known_grain, known_hop

_KILOS = re.compile(r"(?<![\w.,])(\d{1,2})k(\d{0,2})(?=\s(?!g\b|kg\b))", re.IGNORECASE)
_PIECES = re.compile(r"(,)")
_BARE = re.compile(r"^(\s*)(\d{2,3})(\s+)([^\W\d]+(?:\s[^\W\d]+){0,2})\s*$")
_LEAST, _MOST = 20, 950
_AT = re.compile(r"(?<![\w.,])(\d{1,3})\s?@\s?(\d{1,3})(?![\w.%])[,;/]?")
_HOP = re.compile(r"^\s*(?P<name>[^\W\d]+(?:\s[^\W\d]+)?)\s+(?P<alpha>\d{1,2}(?:[.,]\d{1,2})?)\s?%?\s?[:,]?\s(?=\s*\d{1,3}\s?@)")
_NAME = re.compile(r"^\s*(?P<name>[^\W\d]+(?:\s[^\W\d]+)?)\s*[:,]?\s(?=\s*\d{1,3}\s?@)")
_UNIT = re.compile(r"\d\s?(?:kg|g|gr|grams?|oz|ounces?|lbs?)\b", re.IGNORECASE)
_REST = re.compile(r"^\s*(?P<heat>6\d)\s?[CF°]?\s?/\s?(?P<minutes>\d{2})\s*$")
_PARTS = {"third": 3, "quarter": 4, "fifth": 5, "sixth": 6, "eighth": 8, "tenth": 10}
_COUNT = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "seven": 7, "nine": 9}
_FRACTION = re.compile(rf"(?<!\band )\b(?P<count>{'|'.join(_COUNT)})[ -](?P<part>{'|'.join(_PARTS)})s?\s(?:of\s)?(?!(?:an?\s)?(?:kilo|kg|pound|lb|ounce|oz|gram|hour|litre|gallon|pack|bag|teaspoon))(?=(?P<name>[^\W\d]+(?:\s[^\W\d]+){{0,2}}))", re.IGNORECASE)
_SHARES = re.compile(r"\d\s?(?:%|per\s?cent\b)", re.IGNORECASE)


def _fractions(row: str) -> str:
    """ "four fifths pilsner malt, 12 % Munich": shares of one grist, where another of the line is in percent."""
    low = row.casefold()
    if not any(part in low for part in _PARTS) or not _SHARES.search(row):
        return row

    def percent(found: re.Match[str]) -> str:
        words = found["name"].split()
        if not any(known_grain(" ".join(words[:end])) for end in range(1, len(words) + 1)):
            return found[0]
        share = 100 * _COUNT[found["count"].casefold()] / _PARTS[found["part"].casefold()]
        return f"{share:.4g} % " if share < 100 else found[0]

    return _FRACTION.sub(percent, row)


def _grams(row: str) -> str:
    """ "2k4 pale, 180 xtal": beside kilos a bare hundred with a malt's name is grams."""
    mended = _KILOS.sub(lambda found: f"{found[1]}.{found[2] or 0} kg", row)
    if mended == row:
        return row
    pieces = []
    for piece in _PIECES.split(mended):
        bare = _BARE.match(piece)
        malt = bare is not None and _LEAST <= int(bare[2]) <= _MOST and known_grain(bare[4])
        pieces.append(f"{bare[1]}{bare[2]} g{bare[3]}{bare[4]}" if bare is not None and malt else piece)
    return "".join(pieces)


def _at(row: str) -> str:
    """ "EKG 5.1: 20@60 10@10": grams at minutes."""
    if "@" not in row or _UNIT.search(row):
        return row
    head = _HOP.match(row) or _NAME.match(row)
    if head is None or not known_hop(head["name"]):
        return row
    alpha = f" {head['alpha']}%" if "alpha" in head.groupdict() else ""
    pairs = _AT.findall(row[head.end() :])
    if not pairs or _AT.sub("", row[head.end() :]).strip(" ,;/.and"):
        return row
    return ", ".join(f"{mass} g {head['name']}{alpha} {minutes} min" for mass, minutes in pairs)


def written_out(row: str) -> str:
    """The line with such amounts written out.

    >>> written_out("2k4 pale, 180 crystal, 30 choc"), written_out("EKG 5.1: 20@60 10@10")
    ('2.4 kg pale, 180 g crystal, 30 g choc', '20 g EKG 5.1% 60 min, 10 g EKG 5.1% 10 min')
    >>> written_out("66/60"), written_out("four fifths pilsner malt and 20 % Munich")
    ('mash 66 °C for 60 min', '80 % pilsner malt and 20 % Munich')
    """
    rest = _REST.match(row)
    if rest is not None:
        return f"mash {rest['heat']} °C for {rest['minutes']} min"
    return _at(_grams(_fractions(row)))
