"""What lies on the shelf: its kind, what fits a recipe's word, what goes first, and how strong it still is."""

from __future__ import annotations

import re
from datetime import date
from typing import NamedTuple

from calc.errors import OutOfRange
from calc.fermentables import find_fermentable
from calc.hop_ageing import aged_alpha_acids
from calc.hops import find_hop, usual_alpha
from calc.units import Quantity, quantity
from calc.yeast import opened_sachet_keeps, viability
from conversations.intents import Measured
from conversations.session.state import StockItem

SACHET = Measured(value=11.0, unit="gram")
"""A sachet whose weight was not said: common practice."""
HOPS_KEPT_AT = quantity(4.0, "degC")
YEAST_KEPT_AT = quantity(4.0, "degC")
_NO_MEANING = {"malt", "malted", "hops", "hop", "yeast", "dry", "dried", "whole", "leaf", "pellets", "the", "of", "crushed"}


class Strength(NamedTuple):
    """How good something still is: a share of 1, words for it, and whether it should not be used any more."""

    share: float
    words: str
    spent: bool


def kind_of(name: str) -> str:
    """Grain, sugar, hop, yeast or other, by its name."""
    words = set(re.findall(r"[a-z]+", name.casefold()))
    if "yeast" in words:
        return "yeast"
    known = find_fermentable(name)
    if find_hop(name) is not None and not ({"malt", "sugar", "extract"} & words):
        return "hop"
    if {"hop", "hops"} & words:
        return "hop"
    if known is None:
        return "other"
    return "grain" if known.mashed else "sugar"


def fits(item: StockItem, kind: str, name: str) -> bool:
    """Whether a thing on the shelf is what a recipe means by a name."""
    if kind in ("grain", "sugar") and item.kind in ("grain", "sugar"):
        ours, theirs = find_fermentable(item.name), find_fermentable(name)
        if ours is not None and theirs is not None:
            return ours == theirs
        return _words(item.name) == _words(name)
    if kind != item.kind:
        return False
    if kind == "hop":
        ours_hop, theirs_hop = find_hop(item.name), find_hop(name)
        if ours_hop is not None and theirs_hop is not None:
            return ours_hop == theirs_hop
    mine, asked = _words(item.name), _words(name)
    return mine == asked or (kind == "yeast" and (not mine or not asked or bool(mine & asked))) or bool(asked and asked <= mine)


def _words(name: str) -> frozenset[str]:
    found = re.findall(r"[^\W\d_]+", name.casefold())
    return frozenset(word.removesuffix("s") for word in found if word not in _NO_MEANING)


def sachet_of(item: StockItem | None) -> Measured:
    """What one sachet of it holds: as told when it was bought, else the usual weight."""
    return item.one if item is not None and item.one is not None else SACHET


def fitting(stock: tuple[StockItem, ...], kind: str, name: str) -> list[StockItem]:
    """What fits and has something left, in the order in which it should be used: opened first, then oldest."""
    found = [item for item in stock if item.left.value > 0 and fits(item, kind, name)]
    return sorted(found, key=lambda item: (item.opened is None, item.packed or item.bought_on, item.key))


def strength(item: StockItem, today: date) -> Strength:
    """What age has left of a hop or a yeast; all of anything else until its date."""
    past = item.best_before is not None and item.best_before < today
    if item.kind == "hop":
        found = _hop(item, today)
    elif item.kind == "yeast":
        found = _yeast(item, today)
    else:
        found = Strength(1.0, "", False)
    if past:
        return Strength(found.share, f"{found.words}, past its date" if found.words else "past its date", item.kind == "yeast")
    if item.best_before is not None and (item.best_before - today).days <= 60:
        left = f"use within {(item.best_before - today).days} days"
        return found._replace(words=f"{found.words}, {left}" if found.words else left)
    return found


def _age(since: date, today: date) -> Quantity:
    return quantity(float(max(0, (today - since).days)), "day")


def alpha_now(item: StockItem, today: date) -> float:
    """Alpha acids of a hop on the shelf today, percent."""
    fresh = item.alpha_percent or float(usual_alpha(item.name).magnitude)
    variety = find_hop(item.name)
    wrapping = "airtight" if item.opened is None else "open"
    try:
        now = aged_alpha_acids(
            quantity(fresh, "percent"),
            _age(min(item.packed or item.bought_on, item.opened or item.bought_on), today),
            HOPS_KEPT_AT,
            wrapping,
            variety.keeping if variety is not None else "average",
        )
    except OutOfRange:
        return fresh
    return float(now.to("percent").magnitude)


def fits_hop(one: str, other: str) -> bool:
    """Whether two names are of one hop."""
    mine, theirs = find_hop(one), find_hop(other)
    return mine == theirs if mine is not None and theirs is not None else _words(one) == _words(other)


def alpha_on_shelf(stock: tuple[StockItem, ...], name: str, today: date) -> float | None:
    """Alpha acids today of the hop that would be used first, percent; None where no packet told them."""
    found = next((item for item in fitting(stock, "hop", name) if item.alpha_percent is not None), None)
    return None if found is None else round(alpha_now(found, today), 1)


def _hop(item: StockItem, today: date) -> Strength:
    fresh = item.alpha_percent or float(usual_alpha(item.name).magnitude)
    now = alpha_now(item, today)
    assumed = "" if item.alpha_percent else " assumed"
    words = f"{fresh:g} %{assumed}" if now > 0.97 * fresh else f"{fresh:g} %{assumed}, about {now:.1f} % by now"
    return Strength(now / fresh, words, now < 0.4 * fresh)


def _yeast(item: StockItem, today: date) -> Strength:
    opened = _age(item.opened, today) if item.opened else quantity(0.0, "day")
    age = _age(min(item.packed or item.bought_on, item.opened or item.bought_on), today)
    try:
        share = float(viability(age, YEAST_KEPT_AT, opened).to("dimensionless").magnitude)
        keeps = opened_sachet_keeps(opened) if item.opened else True
    except OutOfRange:
        return Strength(0.0, "too old to trust", True)
    if not keeps:
        months = float(opened.to("day").magnitude) / 30.44
        return Strength(share, f"opened {months:.0f} months ago: too old to trust", True)
    words = f"opened, about {share:.0%} alive" if item.opened else (f"about {share:.0%} alive" if share < 0.93 else "")
    return Strength(share, words, share < 0.5)
