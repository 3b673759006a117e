"""Amounts whose unit stands once, in the label in front of them or in the heading above them."""

from __future__ import annotations

import re

from conversations.recipe.words import heading, keys, known_grain, known_hop, words_of

_LABEL = re.compile(
    r"^\s*(?P<label>[^\W\d]+(?:\s[^\W\d]+)?)\s*(?:[(\[]\s*(?:in\s+)?(?P<unit>kg|g|lbs?|oz|l|litres?|liters?)\s*[)\]]|"
    r"in\s+(?P<grams>kg|g|lbs?|oz))\s*(?::|$)",
    re.IGNORECASE,
)
_BARE_LABEL = re.compile(r"^\s*(?P<label>[^\W\d]+(?:\s[^\W\d]+)?)\s+(?P<unit>kg|g|lbs?|oz)\s*:", re.IGNORECASE)
""" "Hops g: Chinook 8 @60"."""
_ALL_IN = re.compile(r"(?<![\s,(\[])[\s,(\[]+(?:all|amounts|weights)\s+(?:of\s+it\s+|are\s+)?(?:in\s+)?(?P<unit>kg|g|grams?|grammes|kilos?|kilograms?|lbs?|pounds|oz|ounces)\b\s*[)\]]?", re.IGNORECASE)
""" "pale 2.6, munich .4 (all kg)": the unit stands behind what it holds for."""
_FULL_STOP = re.compile(r"(?<=[\w)%])([.;]\s+)(?=[A-Z])")
_ENTRY = re.compile(
    r"^(?P<before>\s*)(?P<name>[^\W\d][^\d:,;()@]{0,60}?)\s*[:=]?\s+(?P<value>\d{1,5}(?:[.,]\d{1,4})?|[.,]\d{1,3})(?P<rest>\s*(?:$|[,;@(]|(?:at|for)\b).*)$",
    re.IGNORECASE,
)
_COMMAS = re.compile(r"([;,](?!\d))")


def with_units(rows: list[str]) -> list[str]:
    """The rows with such a unit written behind each amount that it holds for.

    >>> with_units(["Malt (kg): pale 2.1", "crystal 0.15", "black 0.05", "Boil 60"])
    ['Malt: pale 2.1 kg', 'crystal 0.15 kg', 'black malt 0.05 kg', 'Boil 60']
    """
    written: list[str] = []
    unit = ""
    for row in rows:
        label = _LABEL.match(row) or _BARE_LABEL.match(row)
        if label is None and (_ALL_IN.search(row) or _FULL_STOP.search(row)):
            row = _in_sentences(row)
        if label is not None:
            unit = label["unit"] or label.groupdict().get("grams") or ""
            rest = row[label.end() :]
            if rest.strip():
                written.append(f"{label['label']}:{_each(rest, unit, own=True)}")
            elif heading(label["label"]) is not None:
                written.append(label["label"])
            else:
                written.append(row)
                unit = ""
            continue
        if heading(row) is not None or ":" in row:
            unit = ""
        written.append(_each(row, unit) if unit else row)
    return written


def _in_sentences(row: str) -> str:
    """A row of several sentences, each with its own unit in front or behind."""
    pieces = _FULL_STOP.split(row)
    return "".join(piece if number % 2 else _sentence(piece) for number, piece in enumerate(pieces))


def _sentence(piece: str) -> str:
    behind, label = _ALL_IN.search(piece), _BARE_LABEL.match(piece) or _LABEL.match(piece)
    if behind is not None:
        head, colon, rest = piece[: behind.start()].rpartition(":")
        return f"{head}{colon}{_each(rest, behind['unit'], own=True)}{piece[behind.end() :]}"
    if label is not None and piece[label.end() :].strip():
        return f"{label['label']}:{_each(piece[label.end() :], label['unit'] or label.groupdict().get('grams') or '', own=True)}"
    return piece


def _each(row: str, unit: str, own: bool = False) -> str:
    """The pieces of a row, each with its unit where it is an amount and what it is of, or an amount alone."""
    pieces = _COMMAS.split(row)
    return "".join(piece if piece in (",", ";") else _one(piece, unit, own) for piece in pieces)


def _of_the_day(name: str) -> bool:
    """Whether the words in front of a figure speak of the brewing ("Boil 60", "OG 1.050") and name nothing to weigh."""
    spoken = keys().keys() | words_of("size", "cues") | words_of("size", "against") | words_of("names", "figures")
    return any(word in spoken for word in name.casefold().replace(".", "").split())


def _one(piece: str, unit: str, own: bool) -> str:
    alone = re.match(r"^(\s*\d{1,5}(?:[.,]\d{1,4})?)\s*$", piece)
    if alone is not None:
        return f"{alone[1]} {unit}"
    told = _ENTRY.match(piece)
    if told is None:
        return piece
    name = told["name"]
    malt = f"{name} malt"
    if known_grain(malt) and not known_grain(name):
        name = malt
    elif not (own or known_grain(name) or known_hop(name)) and (told["rest"].strip() or _of_the_day(name)):
        return piece
    return f"{told['before']}{name} {told['value']} {unit}{told['rest']}"
