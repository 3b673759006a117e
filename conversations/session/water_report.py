"""A supplier's report on the tap water, pasted or told in one message: names and figures in any order and unit."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from calc.water import from_hardness_unit
from conversations.intents import Intent
from conversations.session import tap_water
from conversations.session.turn import Handlers, Turn

_LONGEST = 3000
_FEWEST = 3
"""Figures with names that make a message a report, whatever else stands in it."""
_CHARGE = {"alkalinity": 1.0, "hardness": 2.0}
"""Charges of a mole: a report gives hardness in moles of calcium and magnesium, alkalinity in moles of acid."""


class Figure(NamedTuple):
    """One figure of a report: what it is of, as it was written, and its unit in calc's words."""

    name: str
    value: float
    unit: str


@cache
def _table() -> dict[str, dict[str, list[str]]]:
    return tomllib.loads(files("conversations.session").joinpath("water_report.toml").read_text(encoding="utf-8"))


def _any_of(words: list[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    names = "|".join(f"(?P<{key}>{_any_of(words)})" for key, words in _table()["names"].items())
    units = "|".join(f"(?P<u{n}>{_any_of(words)})" for n, words in enumerate(_table()["units"].values()))
    # "95 mg/l": there "mg" is no magnesium; and "mg" or "ca" within a word is none either.
    name = rf"(?<![a-z0-9])(?:{names})(?![a-z0-9])(?!\s*/\s*l|\s+per\b)"
    figure = rf"(?<![\w.,])(?P<value>\d{{1,4}}(?:[.,]\d{{1,3}})?)(?![\d])\s*(?:{units})?(?![a-z])"
    return re.compile(name, re.IGNORECASE), re.compile(figure, re.IGNORECASE)


def read(text: str) -> tuple[Figure, ...]:
    """What a report gives, in its order; a figure stands behind its name, or before it throughout.

    >>> read("Ca 95 mg/l Mg 4")
    (Figure(name='calcium', value=95.0, unit='mg/l'), Figure(name='magnesium', value=4.0, unit='mg/l'))
    """
    name, figure = _patterns()
    # What an alkalinity is counted as says its unit, not that there is calcium carbonate in the water.
    text = re.sub(r"\(?\bas\s+(?:caco3|calcium carbonate)\)?|\bcaco3\b", " ", text[:_LONGEST], flags=re.IGNORECASE)
    named = [(found.start(), found.end(), str(found.lastgroup)) for found in name.finditer(text)]
    if not named:
        return ()
    edges = [begin for begin, _, _ in named[1:]] + [len(text)]
    behind = [figure.search(text, end, edge) for (_, end, _), edge in zip(named, edges, strict=True)]
    before = [figure.search(text, end, begin) for end, (begin, _, _) in zip([0, *(end for _, end, _ in named[:-1])], named, strict=True)]
    ahead = before[0] is not None and behind[-1] is None
    rows = []
    for (_, _, key), found in zip(named, before if ahead else behind, strict=True):
        if found is not None and key != "other":
            unit = next((u for n, u in enumerate(_table()["units"]) if found[f"u{n}"]), "mg/l")
            rows.append(Figure(key, float(found["value"].replace(",", ".")), unit))
    return tuple(rows)


def is_told(text: str) -> bool:
    """Whether a message is a report: several figures, or hardness or alkalinity in a unit of its own."""
    if len(text) > _LONGEST or "?" in text:
        return False
    rows = read(text)
    if len({row.name for row in rows}) >= _FEWEST:
        return True
    others = len(re.findall(r"\d+(?:[.,]\d+)?", re.sub(r"caco3|so4|hco3|no3", "", text, flags=re.IGNORECASE)))
    return bool(rows) and others == len(rows) and all(row.name in _CHARGE for row in rows) and "water" in _about(text)


def _about(text: str) -> str:
    """Hardness and alkalinity are of water without saying so, unless something else is hard."""
    return f"water {text}".lower() if re.search(r"hardness|alkalinity|\bkh\b|\bgh\b", text, re.IGNORECASE) else text.lower()


def tell(turn: Turn, intent: Intent) -> None:
    """Each figure into the kit's water; hardness alone tells too little, which is said."""
    rows = read(str(intent.slots["text"]))
    hard = []
    for row in rows:
        if row.name not in _CHARGE:
            tap_water.ion(turn, Intent(name="kit.ion", slots={"ion": row.name, "value": row.value}))
            continue
        charge = _charge(row)
        if row.name == "hardness":
            hard.append(f"Total hardness {charge / 2:.1f} mmol/l is calcium and magnesium together.")
        else:
            carbonate = charge * tap_water.CARBONATE_MG_PER_EQUIVALENT
            tap_water.ion(turn, Intent(name="kit.ion", slots={"ion": "alkalinity", "value": round(carbonate, 1)}))
    turn.say(*hard)
    known = {row.name for row in rows}
    if hard and not {"calcium", "alkalinity", "bicarbonate"} <= known | set(_known(turn)):
        turn.say('For the mash I need calcium and bicarbonate (or alkalinity) from the report: "calcium 60, bicarbonate 180".')


def _known(turn: Turn) -> list[str]:
    water = turn.state.kit.water
    found = [name for name, value in water.model_dump().items() if value is not None]
    return [*found, "alkalinity"] if water.bicarbonate is not None else found


def _charge(row: Figure) -> float:
    """Millimole of charge per litre."""
    if row.unit == "mmol/l":
        return row.value * _CHARGE[row.name]
    unit = {"mg/l": "mg/l CaCO3", "milliequivalent/l": "mmol/l"}.get(row.unit, row.unit)
    return float(from_hardness_unit(row.value, unit).magnitude)


HANDLERS: Handlers = {"kit.report": tell}
