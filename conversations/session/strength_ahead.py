"""The strength that a fermenting beer is heading for: by its gravities, else by what its yeast usually does."""

from __future__ import annotations

from calc.alcohol import alcohol_by_volume, gravity_at_attenuation
from calc.errors import OutOfRange
from calc.yeast import attenuation_range
from conversations.session import wording
from conversations.session.fermentation import type_words
from conversations.session.judgement import judge
from conversations.session.state import Batch

_WORTH_SAYING = 0.2
"""Percent still to come that are worth a line."""


def ahead(batch: Batch) -> str:
    """The strength that a fermenting beer is heading for; empty where it has ended or nothing is known."""
    judged = judge(batch)
    if batch.stage != "ferment" or judged.original is None or judged.ready:
        return ""
    usual = attenuation_range(judged.style)
    try:
        ends = (judged.forecast.final_high, judged.forecast.final_gravity, judged.forecast.final_low) if judged.forecast is not None else tuple(gravity_at_attenuation(judged.original, share) for share in (usual.low, usual.usual, usual.high))
        low, middle, high = (float(alcohol_by_volume(judged.original, min(end, judged.original)).to("percent").magnitude) for end in ends)
    except OutOfRange:
        return ""
    if judged.alcohol_percent is not None and middle - judged.alcohol_percent < _WORTH_SAYING:
        return ""
    by = "by its gravities" if judged.forecast is not None else f"as usual for {type_words(judged.style)} yeast"
    return f"About {middle:.1f} % when it has finished ({low:.1f} to {high:.1f}), from {wording.gravity(judged.original)}, {by}."
