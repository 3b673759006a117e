"""What one batch's readings say of the kitchen: boil-off, absorption, efficiency, hob, cooling, dead space, days."""

from __future__ import annotations

import math
from typing import NamedTuple

from calc.cooling import forecast
from calc.density import cold_volume, extract_mass
from calc.errors import OutOfRange
from calc.extract import efficiency
from calc.fermentables import fermentable_or_default
from calc.finish import is_stable
from calc.heat import heat_flow
from calc.units import quantity
from conversations.session import plan
from conversations.session.course import AFTER_BOIL
from conversations.session.joined_since import READ_AT_C
from conversations.session.state import Batch, Kit, Reading

STICK_MM = 0.5
"""Standard uncertainty of a depth read to a millimetre."""
JUG_L = 0.04
"""Standard uncertainty of a volume told in litres to one decimal."""
GRAVITY = 0.0005
READ_TEMPERATURE_K, GUESSED_TEMPERATURE_K = 2.0, 8.0
_NEAR_S = 900.0
_BATH = quantity(15.0, "degC")


class Seen(NamedTuple):
    """One observation with its standard uncertainty, in the unit of the page learning.toml."""

    value: float
    uncertainty: float


class _Litres(NamedTuple):
    cold_l: float
    uncertainty: float
    reading: Reading


def seen_in(batch: Batch, kit: Kit) -> dict[str, Seen]:
    """Every number of the kitchen that this batch's readings give; what they do not give is not there."""
    found: dict[str, Seen] = {}
    for name, observe in (
        ("boil_off", _boil_off),
        ("absorption", _absorption),
        ("efficiency", _efficiency),
        ("hob_power", _hob),
        ("cooling", _cooling),
        ("dead_space", _dead_space),
        ("days_to_stable", _days),
    ):
        try:
            seen = observe(batch, kit)
        # A slip of the thumb that calc refuses says nothing of the kitchen.
        except OutOfRange:
            continue
        if seen is not None and math.isfinite(seen.value):
            found[name] = seen
    return found


def _temperature(batch: Batch, reading: Reading) -> tuple[float, float]:
    """What the pot had when a volume was read, degC: by a reading near it in the same stage, else as is usual."""
    near = [
        each
        for each in batch.readings
        if each.kind == "temperature"
        and each.stage == reading.stage
        and abs((each.at - reading.at).total_seconds()) <= _NEAR_S
    ]
    if near:
        closest = min(near, key=lambda each: abs((each.at - reading.at).total_seconds()))
        return float(closest.best.to("degC").magnitude), READ_TEMPERATURE_K
    return READ_AT_C.get(reading.stage, 20.0), GUESSED_TEMPERATURE_K if reading.stage in ("drain", "top_up") else 3.0


def _litres(batch: Batch, kit: Kit, reading: Reading) -> _Litres | None:
    value = reading.value if reading.kind == "volume" else reading.corrected
    if reading.kind not in ("volume", "depth") or value is None:
        return None
    at_c, spread_k = _temperature(batch, reading)
    at_c = min(max(at_c, 0.0), 100.0)
    cold = plan.litres(cold_volume(value.quantity, quantity(at_c, "degC")))
    other = plan.litres(cold_volume(value.quantity, quantity(at_c - spread_k if at_c > 50 else at_c + spread_k, "degC")))
    read = JUG_L
    if reading.kind == "depth":
        step = quantity(reading.value.in_unit("mm") + 1.0, "mm")
        try:
            read = STICK_MM * abs(plan.litres(plan.volume_of_depth(step, kit)) - value.in_unit("litre"))
        except OutOfRange:
            read = JUG_L
    return _Litres(cold, math.hypot(read, other - cold), reading)


def _volumes(batch: Batch, kit: Kit, *stages: str) -> list[_Litres]:
    made = (_litres(batch, kit, reading) for reading in batch.readings if reading.stage in stages)
    return [each for each in made if each is not None]


def _poured(batch: Batch, first: Reading, last: Reading) -> float:
    return sum(
        each.value.in_unit("litre") for each in batch.readings if each.kind == "water" and first.at < each.at <= last.at
    )


def _pre_boil(batch: Batch, kit: Kit) -> _Litres | None:
    """The last volume before the boil, or one read as it began."""
    before = _volumes(batch, kit, "drain", "top_up")
    if batch.boil_started is not None:
        soon = [
            each
            for each in _volumes(batch, kit, "boil")
            if (each.reading.at - batch.boil_started).total_seconds() <= 300
        ]
        before += soon[:1]
    return before[-1] if before else None


def _post_boil(batch: Batch, kit: Kit) -> _Litres | None:
    """The volume at flame-out: read in the last minutes of the boil or after it, before anything was poured off."""
    if batch.boil_started is None:
        return None
    after = _volumes(batch, kit, "steep", "chill")
    if after:
        return after[0]
    late = [
        each for each in _volumes(batch, kit, "boil") if (each.reading.at - batch.boil_started).total_seconds() >= 1200
    ]
    return late[-1] if late else None


def _boiled_hours(batch: Batch, end: Reading) -> float:
    if batch.boil_started is None:
        return 0.0
    ended = batch.entered.get("steep", end.at)
    return (min(ended, end.at) - batch.boil_started).total_seconds() / 3600


def _gravity_near(batch: Batch, *stages: str) -> float | None:
    """The last gravity of these stages that is of what the mash and the boil gave: none after water or malt extract had joined."""
    found = None
    for each in batch.readings:
        if each.kind == "extract" or (each.kind == "water" and each.stage in AFTER_BOIL):
            break
        if each.kind == "gravity" and each.stage in stages:
            found = float(each.best.magnitude)
    return found


def _concentration(gravity: float) -> float:
    """Extract in kg per litre."""
    return float(extract_mass(quantity(1.0, "litre"), quantity(gravity, "dimensionless")).to("kilogram").magnitude)


def _boil_off(batch: Batch, kit: Kit) -> Seen | None:
    """From both volumes, made consistent with both gravities: extract does not boil away."""
    before, after = _pre_boil(batch, kit), _post_boil(batch, kit)
    if before is None or after is None or batch.boil_started is None:
        return None
    hours = _boiled_hours(batch, after.reading)
    if hours < 0.3:
        return None
    poured = _poured(batch, before.reading, after.reading)
    v0, v1 = before.cold_l + poured, after.cold_l
    s00, s11, s01 = before.uncertainty**2, after.uncertainty**2, 0.0
    doubt = 0.0
    g0, g1 = _gravity_near(batch, "drain", "top_up"), _gravity_near(batch, "steep", "chill", "transfer", "pitch")
    sugars = any(not fermentable_or_default(name).mashed for name, _ in batch.recipe.grains)
    if g0 is not None and g1 is not None and not poured and not sugars and min(g0, g1) > 1.01:
        c0, c1 = _concentration(g0), _concentration(g1)
        slope = _concentration(g1 + GRAVITY) - c1
        miss = c0 * v0 - c1 * v1
        noise = (v0 * slope) ** 2 + (v1 * slope) ** 2
        total = c0**2 * s00 + c1**2 * s11 + noise
        # A reading gone wrong must not drag the others along: the constraint counts only where it roughly holds.
        if miss**2 < 9 * total:
            k0, k1 = c0 * s00 / total, -c1 * s11 / total
            v0, v1 = v0 - k0 * miss, v1 - k1 * miss
            s00, s11, s01 = s00 - k0 * c0 * s00, s11 + k1 * c1 * s11, k0 * c1 * s11
        else:
            # One of the four is wrong and none says which: as uncertain as they disagree.
            doubt = abs(miss) / c1
    variance = max(1e-8, s00 + s11 - 2 * s01)
    return Seen((v0 - v1) / hours, math.hypot(math.sqrt(variance), doubt) / hours)


def _absorption(batch: Batch, kit: Kit) -> Seen | None:
    """Water into the mash less what drained, per kilogram; as plan.mash_water counts it."""
    drained = _volumes(batch, kit, "drain")
    grain = float(plan.grain_mass(batch.recipe).to("kilogram").magnitude)
    if not drained or batch.mash_water is None or grain < 0.2:
        return None
    water = batch.mash_water.in_unit("litre") + (batch.recipe.rinse_water.in_unit("litre") if batch.recipe.rinse_water else 0)
    first = drained[0]
    return Seen((water - first.cold_l) / grain, math.hypot(first.uncertainty, JUG_L) / grain)


def _efficiency(batch: Batch, kit: Kit) -> Seen | None:
    """Extract in the pot against the malt's, before and after the boil taken together."""
    grains = [(name, mass.quantity) for name, mass in batch.recipe.grains]
    sugars = any(not fermentable_or_default(name).mashed for name, _ in batch.recipe.grains)
    before, after = _pre_boil(batch, kit), _post_boil(batch, kit)
    parts: list[Seen] = []
    for volume, gravity in (
        (None if sugars else before, _gravity_near(batch, "drain", "top_up")),
        (after, _gravity_near(batch, "steep", "chill", "transfer", "pitch")),
    ):
        if volume is None or gravity is None or volume.cold_l <= 0:
            continue
        share = efficiency(grains, quantity(volume.cold_l, "litre"), quantity(gravity, "dimensionless"))
        relative = math.hypot(volume.uncertainty / volume.cold_l, GRAVITY / max(gravity - 1, 0.002))
        parts.append(Seen(share, relative * share))
    if not parts:
        return None
    weight = sum(1 / part.uncertainty**2 for part in parts)
    mean = sum(part.value / part.uncertainty**2 for part in parts) / weight
    # Source: R. T. Birge, Phys. Rev. 40 (1932) 207: values that disagree are as uncertain as they disagree.
    disagree = math.sqrt(sum(((part.value - mean) / part.uncertainty) ** 2 for part in parts) / max(1, len(parts) - 1))
    return Seen(mean, max(1.0, disagree) * weight**-0.5)


def _hob(batch: Batch, kit: Kit) -> Seen | None:
    """From two temperatures of the strike water on its way up."""
    rising = [each for each in batch.readings if each.kind == "temperature" and each.stage == "heat"]
    if len(rising) < 2 or batch.mash_water is None:
        return None
    first, last = rising[0], rising[-1]
    minutes = (last.at - first.at).total_seconds() / 60
    rise = float(last.best.to("degC").magnitude - first.best.to("degC").magnitude)
    if minutes < 4 or rise < 10:
        return None
    watts = heat_flow(
        batch.mash_water.quantity,
        first.best,
        last.best,
        quantity(minutes, "minute"),
        pot_mass=kit.pot_mass.quantity,
        pot_material=kit.pot_material,
    )
    value = float(watts.to("watt").magnitude)
    return Seen(value, value * math.hypot(0.7 / rise, 0.5 / minutes, 0.02))


def _cooling(batch: Batch, kit: Kit) -> Seen | None:
    """Time constant in the cold bath, which is taken at 15 degC."""
    falling = [each for each in batch.readings if each.kind == "temperature" and each.stage == "chill"]
    if len(falling) < 2:
        return None
    curve = [(quantity((each.at - falling[0].at).total_seconds() / 60, "minute"), each.best) for each in falling]
    if float(curve[-1][0].magnitude) < 3:
        return None
    found = forecast(curve, _BATH, quantity(20.0, "degC"))
    constant = float(found.time_constant.to("minute").magnitude)
    return Seen(constant, max(0.05 * constant, float(found.time_constant_uncertainty.to("minute").magnitude)))


def _dead_space(batch: Batch, kit: Kit) -> Seen | None:
    after, over = _post_boil(batch, kit), _volumes(batch, kit, "transfer", "pitch")
    if after is None or not over:
        return None
    late = batch.recipe.late_water.in_unit("litre") if batch.recipe.late_water else 0.0
    return Seen(after.cold_l + late - over[-1].cold_l, math.hypot(after.uncertainty, over[-1].uncertainty))


def _days(batch: Batch, kit: Kit) -> Seen | None:
    """Days from pitching to the first of the gravities that stand still; it stood still somewhere before it."""
    pitched = batch.entered.get("ferment")
    during = [each for each in batch.readings if each.kind == "gravity" and each.stage in ("ferment", "bottle")]
    if pitched is None or len(during) < 2:
        return None
    curve = [(quantity(max(0.0, (each.at - pitched).total_seconds() / 86400), "day"), each.best) for each in during]
    for end in range(2, len(curve) + 1):
        if not is_stable(curve[:end]).stable:
            continue
        last = curve[end - 1]
        same = [day for day, gravity in curve[:end] if abs(float(gravity.magnitude) - float(last[1].magnitude)) <= 0.0011]
        stood = float(same[0].magnitude)
        earlier = [float(day.magnitude) for day, _ in curve if float(day.magnitude) < stood]
        from_day = earlier[-1] if earlier else stood / 2
        return Seen((stood + from_day) / 2, max(0.5, (stood - from_day) / math.sqrt(12)))
    return None
