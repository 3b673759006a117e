"""What an amount in a recipe may be, and the sentence that refuses one which cannot be."""

from __future__ import annotations

from conversations.intents import Measured

MOST_LINES = 250
MOST_LETTERS = 12_000
MOST_GRAIN_KG = 60.0
MOST_HOP_KG = 2.0
MOST_ALPHA = 25.0
MOST_MINUTES = 240.0
MOST_LITRES = 200.0
MASH_C = (30.0, 85.0)


def grain_refused(mass: Measured, written: str, name: str) -> str:
    """Why a mass of grain or sugar cannot be; empty where it can."""
    kg = mass.in_unit("kilogram")
    if kg <= 0:
        return f"{written} {name}: less than nothing cannot go in." if kg < 0 else f"{written} {name}: that is nothing."
    if kg > MOST_GRAIN_KG:
        return f"{written} {name}: more than {MOST_GRAIN_KG:g} kg is no kitchen's recipe."
    return ""


def hop_refused(mass: Measured, written: str, name: str) -> str:
    """Why a mass of hops cannot be; empty where it can."""
    kg = mass.in_unit("kilogram")
    if kg <= 0:
        return f"{written} {name}: hops need an amount above nothing."
    if kg > MOST_HOP_KG:
        return f"{written} {name}: more than {MOST_HOP_KG:g} kg of hops is a slip."
    return ""


def alpha_refused(alpha: float | None, name: str) -> str:
    """Why alpha acids cannot be; empty where they can."""
    if alpha is None or 0 < alpha <= MOST_ALPHA:
        return ""
    return f"{name} at {alpha:g} % alpha: no hop has more than {MOST_ALPHA:g} %."


def time_refused(minutes: float, what: str) -> str:
    """Why a time in the boil or the mash cannot be; empty where it can."""
    most = MOST_MINUTES if what != "the mash" else 24 * 60.0
    if 0 <= minutes <= most:
        return ""
    return f"{minutes:g} minutes for {what}: at most {most:g} are read."


def mash_refused(temperature: Measured, written: str) -> str:
    """Why a mash temperature cannot be; empty where it can."""
    low, high = MASH_C
    if low <= temperature.in_unit("degC") <= high:
        return ""
    return f"A mash at {written}: between {low:g} and {high:g} °C, please."


def volume_refused(volume: Measured, written: str) -> str:
    """Why a batch size cannot be; empty where it can."""
    litres = volume.in_unit("litre")
    if 0.5 <= litres <= MOST_LITRES:
        return ""
    return f"A batch of {written}: between half a litre and {MOST_LITRES:g} litres, please."
