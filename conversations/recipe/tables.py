"""Tables with a heading, as lines that say each amount with its unit and its name."""

from __future__ import annotations

import re

from conversations.recipe.words import keys, recipe_words

_NUMBER = re.compile(r"^[-+]?\d+(?:[.,]\d+)?$|^[.,]\d+$")
_WITH_UNIT = re.compile(r"^\d+(?:[.,]\d+)?(?:\s*[¼½¾]|\s+\d/\d)?\s*(?:kg|gr?|grams?|kilos?|lbs?|pounds?|oz|ounces?)\.?$", re.IGNORECASE)
_RULE = re.compile(r"^[\s|:+\-=_]+$")
_CUTS = (re.compile(r"\|"), re.compile(r"\t+| {2,}"), re.compile(r";"), re.compile(r","))
_TABS = re.compile(r"\t")


def _columns(row: str) -> tuple[re.Pattern[str], list[tuple[str, str]]] | None:
    """How a heading's cells are cut, and of each column what it holds and in which unit; None where it is no heading."""
    if any(letter.isdigit() for letter in row):
        return None
    for cut in (_TABS, *_CUTS):
        cells = [cell.strip() for cell in cut.split(row.strip().strip("|"))]
        if len(cells) < 2:
            continue
        found = [_column(cell) for cell in cells]
        known = sum(bool(kind) for kind, _ in found)
        kinds = {kind for kind, _ in found}
        if known >= 2 and known * 2 > len(cells) and "name" in kinds and "mass" in kinds:
            return cut, found
    return None


def _column(cell: str) -> tuple[str, str]:
    plain = cell.casefold().strip(" .*_")
    head, _, unit = re.sub(r"[()\[\]/]|\bin\b", " ", plain).strip().partition(" ")
    columns, units = recipe_words()["columns"], recipe_words()["columns"]["units"]
    unit = units.get(unit.strip(), "")
    if plain in units:
        return ("share", "%") if units[plain] == "%" else ("mass", units[plain])
    for kind in ("name", "mass", "unit", "share", "alpha", "minutes", "type"):
        if plain in columns[kind] or head in columns[kind]:
            return kind, unit
    return "", ""


def _line(cells: list[str], columns: list[tuple[str, str]], hop: bool) -> str:
    """One row: the amount, the name, then what else is told of it."""
    told = {kind: (cell, unit) for cell, (kind, unit) in zip(cells, columns, strict=False) if cell}
    mass, unit = told.get("mass", ("", ""))
    masses = [(cell, unit) for cell, (kind, unit) in zip(cells, columns, strict=False) if kind == "mass" and _NUMBER.match(cell) and unit]
    if len(masses) > 1:
        # Pounds and ounces in columns of their own.
        mass = " ".join(f"{cell} {unit}" for cell, unit in masses if float(cell.replace(",", ".")) > 0)
    elif _NUMBER.match(mass):
        mass = f"{mass} {unit or told.get('unit', ('', ''))[0]}".strip()
    share = told.get("alpha" if hop else "share", told.get("share", ("", "")))[0]
    if (
        told.get("type", ("", ""))[0].casefold() == "yeast"
        and "yeast" not in told.get("name", ("yeast", ""))[0].casefold()
    ):
        told["name"] = (f"{told['name'][0]} yeast", "")
    minutes = told.get("minutes", ("", ""))[0]
    if keys().get(told.get("name", ("", ""))[0].casefold().partition(" ")[0]) in ("mash", "boil", "hold"):
        # "Mash rest | 65 | C | 75": what is done, and no ingredient.
        return " ".join(part for part in (told["name"][0], mass, f"{minutes} min" if _NUMBER.match(minutes) else minutes) if part)
    parts = [
        f"{mass} {told.get('name', ('', ''))[0] or told.get('type', ('', ''))[0]}".strip(),
        f"{share} %" if _NUMBER.match(share) else share,
        f"{minutes} min" if _NUMBER.match(minutes) else minutes,
    ]
    # A bare number in a column that says nothing to us is a price or a lot, no amount.
    rest = [cell for cell, (kind, _) in zip(cells, columns, strict=False) if not kind and cell and not _NUMBER.match(cell)]
    return ", ".join(part for part in (*parts, *rest) if part)


def _done(cells: list[str], columns: list[tuple[str, str]]) -> str:
    """ "mash;66;C;;;60": a row that says what is done, its minutes in their column, empty where it is another row."""
    first = next((cell for cell in cells if cell), "").casefold().partition(" ")[0]
    if keys().get(first) not in ("mash", "boil"):
        return ""
    timed = [f"{cell} min" if kind == "minutes" and _NUMBER.match(cell) else cell for cell, (kind, _) in zip(cells, columns, strict=False)]
    return " ".join(cell for cell in timed if cell)


def _amount(cell: str, cells: list[str], columns: list[tuple[str, str]]) -> bool:
    """Whether a cell is an amount whose unit is told: in the cell, in the heading or in a column of its own."""
    if _WITH_UNIT.match(cell):
        return True
    unit = any((kind == "unit" and told) or (kind == "mass" and unit) for told, (kind, unit) in zip(cells, columns, strict=False))
    return bool(_NUMBER.match(cell)) and unit


def without_headings(rows: list[str]) -> list[str]:
    """The rows with those of a table under its heading written out; all others as they were.

    >>> without_headings(["kg\\tmalt", "3.8\\tpale malt", "Boil 60 min"])
    ['3.8 kg pale malt', 'Boil 60 min']
    """
    written: list[str] = []
    table: tuple[re.Pattern[str], list[tuple[str, str]]] | None = None
    for row in rows:
        heading = _columns(row)
        if heading is not None:
            table = heading
            continue
        if table is None or _RULE.match(row):
            written.append(row)
            continue
        cut, columns = table
        cells = [cell.strip() for cell in cut.split(row.strip("\r\n ").strip("|"))]
        place = next(i for i, (kind, _) in enumerate(columns) if kind == "mass")
        name = next((cell for cell, (kind, _) in zip(cells, columns, strict=False) if kind == "name"), "")
        if len(cells) == len(columns) > 2 and not name.strip().isalpha() and (done := _done(cells, columns)):
            written.append(done)
            continue
        if keys().get(name.casefold().partition(" ")[0]) in ("mash", "boil") and len(cells) <= len(columns):
            written.append(_line(cells, columns, hop=False))
            continue
        if len(cells) < 2 or len(cells) > len(columns) or place >= len(cells) or not _amount(cells[place], cells, columns):
            table = table if len(cells) > 1 else None
            written.append(row)
            continue
        kinds = [cell.casefold() for cell, (kind, _) in zip(cells, columns, strict=False) if kind == "type"]
        hop = any(kind == "alpha" for kind, _ in columns) and not (kinds and not kinds[0].startswith("hop"))
        written.append(_line(cells, columns, hop))
    return written
