"""Numbers as people say them beside a pot: every slot of the sentence files as spoken words, likely values oftener."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Callable, Iterable
from functools import lru_cache
from random import Random

from conversations.session.stages import stages
from conversations.understanding.numbers import ONES, TENS

_TENS = ("zero", "ten", *TENS)
HOURS = tuple(range(1, 13))


def words(number: int) -> str:
    """A whole number below ten thousand in words.

    >>> words(67), words(105), words(1050)
    ('sixty seven', 'one hundred and five', 'one thousand and fifty')
    """
    if number < 20:
        return ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens] + (f" {ONES[ones]}" if ones else "")
    large, size = ("hundred", 100) if number < 1000 else ("thousand", 1000)
    first, rest = divmod(number, size)
    joint = " and " if size == 100 or rest < 100 else " "
    return f"{words(first)} {large}" + (f"{joint}{words(rest)}" if rest else "")


def digits(number: int | str) -> list[str]:
    """Each figure by its name."""
    return [ONES[int(figure)] for figure in str(number)]


def gravity_forms(thousandths: int) -> list[tuple[str, float]]:
    """The ways of saying a specific gravity, given as thousandths, with how often each is used.

    >>> [form for form, _ in gravity_forms(1057)][:3]
    ['ten fifty seven', 'one point oh five seven', 'one point zero five seven']
    """
    whole, part = divmod(thousandths, 1000)
    figures = digits(f"{part:03}")
    oh = ["oh" if figure == "zero" else figure for figure in figures]
    before, behind = divmod(thousandths, 100)
    pair = {0: "hundred"}.get(behind, f"oh {ONES[behind]}" if behind < 10 else words(behind))
    forms = [(f"{words(before)} {pair}", 5.0 if behind else 0.0)]
    if behind == 0 and before > 10:
        forms = [(f"{words(before)} hundred", 2.0)]
    first = words(whole) if whole else "zero"
    forms += [(f"{first} point {' '.join(oh)}", 3.0), (f"{first} point {' '.join(figures)}", 2.0)]
    if whole == 1 and part:
        forms += [
            (f"one {' '.join(oh)}", 0.7),
            (f"one thousand and {words(part)}" if part < 100 else f"one thousand {words(part)}", 0.2),
        ]
        if part % 10 == 0 and part:
            forms.append((f"one point {' '.join(oh[:2])}", 0.5))
        if 10 <= part < 100:
            forms.append((f"one point oh {words(part)}", 0.7))
    if part == 0 and whole == 1:
        forms.append(("one thousand", 1.0))
    return [(form, often) for form, often in forms if often]


def decimal_forms(tenths: int) -> list[tuple[str, float]]:
    """The ways of saying a number with one decimal, given in tenths."""
    whole, part = divmod(tenths, 10)
    if part == 0:
        return [(words(whole), 3.0)]
    forms = [(f"{words(whole)} point {ONES[part]}", 3.0)]
    if part == 5:
        forms.append((f"{words(whole)} and a half", 1.5))
    return forms


class Say:
    """Draws spoken forms for slots; the same seed says the same, so a model can be built again and compared."""

    def __init__(self, stage: str | None, units: str, banks: dict[str, list[str]], names: Iterable[str], seed: int):
        self._random = Random(seed)
        self._stage = stages().get(stage or "")
        self._metric = units == "metric"
        self._us = units == "us"
        self._banks = {**banks, "name": [*banks["name"], *(4 * [name.lower() for name in names])]}

    def slot(self, kind: str) -> str | None:
        """Words for a slot of the sentence files; None for a kind that nobody can say or that is not known here."""
        bank = self._banks.get(kind)
        if bank is not None:
            return self._from(bank) if bank else None
        say: Callable[[], str] | None = getattr(self, f"_{kind}", None)
        return say() if say is not None else None

    def _from(self, bank: list[str]) -> str:
        return self._random.choice(bank)

    def pick(self, forms: list[tuple[str, float]]) -> str:
        """One of the forms, by how often each is used."""
        return self._random.choices([form for form, _ in forms], [often for _, often in forms])[0]

    def place(self, summed: list[float]) -> int:
        """A place in a list, by the summed shares of its places."""
        return min(bisect(summed, self._random.random() * summed[-1]), len(summed) - 1)

    def some(self, forms: list[tuple[str, ...]], most: int) -> list[tuple[str, ...]]:
        """So many of them at most."""
        return forms if len(forms) <= most else self._random.sample(forms, most)

    def chance(self, share: float) -> bool:
        """True in this share of the cases."""
        return self._random.random() < share

    def _decimals(self, tenths: int) -> list[tuple[str, float]]:
        return decimal_forms(tenths)

    def _within(self, kind: str, low: float, high: float) -> float:
        """Mostly a value that the stage allows, now and then any."""
        limits = self._stage.plausible.get(kind) if self._stage is not None else None
        if limits is not None and self.chance(0.9):
            low, high = max(low, limits[0]), min(high, limits[1])
        return self._random.uniform(low, high)

    def _gravity(self) -> str:
        if self.chance(0.05):
            return f"{self.pick(self._decimals(self._random.randint(20, 250)))} {self._random.choice(['plato', 'degrees plato', 'brix'])}"
        if self.chance(0.05):
            return words(self._random.randint(5, 99))
        return self._sg()

    def _sg(self) -> str:
        fermenting = self._stage is not None and self._stage.name in ("ferment", "bottle", "condition")
        low, high = (998, 1030) if fermenting and self.chance(0.7) else (1020, 1085)
        if self.chance(0.25):
            low, high = 995, 1130
        return self.pick(gravity_forms(self._random.randint(low, high)))

    def _degrees(self) -> tuple[str, str]:
        celsius = self._within("temperature", 1, 101)
        metric = self._metric if self.chance(0.93) else not self._metric
        value = celsius if metric else celsius * 1.8 + 32
        tenths = round(value) * 10 if self.chance(0.75) else round(value * (2 if self.chance(0.6) else 10)) * 5
        tenths = tenths if tenths < 2200 else round(value) * 10
        return self.pick(self._decimals(tenths)), "celsius" if metric else "fahrenheit"

    def _temperature(self) -> str:
        number, scale = self._degrees()
        own = scale == ("celsius" if self._metric else "fahrenheit")
        unit = self.pick([("degrees", 6.0 if own else 0.0), (f"degrees {scale}", 2.0), (scale, 1.5)])
        return f"{number} {unit}"

    def _temp(self) -> str:
        return self._degrees()[0] if self.chance(0.4) else self._temperature()

    def _volume(self) -> str:
        if not self._metric and self.chance(0.8):
            unit = self._random.choice(["gallons", "gallons", "pints", "quarts" if self._us else "pints"])
            return f"{self.pick(self._decimals(self._random.randint(5, 80)))} {unit}"
        if self.chance(0.1):
            return f"{words(50 * self._random.randint(2, 19))} millilitres"
        if self.chance(0.04):
            return self._random.choice(["one litre", "a litre", "half a litre", "a litre and a half"])
        return f"{self._decimal(5, 250)} {self.pick([('litres', 6), ('pints', 0.4), ('gallons', 0.4)])}"

    def _decimal(self, low: int, high: int) -> str:
        """A number between two tenths, low ones oftener, whole ones oftener."""
        tenths = round(low + (high - low) * self._random.random() ** 1.5)
        return self.pick(self._decimals(round(tenths, -1) if self.chance(0.5) and tenths > 10 else tenths))

    def _vol(self) -> str:
        return self._decimal(10, 250) if self.chance(0.15) else self._volume()

    def _depth(self) -> str:
        return f"{self._decimal(10, 300)} {'centimetres' if self._metric or self.chance(0.2) else 'inches'}"

    def _depthn(self) -> str:
        return self._decimal(10, 300) if self.chance(0.45) else self._depth()

    def _diameter(self) -> str:
        return f"{words(self._random.randint(8, 45))} {'centimetres' if self._metric else 'inches'}"

    def _mass(self) -> str:
        if not self._metric and self.chance(0.7):
            return f"{self._decimal(5, 120)} {self._random.choice(['ounces', 'pounds'])}"
        kind = self._random.random()
        if kind < 0.35:
            return f"{self._decimal(3, 80)} {self._random.choice(['kilos', 'kilos', 'kilograms'])}"
        if kind < 0.5:
            return self._random.choice(["a kilo", "half a kilo", "one kilo", "a kilo and a half"])
        grams = self._random.choice(
            [self._random.randint(1, 60), 10 * self._random.randint(1, 99), 50 * self._random.randint(1, 19)]
        )
        return f"{words(grams)} grams"

    def _massn(self) -> str:
        return words(self._random.randint(1, 500)) if self.chance(0.2) else self._mass()

    def _duration(self) -> str:
        kind = self._random.random()
        if kind < 0.1:
            return self._random.choice(
                [
                    "an hour",
                    "one hour",
                    "half an hour",
                    "an hour and a half",
                    "two hours",
                    "a minute",
                    "a quarter of an hour",
                ]
            )
        if kind < 0.16:
            return f"{words(self._random.choice([10, 15, 20, 30, 45, 60, 90]))} seconds"
        if kind < 0.2:
            return f"{words(self._random.randint(2, 12))} {self._random.choice(['hours', 'days'])}"
        if kind < 0.22:
            return f"an hour and {words(self._random.choice([10, 15, 20, 30, 45]))} minutes"
        minutes = self._random.choice([*range(1, 11), 12, *range(15, 95, 5), self._random.randint(1, 99)])
        return f"{words(minutes)} minute{'s' if minutes > 1 else ''}"

    def _mins(self) -> str:
        return words(self._random.choice([*range(5, 95, 5), 2, 3, 12])) if self.chance(0.15) else self._duration()

    def _percent(self) -> str:
        return f"{self._decimal(20, 150)} percent"

    def _rate(self) -> str:
        unit = "litres" if self._metric else "gallons"
        return f"{self._decimal(5, 50)} {unit} {self._random.choice(['an', 'per'])} hour"

    def _number(self) -> str:
        return self.pick([(self._sg(), 3.0), (self._decimal(10, 300), 2.0), (self._degrees()[0], 1.0)])

    def _quantity(self) -> str:
        return self.pick([(self._temperature(), 3.0), (self._volume(), 2.0), (self._mass(), 1.0), (self._depth(), 1.0)])

    def _when(self) -> str:
        hour = self._random.choice(HOURS)
        clock = self.pick(
            [
                (words(hour), 3.0),
                (f"half past {words(hour)}", 1.5),
                (f"quarter past {words(hour)}", 0.7),
                (f"quarter to {words(hour)}", 0.7),
                (f"{words(hour)} thirty", 1.0),
                ("noon", 0.7),
                (f"{words(hour)} o'clock", 0.7),
            ]
        )
        day = self._random.choice(
            [
                "tomorrow",
                "tonight",
                "tomorrow morning",
                "this evening",
                "tomorrow evening",
                *(
                    f"on {day}"
                    for day in ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
                ),
            ]
        )
        return self.pick(
            [(f"in {self._duration()}", 5.0), (f"at {clock}", 2.0), (f"{day} at {clock}", 2.0), (day, 1.5)]
        )


@lru_cache(maxsize=1)
def number_words() -> frozenset[str]:
    """The words that numbers are made of."""
    return frozenset([*ONES, *_TENS, "hundred", "thousand", "oh", "point", "half", "quarter", "and"])
