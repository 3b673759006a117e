"""What bottling takes off the shelf: the priming sugar, and a crown cap for each bottle that wants one."""

from __future__ import annotations

from conversations.intents import Measured
from conversations.session.fermentation import page
from conversations.session.priming import sugar_grams
from conversations.session.state import Batch
from conversations.session.stock_items import kind_of

CAPS = "crown caps"


def of_bottling(old: Batch, batch: Batch) -> list[tuple[str, str, Measured]]:
    """Kind, name and amount of what went in since; bottles that are told after the fact still take their caps."""
    if batch.stage != "condition":
        return []
    found = []
    if old.stage != "condition":
        grams = float(sugar_grams(batch).to("gram").magnitude)
        name = str(page("bottling")["sugars"][batch.priming.sugar]).partition(" (")[0]
        if grams >= 0.1:
            found.append((kind_of(name), name, Measured(value=round(grams, 1), unit="gram")))
    before = _capped(old) if old.stage == "condition" else 0
    if _capped(batch) > before:
        found.append(("other", CAPS, Measured(value=float(_capped(batch) - before), unit="dimensionless")))
    return found


def _capped(batch: Batch) -> int:
    kinds = page("bottling")["capped"]
    return sum(lot.count for lot in batch.bottles if lot.type in kinds)
