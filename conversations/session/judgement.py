"""What the readings of one batch say about its fermentation: how far, how strong, finished, stuck, and until when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from calc.alcohol import alcohol_by_volume, apparent_attenuation, gravity_at_attenuation
from calc.errors import OutOfRange
from calc.finish import Stability, is_stable, is_stuck
from calc.units import Quantity, quantity
from calc.yeast import attenuation_range, temperature_range
from conversations.session import plan
from conversations.session.fermentation import table, yeast_type
from conversations.session.state import Batch, Reading

if TYPE_CHECKING:
    from calc.final_gravity import Forecast

LOWEST_ORIGINAL, HIGHEST_ORIGINAL = 1.010, 1.200
"""Outside of these no forecast is made: that is no wort."""
LOWEST_END = 0.985
"""No beer ends lower, whatever a curve says."""
DIVISION = 0.001
"""Smallest division of a kitchen hydrometer."""
HIGH_END_DAYS = 7.0
"""Steady for so long a little above the usual end, it is taken for the end of this beer: common practice, no source."""
HIGH_END_WITHIN = 10.0
"""Percent points of attenuation below what the yeast usually reaches that a hot mash or extract explains; below them it is stuck, however
long it stands: common practice, no source."""
MIXED_DIVISION = 0.002
"""Where one reading is temperature corrected and another is not, or one is by refractometer, they agree no better than this."""
FERMENTER = ("ferment", "bottle", "condition")
ASLEEP_BELOW_C = 6.0
"""So many degrees below its range a yeast hardly works: common practice, no source."""
SAME = 0.0006
"""Gravities nearer than this are one figure on the scale, whatever the temperature corrected."""
LEAST_APART_DAYS = 0.5
"""Two readings of one evening say nothing of how it goes on."""
ODD_MISFIT = 2.0
"""Above this the gravities do not look like one undisturbed fermentation."""


@dataclass(frozen=True)
class Judgement:
    """What is known of a fermentation; None where the readings do not say."""

    style: str
    pitched: datetime
    original: Quantity | None
    measured_original: bool
    gravities: tuple[Reading, ...]
    stability: Stability
    stuck: bool
    forecast: Forecast | None
    after_dry_hop: bool
    ended_high: bool = False
    """Steady for a week above where the yeast usually ends: a hot mash or extract, most likely."""
    stable_since: datetime | None = None
    """The reading with which it became stable and stayed so."""
    counted: tuple[Reading, ...] = ()
    """The gravities on which the proof rests: none from before dry hops or in the cold."""
    asleep: bool = False
    """Whether the beer has stood too cold for its yeast: a gravity that stands still there proves nothing."""
    left_out: Reading | None = None
    """The one gravity that does not lie on the curve of all others; the forecast goes without it."""

    @property
    def last(self) -> Reading | None:
        """The newest gravity in the fermenter."""
        return self.gravities[-1] if self.gravities else None

    @property
    def now(self) -> Quantity | None:
        """The newest gravity as a number."""
        return self.last.best if self.last else None

    @property
    def ready(self) -> bool:
        """Whether it may be bottled: stable, and not stuck far above its end."""
        return self.stability.stable and not self.stuck

    @property
    def attenuation_percent(self) -> float | None:
        """Apparent attenuation so far."""
        if self.original is None or self.now is None or self.now > self.original:
            return None
        return float(apparent_attenuation(self.original, self.now).to("percent").magnitude)

    @property
    def alcohol_percent(self) -> float | None:
        """Alcohol so far, by volume."""
        if self.original is None or self.now is None or self.now > self.original:
            return None
        return float(alcohol_by_volume(self.original, self.now).to("percent").magnitude)

    @property
    def lowest_end(self) -> Quantity | None:
        """The lowest gravity that it may still reach: the careful side for pressure."""
        if self.forecast is not None:
            return max(self.forecast.final_low, quantity(LOWEST_END, "dimensionless"))
        if self.original is None:
            return None
        return gravity_at_attenuation(self.original, attenuation_range(self.style).high)

    def at_day(self, days: Quantity) -> datetime:
        """The time so many days after pitching; at most a year."""
        return self.pitched + timedelta(days=min(366.0, float(days.to("day").magnitude)))


@lru_cache(maxsize=64)
def _forecast(points: tuple[tuple[float, float], ...], original: float, low: float, high: float) -> Forecast | None:
    """The fit takes a tenth of a second and one turn asks for it several times; the same readings give the same fit."""
    # numpy and scipy take half a second to load, and most messages need no forecast.
    from calc.final_gravity import forecast_finish

    try:
        return forecast_finish(
            [(quantity(day, "day"), quantity(sg, "dimensionless")) for day, sg in points],
            quantity(original, "dimensionless"),
            DIVISION,
            (quantity(low, "percent"), quantity(high, "percent")),
        )
    except OutOfRange:
        return None


def _without_the_odd_one(
    whole: Forecast, points: tuple[tuple[float, float], ...], original: float, low: float, high: float
) -> tuple[Forecast, int | None]:
    """The forecast, and which reading was left out: one that alone spoils the curve. The newest always counts."""
    if whole.misfit <= ODD_MISFIT or len(points) < 3:
        return whole, None
    tries = [(_forecast(points[:odd] + points[odd + 1 :], original, low, high), odd) for odd in range(len(points) - 1)]
    fitting = [(found.misfit, odd, found) for found, odd in tries if found is not None and found.misfit <= ODD_MISFIT / 2]
    if not fitting:
        return whole, None
    _, odd, found = min(fitting, key=lambda each: each[:2])
    return found, odd


def original_gravity(batch: Batch) -> tuple[Quantity | None, bool]:
    """Gravity at pitching and whether it was measured; else what the recipe should have given."""
    measured = plan.gravities(batch, "transfer", "pitch") or plan.gravities(batch, "chill", "steep", "boil")
    if measured:
        return measured[-1], True
    if batch.expected_original is not None:
        return quantity(batch.expected_original, "dimensionless"), False
    if not batch.recipe.grains:
        return None, False
    try:
        return plan.gravity_at(plan.batch_volume(batch.recipe), batch.recipe), False
    except OutOfRange:
        # Amounts that cannot be: the recipe says nothing, and every later message must still be answered.
        return None, False


def days_since(start: datetime, at: datetime) -> float:
    """Days between two times."""
    return (at - start).total_seconds() / 86400


def judge(batch: Batch) -> Judgement:
    """Weigh the gravities of a batch that has been pitched."""
    style = yeast_type(batch.recipe)
    original, was_measured = original_gravity(batch)
    if original is not None and not LOWEST_ORIGINAL <= float(original.magnitude) <= HIGHEST_ORIGINAL:
        original = None
    found = tuple(each for each in batch.readings if each.kind == "gravity" and each.stage in FERMENTER)
    pitched = batch.entered.get("ferment") or (found[0].at if found else batch.stage_since)
    # Hops bring enzymes that free sugar again (Kirkpatrick & Shellhammer, J. Agric. Food Chem. 66 (2018) 9121; cited from memory), so what
    # was steady before they went in proves nothing after.
    hopped = max((hop.added_at for hop in batch.recipe.hops if hop.dry_days and hop.added_at), default=None)
    counted = [each for each in found if hopped is None or each.at >= hopped]
    counted, asleep = _awake(counted, _cold_times(batch, style), original)
    curve = [(quantity(max(0.0, days_since(pitched, each.at)), "day"), each.best) for each in counted]
    ways = {(each.corrected is None, each.note.startswith("refractometer")) for each in counted[-2:]}
    division = DIVISION if len(ways) < 2 else MIXED_DIVISION
    stability = is_stable(curve, division, original)
    since = None
    for count in range(len(curve), 1, -1):
        if not is_stable(curve[:count], division, original).stable:
            break
        since = counted[count - 1].at
    stuck = False
    forecast = None
    left_out = None
    if original is not None and found:
        usual = attenuation_range(style)
        whole = [(quantity(max(0.0, days_since(pitched, each.at)), "day"), each.best) for each in found]
        stuck = is_stuck(whole, original, usual.low, division)
        fitted = [each for each in found if each.at > pitched]
        points = tuple((round(days_since(pitched, each.at), 4), round(float(each.best.magnitude), 5)) for each in fitted)
        if points:
            low, high = (float(each.to("percent").magnitude) for each in (usual.low, usual.high))
            start = round(float(original.magnitude), 5)
            forecast = _forecast(points, start, low, high)
            if forecast is not None:
                forecast, odd = _without_the_odd_one(forecast, points, start, low, high)
                left_out = None if odd is None else fitted[odd]
    steady = stability.stable and stability.span is not None and float(stability.span.to("day").magnitude) >= HIGH_END_DAYS
    ended_high = stuck and steady and original is not None and _explained(original, found[-1].best, style)
    return Judgement(
        style, pitched, original, was_measured, found, stability, stuck and not ended_high, forecast, hopped is not None, ended_high,
        since, tuple(counted), asleep and not stability.stable, left_out,
    )


def _awake(
    found: list[Reading], cold: list[tuple[datetime, datetime | None]], original: Quantity | None
) -> tuple[list[Reading], bool]:
    """The gravities that prove something beside times in the cold, and whether the newest was read in one.

    What was steady before the cold stays so. Else what stands still in it proves nothing, and after it the proof begins anew.
    """
    for begun, over in cold:
        before = [each for each in found if each.at <= begun]
        points = [(quantity(max(0.0, days_since(before[0].at, each.at)), "day"), each.best) for each in before]
        if is_stable(points, DIVISION, original).stable:
            return found, False
        if over is not None:
            found = [each for each in found if each.at >= over] or before
            continue
        kept = list(before)
        for each in found[len(before) :]:
            # Lower than before it counts all the same: the yeast was not asleep then.
            if not kept or float((kept[-1].best - each.best).magnitude) > DIVISION + SAME:
                kept.append(each)
        return kept, len(found) > len(before)
    return found, False


def _cold_times(batch: Batch, style: str) -> list[tuple[datetime, datetime | None]]:
    """From when to when the fermenter was too cold for its yeast by the temperatures that were sent; the last end is None where it still is."""
    asleep_below = float(temperature_range(style).low.to("degC").magnitude) - ASLEEP_BELOW_C
    found: list[tuple[datetime, datetime | None]] = []
    for each in sorted(batch.readings, key=lambda each: each.at):
        if each.kind != "temperature" or each.stage not in FERMENTER[:2]:
            continue
        cold, open_ = float(each.best.to("degC").magnitude) < asleep_below, bool(found) and found[-1][1] is None
        if cold and not open_:
            found.append((each.at, None))
        elif not cold and open_:
            found[-1] = (found[-1][0], each.at)
    return found


def _explained(original: Quantity, gravity: Quantity, style: str) -> bool:
    """Whether a high end is near enough to the usual one for mash or extract to be the cause of it."""
    reached = float(apparent_attenuation(original, gravity).to("percent").magnitude)
    return reached >= float(attenuation_range(style).low.to("percent").magnitude) - HIGH_END_WITHIN


def suspicious(batch: Batch, value: Quantity, at: datetime) -> str | None:
    """Why a gravity in the fermenter is questioned before it is stored, at its place in time; None when it looks right."""
    limits = table("suspicious")
    number = float(value.magnitude)
    judged = judge(batch)
    before = [each for each in judged.gravities if each.at <= at]
    after = [each for each in judged.gravities if each.at > at]
    start = float(judged.original.magnitude) if judged.original is not None else None
    if before and number > float(before[-1].best.magnitude) + limits["rise"]:
        return f"Gravity does not rise; the last one was {float(before[-1].best.magnitude):.3f}."
    if not before and start is not None and judged.measured_original and number > start + limits["rise"]:
        return f"Gravity does not rise; it began at {start:.3f}."
    if after and number < float(after[0].best.magnitude) - limits["rise"]:
        return f"A later one was higher: {float(after[0].best.magnitude):.3f}."
    if before:
        days = max(0.25, days_since(before[-1].at, at))
        fell = float(before[-1].best.magnitude) - number
        if fell > limits["fall_per_day"] * days + DIVISION:
            return f"That is {fell:.3f} lower than {days:.1f} days before; yeast is not that quick."
    elif start is not None and judged.measured_original:
        days = max(0.25, days_since(judged.pitched, at))
        if start - number > limits["fall_per_day"] * days + DIVISION:
            return f"That is {start - number:.3f} lower after {days:.1f} days; yeast is not that quick."
    if judged.original is not None and number < float(judged.original.magnitude):
        shown = float(apparent_attenuation(judged.original, value).to("percent").magnitude)
        most = float(attenuation_range(judged.style).high.to("percent").magnitude) + limits["attenuation_above"]
        if shown > most:
            return f"That would be {shown:.0f} % attenuated; this yeast usually stops near {most - limits['attenuation_above']:.0f} %."
    return None


def why_questioned(batch: Batch | None, kind: str) -> str:
    """What stands behind the doubt about a reading, for "why?"."""
    limits = table("suspicious")
    if batch is None or kind != "gravity" or batch.stage not in FERMENTER:
        return str(limits["why_else"])
    judged = judge(batch)
    if judged.gravities:
        before = ", ".join(f"{float(each.best.magnitude):.3f} on {each.at.day} {each.at:%b}" for each in judged.gravities[-3:])
        return str(limits["why"]).format(before=before)
    return str(limits["why_first"]).format(start=f"{float(judged.original.magnitude):.3f}") if judged.original is not None else str(limits["why_else"])


def slipped(batch: Batch, value: Quantity, at: datetime) -> float | None:
    """The one gravity with two neighbouring digits changed round that would not be questioned: 1.012 for 1.102."""
    if float(value.magnitude) < 1:
        return None
    digits = f"{round(1000 * (float(value.magnitude) - 1)):03d}"
    swapped = {digits[1] + digits[0] + digits[2], digits[0] + digits[2] + digits[1]} - {digits}
    fitting = [1 + int(each) / 1000 for each in sorted(swapped) if suspicious(batch, quantity(1 + int(each) / 1000, "dimensionless"), at) is None]
    return fitting[0] if len(fitting) == 1 else None


def steady_run(judged: Judgement) -> Reading | None:
    """The first of the newest gravities that agree, where they do not yet span the days of a proof; None where the last one moved."""
    last, first = (judged.counted[-1] if judged.counted else None), None
    for each in reversed(judged.counted[:-1]):
        if last is None or abs(float((each.best - last.best).magnitude)) >= SAME:
            break
        first = each
    apart = first is not None and last is not None and days_since(first.at, last.at) >= LEAST_APART_DAYS
    return first if apart and judged.stability.reason != "no_fall_seen" else None
