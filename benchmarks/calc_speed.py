"""How long the sums of a brew day take, with pint and without it, and what importing calc costs.

Run from the root of the checkout: ``python benchmarks/calc_speed.py``. Each row is the best of several
runs: the public function with quantities, the same formula on bare floats, and the ratio of the two.
Goals: closed forms below 50 microseconds, solved ones below 5 ms; importing all of calc at most 50 ms more
than pint, and no scipy that is not asked for.
"""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
import timeit
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from calc import (  # noqa: E402
    alcohol,
    balances,
    bitterness,
    boil,
    carbonation,
    cold_bath,
    colour,
    cooling,
    cost,
    density,
    dipstick,
    final_gravity,
    finish,
    heat,
    hydrometer,
    isomerisation,
    nutrition,
    pressure,
    yeast,
)
from calc.sucrose import (  # noqa: E402
    density_kg_m3,
    fraction_from_density,
    fraction_from_gravity,
    gravity_from_fraction,
)
from calc.units import Quantity, quantity  # noqa: E402

CLOSED_US, SOLVED_US, IMPORT_MS = 50.0, 5000.0, 50.0
REPEATS, IMPORT_RUNS = 5, 9
SECONDS_PER_RUN = 0.02


class Case(NamedTuple):
    """A public function with its quantities, and the same sum on bare floats (None: no simpler form)."""

    name: str
    call: Callable[[], Any]
    bare: Callable[[], Any] | None
    goal_us: float = CLOSED_US


def q(value: float, unit: str = "dimensionless") -> Quantity:
    return quantity(value, unit)


def real_extract(og: float, fg: float) -> tuple[float, float]:
    original, apparent = fraction_from_gravity(og), fraction_from_gravity(fg)
    factor = 0.22 + 0.1 * original
    return original, (factor * original + apparent) / (1 + factor)


def alcohol_by_volume(og: float, fg: float) -> float:
    original, real = real_extract(og, fg)
    return 100 * (original - real) / (2.0665 - 1.0665 * original) * fg * 998.203 / 789.24


def solubility(temperature_c: float) -> float:
    k = (temperature_c + 273.15) / 100
    return 44.0095 * math.exp(-58.0931 + 90.5069 / k + 22.294 * math.log(k))


def pressure_kpa(volumes: float, temperature_c: float) -> float:
    per_atm = solubility(temperature_c) * 0.95 + 0.04 * 44009.5 / (82.0573 * (temperature_c + 273.15))
    return 101.325 * (volumes * 1.977 / per_atm + (temperature_c + 273.15) / 293.15 - 1)


def diluted(volume_l: float, gravity: float, water_l: float) -> float:
    wort_kg = volume_l * gravity * 0.998203
    return gravity_from_fraction(wort_kg * fraction_from_gravity(gravity) / (wort_kg + water_l * 0.998203))


def tinseth(grams: float, alpha: float, minutes: float, gravity: float, litres: float) -> float:
    used: float = 1.65 * 0.000125 ** (gravity - 1) * (1 - math.exp(-0.04 * minutes)) / 4.15
    return grams * alpha * 1000 / litres * used


def hydrometer_gravity(reading: float, temperature_c: float) -> float:
    glass = 1 - 25e-6 * (temperature_c - 20)
    fraction = fraction_from_density(reading * density_kg_m3(0.0) * glass, temperature_c)
    return gravity_from_fraction(fraction)


def strike_c(water_l: float, grain_kg: float, grain_c: float, mash_c: float) -> float:
    return mash_c + grain_kg * 1.7 / (water_l * 0.998 * 4.19) * (mash_c - grain_c)


def heating_s(water_l: float, from_c: float, to_c: float, power_kw: float, share: float) -> float:
    return water_l * 0.998 * 4.19 * (to_c - from_c) / (power_kw * share)


def correcting_kg(water_l: float, grain_kg: float, now_c: float, target_c: float, added_c: float) -> float:
    return (water_l * 0.998 * 4.19 + grain_kg * 1.7) * (target_c - now_c) / (4.19 * (added_c - target_c))


def boil_down_min(volume_l: float, target_l: float, rate_l_h: float) -> float:
    return (volume_l - target_l) / rate_l_h * 60


def morey_ebc(grain_kg: float, lovibond: float, volume_l: float) -> float:
    return float(1.97 * 1.4922 * (grain_kg * 2.2046 * lovibond / (volume_l * 0.26417)) ** 0.6859)


def depth_cm(volume_l: float, diameter_cm: float) -> float:
    return volume_l * 1000 / (math.pi * diameter_cm * diameter_cm / 4)


def shortcut_percent(og: float, fg: float) -> float:
    return 131.25 * (og - fg)


def difference(a: float, b: float) -> float:
    return a - b


def part(price: float, package: float, used: float) -> float:
    return price * used / package


def cases() -> list[Case]:
    og, fg = q(1.050), q(1.010)
    five_l, six_l = q(5, "litre"), q(6, "litre")
    c20, c66, c100 = q(20, "degC"), q(66, "degC"), q(100, "degC")
    target_co2 = carbonation.from_volumes(2.4)
    falling = [
        (q(day, "day"), q(gravity))
        for day, gravity in [(1, 1.046), (2, 1.030), (3, 1.019), (4, 1.014), (5, 1.012), (7, 1.012)]
    ]
    bath = [(q(minute, "minute"), q(celsius, "degC")) for minute, celsius in [(0, 90), (5, 74), (10, 62)]]
    malt = cost.Purchase(Decimal("9.00"), q(5, "kg"), q(1300, "gram"))
    hour, fifteen = q(60, "minute"), q(15, "minute")
    hops, alpha = q(5, "gram"), q(10, "percent")
    return [
        Case(
            "density.plato_from_gravity",
            lambda: density.plato_from_gravity(og),
            lambda: fraction_from_gravity(1.05),
        ),
        Case(
            "density.gravity_from_plato",
            lambda: density.gravity_from_plato(q_plato),
            lambda: gravity_from_fraction(0.12),
        ),
        Case(
            "density.cold_volume",
            lambda: density.cold_volume(six_l, c100),
            lambda: 6 * density_kg_m3(0.0, 100.0) / density_kg_m3(0.0, 20.0),
        ),
        Case(
            "hydrometer.correct_gravity",
            lambda: hydrometer.correct_gravity(og, c66),
            lambda: hydrometer_gravity(1.05, 66.0),
        ),
        Case(
            "heat.strike_temperature",
            lambda: heat.strike_temperature(six_l, q_malt, c20, c66),
            lambda: strike_c(6, 1.3, 20, 66),
        ),
        Case(
            "heat.time_to_heat",
            lambda: heat.time_to_heat(six_l, c20, c66, q_power, 0.7),
            lambda: heating_s(6, 20, 66, 2, 0.7),
        ),
        Case(
            "heat.water_to_correct_mash",
            lambda: heat.water_to_correct_mash(six_l, q_malt, q_63, c66, c100),
            lambda: correcting_kg(6, 1.3, 63, 66, 100),
        ),
        Case(
            "cooling.resting_temperature",
            lambda: cooling.resting_temperature(bath, c20, fifteen),
            None,
            SOLVED_US,
        ),
        Case(
            "cold_bath.chill_forecast",
            lambda: cold_bath.chill_forecast(bath, c20, q_25),
            None,
            SOLVED_US,
        ),
        Case(
            "balances.gravity_after_dilution",
            lambda: balances.gravity_after_dilution(five_l, og, q_litre),
            lambda: diluted(5, 1.05, 1),
        ),
        Case(
            "balances.water_to_reach_volume",
            lambda: balances.water_to_reach_volume(five_l, six_l, og),
            None,
            SOLVED_US,
        ),
        Case("balances.mix", lambda: balances.mix([(five_l, og), (q_litre, fg)]), None, SOLVED_US),
        Case(
            "boil.time_to_boil_down",
            lambda: boil.time_to_boil_down(six_l, five_l, q_rate),
            lambda: boil_down_min(6, 5, 1.2),
        ),
        Case("boil.boiling_point", lambda: boil.boiling_point(q_altitude), None),
        Case(
            "bitterness.bitterness",
            lambda: bitterness.bitterness(hops, alpha, hour, og, five_l),
            lambda: tinseth(5, 0.1, 60, 1.05, 5),
        ),
        Case(
            "isomerisation.late_addition",
            lambda: isomerisation.late_addition(hops, alpha, hour, q_46, og, five_l),
            None,
            SOLVED_US,
        ),
        Case(
            "colour.predicted_colour",
            lambda: colour.predicted_colour([(q_malt, q_colour)], five_l),
            lambda: morey_ebc(1.3, 3.5, 5),
        ),
        Case("colour.swatch", lambda: colour.swatch(q_ebc, q_glass), None, SOLVED_US),
        Case(
            "dipstick.depth_from_volume",
            lambda: dipstick.depth_from_volume(five_l, q_pot),
            lambda: depth_cm(5, 24),
        ),
        Case(
            "alcohol.alcohol_by_volume",
            lambda: alcohol.alcohol_by_volume(og, fg),
            lambda: alcohol_by_volume(1.05, 1.01),
        ),
        Case(
            "alcohol.alcohol_shortcut",
            lambda: alcohol.alcohol_shortcut(og, fg),
            lambda: shortcut_percent(1.05, 1.01),
        ),
        Case(
            "alcohol.apparent_attenuation",
            lambda: alcohol.apparent_attenuation(og, fg),
            lambda: 100 * (1 - fraction_from_gravity(1.01) / fraction_from_gravity(1.05)),
        ),
        Case(
            "nutrition.energy",
            lambda: nutrition.energy(og, fg, q_glass_volume),
            lambda: 330 * (29 * alcohol_by_volume(1.05, 1.01) * 0.0078924 + 17 * real_extract(1.05, 1.01)[1]),
        ),
        Case(
            "yeast.dry_yeast_mass",
            lambda: yeast.dry_yeast_mass(five_l, og),
            lambda: 0.6 * 5 * max(1.0, 100 * fraction_from_gravity(1.05) / 12),
        ),
        Case("yeast.sachet_left", lambda: yeast.sachet_left(q_sachet, q_used), lambda: difference(11, 3)),
        Case("finish.is_stable, 6 readings", lambda: finish.is_stable(falling), None, SOLVED_US),
        Case(
            "final_gravity.forecast_finish, 6 readings",
            lambda: final_gravity.forecast_finish(falling, og),
            None,
            SOLVED_US,
        ),
        Case("carbonation.residual_co2", lambda: carbonation.residual_co2(c20), lambda: solubility(20.0)),
        Case(
            "carbonation.priming_sugar",
            lambda: carbonation.priming_sugar(five_l, target_co2, c20),
            lambda: 5 * (2.4 * 1.977 - solubility(20.0)) / 0.5143,
        ),
        Case(
            "pressure.bottle_pressure",
            lambda: pressure.bottle_pressure(target_co2, c20),
            lambda: pressure_kpa(2.4, 20.0),
        ),
        Case(
            "pressure.co2_from_gravity",
            lambda: pressure.co2_from_gravity(q_1012, fg, og),
            None,
        ),
        Case("pressure.check_bottle", lambda: pressure.check_bottle(target_co2), None),
        Case("cost.batch_cost, 1 purchase", lambda: cost.batch_cost([malt]), lambda: part(9, 5000, 1300)),
    ]


q_plato, q_malt, q_power, q_63, q_25 = (
    q(12, "degree_plato"),
    q(1.3, "kg"),
    q(2, "kilowatt"),
    q(63, "degC"),
    q(25, "degC"),
)
q_litre, q_rate, q_altitude, q_46 = q(1, "litre"), q(1.2, "litre/hour"), q(500, "metre"), q(46, "minute")
q_colour, q_ebc, q_glass, q_pot = (
    colour.malt_colour(3.5),
    q(12, "ebc"),
    q(6, "centimetre"),
    q(24, "centimetre"),
)
q_glass_volume, q_sachet, q_used, q_1012 = q(330, "millilitre"), q(11, "gram"), q(3, "gram"), q(1.012)


def microseconds(call: Callable[[], Any]) -> float:
    """Best time of one call; the first call is not counted."""
    call()
    timer = timeit.Timer(call)
    number = 1
    while (seconds := timer.timeit(number)) < SECONDS_PER_RUN:
        number = max(number + 1, int(number * 1.2 * SECONDS_PER_RUN / max(seconds, 1e-9)))
    return min(timer.repeat(REPEATS, number)) / number * 1e6


def import_ms(statement: str) -> float:
    """Time that a fresh interpreter spends on an import, milliseconds."""
    code = f"import time; t = time.perf_counter(); {statement}; print((time.perf_counter() - t) * 1e3)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    return float(done.stdout)


def print_calls() -> bool:
    print(f"{'function':<44}{'us':>10}{'bare us':>10}{'ratio':>8}{'goal us':>9}")
    met = True
    for case in cases():
        with_pint = microseconds(case.call)
        bare = None if case.bare is None else microseconds(case.bare)
        columns = f"{'-':>10}{'-':>8}" if bare is None else f"{bare:10.2f}{with_pint / bare:8.1f}"
        missed = with_pint > case.goal_us
        met = met and not missed
        print(f"{case.name:<44}{with_pint:10.1f}{columns}{case.goal_us:9.0f}{'  MISSED' if missed else ''}")
    return met


def print_imports() -> bool:
    modules = sorted(path.stem for path in (ROOT / "calc").glob("*.py") if path.stem != "__init__")
    everything = "import " + ", ".join(f"calc.{name}" for name in modules)
    # In turn, so that a busy moment of the machine hits both.
    pairs = [(import_ms("import pint"), import_ms(everything)) for _ in range(IMPORT_RUNS)]
    pint_ms, calc_ms = (statistics.median(column) for column in zip(*pairs, strict=True))
    units_ms = statistics.median(import_ms("import calc.units") for _ in range(IMPORT_RUNS))
    check = f"{everything}; import sys; assert not any(m.startswith('scipy.optimize') for m in sys.modules)"
    import_ms(check)
    more = calc_ms - pint_ms
    print(f"\nimport pint {pint_ms:.0f} ms; with the registry of calc.units {units_ms:.0f} ms")
    print(f"import all {len(modules)} modules of calc {calc_ms:.0f} ms: {more:.0f} ms more than pint", end="")
    print(f" (goal {IMPORT_MS:.0f}){'  MISSED' if more > IMPORT_MS else ''}; scipy's solvers not loaded")
    return bool(more <= IMPORT_MS)


if __name__ == "__main__":
    results = (print_calls(), print_imports())
    sys.exit(0 if all(results) else 1)
