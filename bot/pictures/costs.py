"""What the batch cost, by what went into it."""

from __future__ import annotations

from decimal import Decimal

from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from bot.batch_record import NothingToShow, Record
from bot.pictures import look
from calc.cost import cost_per_bottle, rounded
from calc.errors import OutOfRange
from calc.units import quantity
from conversations.session import prices, wording
from conversations.session.costs import volume_of

MOST_ROWS = 10


def money(amount: Decimal, currency: str) -> str:
    """An amount as the chat writes it.

    >>> money(Decimal("3.456"), "EUR")
    '€3.46'
    """
    return prices.money(amount, currency)


def per_bottle(record: Record) -> str:
    """What a bottle of the batch's own size costs, as the chat reckons it; empty where the volume is not known."""
    if record.volume is None and not record.batch.bottles:
        return ""
    bottle = record.bottle
    try:
        each = cost_per_bottle(sum((cost for *_, cost in record.costs), Decimal(0)), volume_of(record.batch), bottle)
    except OutOfRange:
        return ""
    return f"{money(each, record.currency)} a bottle of {wording.volume(bottle, 'metric')}"


def cost_chart(record: Record, theme: look.Theme) -> Figure:
    """One bar for each thing that was used, dearest first; raises NothingToShow without a price."""
    found = record.costs
    if not found:
        raise NothingToShow(
            f'Nothing that went into {record.batch.name} has a price yet. Tell me one like "bought 5 kg pale malt for 9.50".'
        )
    total = sum((cost for *_, cost in found), Decimal(0))
    unpriced = sum(not each.cost for each in record.batch.used)
    told = [money(total, record.currency), per_bottle(record)]
    if unpriced:
        told.append(f"{unpriced} without a price")
    rows = found[:MOST_ROWS]
    if len(found) > MOST_ROWS:
        rest = sum((cost for *_, cost in found[MOST_ROWS - 1 :]), Decimal(0))
        rows = [*found[: MOST_ROWS - 1], (f"{len(found) - MOST_ROWS + 1} others", quantity(0, "gram"), rest)]
    figure, free = look.page(theme, record.batch.name, ", ".join(each for each in told if each), 2.1 + 0.62 * len(rows))
    wide = look.WIDTH_IN - 2 * look.MARGIN_IN
    drawn = look.axes(
        figure, theme, (look.MARGIN_IN, 0.62, wide, free - 0.62), f"Cost ({record.currency}) of the part that was used", ""
    )
    most = max(float(cost) for *_, cost in rows) or 1.0
    for row, (name, amount, cost) in enumerate(rows):
        y = len(rows) - 1 - row
        drawn.barh(y - 0.2, float(cost), height=0.3, color=theme.gravity)
        much = f"{wording.mass(amount, record.units)} " if amount.check("[mass]") and amount.magnitude else ""
        words = look.fitted(f"{much}{name}", wide - 1.3, look.BODY)
        look.label(drawn, (0, y + 0.2), words[0] if words else "", theme, theme.ink, (3, 0), "left", size=look.BODY)
        look.label(drawn, (most * 1.12, y + 0.2), str(rounded(cost)), theme, theme.ink, (0, 0), "right", True, look.BODY)
    drawn.set_yticks([])
    drawn.spines["left"].set_color(theme.quiet)
    drawn.grid(False, axis="y")
    drawn.set_ylim(-0.6, len(rows) - 0.35)
    drawn.set_xlim(0, most * 1.14)
    drawn.xaxis.set_major_locator(MaxNLocator(6))
    drawn.xaxis.set_major_formatter(FuncFormatter(lambda x, _: f"{x:.2f}"))
    look.settle(drawn)
    return figure
