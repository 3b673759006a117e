"""Ways in which people write and say quantities, built from a value; knows nothing of the code that reads them.

Numbers become words by num2words, a general-purpose library. The spellings of the units are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import NamedTuple

from hypothesis import strategies as st
from num2words import num2words

from conversations.intents import UnitSystem

FILLERS = (
    ("", ""),
    ("it's ", ""),
    ("about ", ""),
    ("we have ", ""),
    ("ok ", " now"),
    ("", " please"),
    ("hm, ", "."),
    ("right then ", " roughly"),
)
_EIGHTHS = {1: "an eighth", 3: "three eighths", 5: "five eighths", 7: "seven eighths"}


class Form(NamedTuple):
    """A quantity as text, and what it should be read as."""

    text: str
    value: float
    unit: str
    system: UnitSystem


class Unit(NamedTuple):
    """A unit with its spellings; `spoken` are those of them that can follow a number in words."""

    name: str
    written: tuple[str, ...]
    spoken: tuple[str, ...]
    lowest: int
    highest: int
    system: UnitSystem = "metric"
    article: str = "a"


LITRE = ("litre", "litres", "liter", "liters")
KINDS: dict[str, tuple[Unit, ...]] = {
    "temperature": (
        Unit(
            "degC",
            ("C", "c", "°C", " °C", " deg C", " degC", " degrees", "°", " celsius", " degress"),
            ("degrees", "degrees Celsius", "celsius", "degrees centigrade", "centigrade", "degrees C"),
            2,
            99,
        ),
        Unit("degF", ("F", "f", "°F", " °F", " deg F", " fahrenheit"), ("degrees Fahrenheit", "fahrenheit"), 33, 212),
        Unit("degF", (" degrees", "°", " deg"), ("degrees",), 33, 212, "us"),
    ),
    "volume": (
        Unit("litre", ("l", "L", " l", " ltr", " ltrs", *(f" {x}" for x in LITRE)), LITRE, 2, 30),
        Unit("millilitre", ("ml", " ml", "mL", " millilitres"), ("mil", "millilitres", "milliliters", "mils"), 2, 900),
        Unit("imperial_pint", ("pt", " pints", " pts"), ("pints",), 2, 40, "imperial"),
        Unit("pint", ("pt", " pints", " pts"), ("pints",), 2, 40, "us"),
        Unit("pint", (" US pints", " us pints"), ("American pints", "US pints"), 2, 40),
        Unit("quart", ("qt", " qts", " quarts"), ("quarts",), 2, 40, "us"),
        Unit("imperial_quart", (" quarts", "qt"), ("quarts",), 2, 40, "imperial"),
        Unit("imperial_gallon", ("gal", " gallons", " gals"), ("gallons",), 2, 12, "imperial"),
        Unit("imperial_gallon", (" imperial gallons",), ("imperial gallons",), 2, 12, "us"),
        Unit("gallon", ("gal", " gallons", " gals"), ("gallons",), 2, 12, "us"),
        Unit("gallon", (" US gallons",), ("American gallons", "US gallons"), 2, 12),
        Unit("cup", (" cups", " cup"), ("cups",), 2, 12, "us"),
        Unit("fluid_ounce", (" fl oz", "floz", " fl. oz", " fluid ounces"), ("fluid ounces",), 2, 40, "us"),
        Unit("imperial_fluid_ounce", (" fl oz", " fluid ounces"), ("fluid ounces",), 2, 40, "imperial"),
    ),
    "mass": (
        Unit("gram", ("g", " g", "gr", " gram", " grams", " gms"), ("grams", "grammes"), 2, 900),
        Unit("kilogram", ("kg", " kg", " kgs", " kilo", " kilos"), ("kilos", "kilograms", "kilo"), 2, 20),
        Unit("ounce", ("oz", " oz", " ounces"), ("ounces",), 2, 30, article="an"),
        Unit("pound", ("lb", " lb", "lbs", " lbs", " pounds"), ("pounds",), 2, 30),
    ),
    "length": (
        Unit("millimetre", ("mm", " mm", " millimetres"), ("millimetres", "millimeters"), 2, 400),
        Unit("centimetre", ("cm", " cm", "cms", " centimetres"), ("centimetres", "centimeters"), 2, 60),
        Unit("inch", ('"', "″", " inch", " inches"), ("inches",), 2, 20, article="an"),
    ),
    "plato": (
        Unit(
            "degree_plato",
            (" plato", " °P", "°P", " brix", "°Bx", " °Bx", " Brix"),
            ("plato", "degrees plato", "brix", "degrees brix"),
            2,
            30,
        ),
    ),
    "duration": (
        Unit("second", ("s", "sec", " secs", " seconds", " sec"), ("seconds",), 2, 90),
        Unit("minute", ("min", " mins", " minutes", "mins", " min", "m"), ("minutes", "minute"), 2, 90),
        Unit("hour", ("h", " h", "hrs", " hours", " hr", "hr"), ("hours",), 2, 23, article="an"),
        Unit("day", (" days", "d", " day"), ("days",), 2, 30),
        Unit("week", (" weeks", " wks", " week"), ("weeks",), 2, 8),
    ),
    "power": (
        Unit("watt", ("W", " W", "w", " watts", " watt"), ("watts",), 100, 3000),
        Unit("kilowatt", ("kW", " kW", "kw", " kilowatts"), ("kilowatts", "kilowatt"), 2, 5),
    ),
    "pressure": (
        Unit("bar", ("bar", " bar", " bars"), ("bar", "bars"), 2, 9),
        Unit("psi", ("psi", " psi", " PSI"), ("psi",), 2, 60),
        Unit("kilopascal", ("kPa", " kPa", " kpa"), ("kilopascals", "kilopascal"), 2, 300),
    ),
    "percent": (Unit("percent", ("%", " %", " percent", "pct"), ("percent", "per cent"), 2, 99),),
    "rate": (
        Unit(
            "litre / hour",
            (" l/h", "l/h", " l/hr", " L/h", " litres/hour", " litres per hour"),
            ("litres per hour", "litres an hour", "liters per hour"),
            2,
            9,
        ),
    ),
    "money": (
        Unit("GBP", (" quid", " GBP"), ("quid", "pounds sterling"), 2, 90),
        Unit("EUR", (" euros", "€", " €", " euro", " EUR"), ("euros", "euro"), 2, 90),
        Unit("USD", (" dollars", " USD", " bucks"), ("dollars", "bucks"), 2, 90),
    ),
}
SECONDS = {"second": 1, "minute": 60, "hour": 3600, "day": 86400, "week": 604800}


HALVED_AFTER = frozenset({"temperature", "volume", "mass", "length", "duration"})
"""Kinds of which people say "two litres and a half"."""


def words(value: float | Decimal | int) -> str:
    """A number as it is dictated: no hyphens, no commas.

    >>> words(152), words(Decimal("6.25"))
    ('one hundred and fifty two', 'six point two five')
    """
    return str(num2words(value)).replace("-", " ").replace(",", "")


def _short_hundreds(value: int) -> str:
    """ "one fifty two" and "one oh five", as a temperature is said.

    >>> _short_hundreds(152), _short_hundreds(205)
    ('one fifty two', 'two oh five')
    """
    hundreds, rest = divmod(value, 100)
    return f"{words(hundreds)} {'oh ' if rest < 10 else ''}{words(rest)}"


Written = tuple[str, float, bool]
"""The number as text, its value, and whether the spoken spellings of the unit follow."""


def _whole(unit: Unit) -> st.SearchStrategy[int]:
    return st.integers(unit.lowest, unit.highest)


def _decimals(unit: Unit, places: int) -> st.SearchStrategy[Decimal]:
    scale = 10**places
    return st.integers(unit.lowest * scale, unit.highest * scale).map(lambda n: Decimal(n) / scale)


def _fraction(tails: dict[str, float], in_words: bool) -> Callable[[Unit], st.SearchStrategy[Written]]:
    def build(unit: Unit) -> st.SearchStrategy[Written]:
        # "two hundred and a quarter" and "two hundred and three quarters" are two numbers in one to any ear.
        whole = _whole(unit).filter(lambda n: n % 100 != 0)
        return st.tuples(whole, st.sampled_from(sorted(tails))).map(
            lambda pair: (
                (words(pair[0]) if in_words else str(pair[0])) + pair[1],
                pair[0] + tails[pair[1]],
                in_words,
            )
        )

    return build


STYLES: dict[str, Callable[[Unit], st.SearchStrategy[Written]]] = {
    "digits": lambda u: _whole(u).map(lambda n: (str(n), float(n), False)),
    "decimal point": lambda u: (_decimals(u, 1) | _decimals(u, 2)).map(lambda d: (str(d), float(d), False)),
    "decimal comma": lambda u: (_decimals(u, 1) | _decimals(u, 2)).map(
        lambda d: (str(d).replace(".", ","), float(d), False)
    ),
    "words": lambda u: _whole(u).map(lambda n: (words(n), float(n), True)),
    "hyphened words": lambda u: _whole(u).map(lambda n: (str(num2words(n)).replace(",", ""), float(n), True)),
    "words without and": lambda u: _whole(u).map(lambda n: (words(n).replace(" and ", " "), float(n), True)),
    "decimals in words": lambda u: (_decimals(u, 1) | _decimals(u, 2)).map(lambda d: (words(d), float(d), True)),
    "halves and quarters": _fraction({" and a half": 0.5, " and a quarter": 0.25, " and three quarters": 0.75}, True),
    "digits and a half": _fraction({" and a half": 0.5, " and a quarter": 0.25}, False),
    "written fractions": _fraction({" 1/2": 0.5, " 1/4": 0.25, " 3/4": 0.75}, False),
    "fraction signs": _fraction({"½": 0.5, "¼": 0.25, "¾": 0.75, " ½": 0.5}, False),
    "half after the unit": lambda u: _whole(u).map(lambda n: (words(n), float(n), True)),
}


def forms(kind: str, style: str, without: frozenset[str] = frozenset(), bare: bool = False) -> st.SearchStrategy[Form]:
    """Texts of that kind in that style with what they mean; durations in seconds.

    `without` names units and spellings to leave out; `bare` leaves out the words around.
    """

    def of(unit: Unit) -> st.SearchStrategy[Form]:
        def join(parts: tuple[Written, str, str, tuple[str, str]]) -> Form:
            (number, value, in_words), written, spoken, (before, after) = parts
            apart = " " if number[-1].isalpha() and not written.startswith(" ") else ""
            text = f"{number} {spoken}" if in_words else f"{number}{apart}{written}"
            if style == "half after the unit":
                text, value = text + " and a half", value + 0.5
            unit_name = unit.name
            if unit_name in SECONDS:
                value, unit_name = value * SECONDS[unit_name], "second"
            return Form(f"{before}{text}{after}", value, unit_name, unit.system)

        return st.tuples(
            STYLES[style](unit),
            st.sampled_from([x for x in unit.written if x.strip() not in without]),
            st.sampled_from([x for x in unit.spoken if x not in without]),
            st.just(("", "")) if bare else st.sampled_from(FILLERS),
        ).map(join)

    return st.sampled_from([unit for unit in KINDS[kind] if unit.name not in without]).flatmap(of)


def parts_of_one(kind: str, without: frozenset[str] = frozenset()) -> st.SearchStrategy[Form]:
    """ "half a litre", "a quarter of a litre", "three quarters of an inch", "a litre and a half"."""
    choices = [
        Form(text, share * SECONDS.get(unit.name, 1), "second" if unit.name in SECONDS else unit.name, unit.system)
        for unit in KINDS[kind]
        if unit.name not in without and " " not in unit.spoken[0]
        for one in [unit.spoken[0].removesuffix("es" if unit.name == "inch" else "s")]
        for text, share in (
            (f"half {unit.article} {one}", 0.5),
            (f"{unit.article} quarter of {unit.article} {one}".replace("an quarter", "a quarter"), 0.25),
            (f"three quarters of {unit.article} {one}", 0.75),
            (f"{unit.article} {one} and a half", 1.5),
        )
        if not any(text.endswith(end) for end in without)
    ]
    return st.sampled_from(choices)


def eighths(without: frozenset[str] = frozenset()) -> st.SearchStrategy[Form]:
    """Inches in eighths, as on a ruler."""
    return st.tuples(
        st.integers(1, 20),
        st.sampled_from(sorted(_EIGHTHS)),
        st.booleans() if "eighths" not in without else st.just(False),
    ).map(
        lambda p: Form(
            f"{words(p[0])} and {_EIGHTHS[p[1]]} inches" if p[2] else f"{p[0]} {p[1]}/8 inches",
            p[0] + p[1] / 8,
            "inch",
            "us",
        )
    )


def pounds_and_ounces(without: frozenset[str] = frozenset()) -> st.SearchStrategy[Form]:
    """ "2 lb 3 oz", "two pounds and three ounces", in pounds."""
    every = ("{} lb {} oz", "{}lb {}oz", "{}lbs, {}oz", "{} pounds {} ounces", "{} pounds and {} ounces")
    shapes = [shape for shape in every if shape not in without]
    return st.tuples(st.integers(2, 20), st.integers(2, 15), st.sampled_from(shapes), st.booleans()).map(
        lambda p: Form(
            p[2].format(words(p[0]), words(p[1])) if p[3] and "pounds" in p[2] else p[2].format(p[0], p[1]),
            p[0] + p[1] / 16,
            "pound",
            "imperial",
        )
    )


def hours_and_minutes() -> st.SearchStrategy[Form]:
    """ "1h30", "2 hours 15 minutes", "one hour and five minutes", in seconds."""
    written = ("{}h{:02d}", "{} h {} min", "{}hr {}min", "{} hours {} minutes", "{} hours and {} mins", "{}h{}m")
    spoken = ("{} hours {} minutes", "{} hours and {} minutes")
    pair = st.tuples(st.integers(2, 12), st.integers(2, 59))
    return st.tuples(pair, st.sampled_from(written)).map(
        lambda p: Form(p[1].format(*p[0]), p[0][0] * 3600 + p[0][1] * 60, "second", "metric")
    ) | st.tuples(pair, st.sampled_from(spoken)).map(
        lambda p: Form(p[1].format(*map(words, p[0])), p[0][0] * 3600 + p[0][1] * 60, "second", "metric")
    )


def short_fahrenheit() -> st.SearchStrategy[Form]:
    """ "one fifty two Fahrenheit"."""
    return (
        st.integers(101, 212)
        .filter(lambda n: n % 100 != 0)
        .map(lambda n: Form(f"{_short_hundreds(n)} Fahrenheit", n, "degF", "us"))
    )


def money_before() -> st.SearchStrategy[Form]:
    """ "£3.50", "$12", "€4,20"."""
    signs = {"£": "GBP", "€": "EUR", "$": "USD"}
    return st.tuples(st.sampled_from(sorted(signs)), st.integers(100, 9999), st.sampled_from(".,")).map(
        lambda p: Form(
            f"{p[0]}{p[1] // 100}{p[2]}{p[1] % 100:02d}" if p[1] % 100 else f"{p[0]}{p[1] // 100}",
            p[1] / 100,
            signs[p[0]],
            "metric",
        )
    )


def gravity_texts(points: int) -> dict[str, str]:
    """Every way of saying a specific gravity of 1 + points / 1000, for 1 to 99 points.

    >>> gravity_texts(57)["tens"], gravity_texts(9)["digit by digit"]
    ('ten fifty seven', 'one oh oh nine')
    """
    ones = points % 10
    digits = [("oh" if d == "0" else words(int(d))) for d in f"{points:03d}"]
    tail = f"oh {words(ones)}" if points < 10 else words(points)
    return {
        "point": f"1.{points:03d}",
        "comma": f"1,{points:03d}",
        "whole": f"1{points:03d}",
        "digit by digit with point": "one point " + " ".join(digits),
        "zero by zero": "one point " + " ".join("zero" if d == "oh" else d for d in digits),
        "digit by digit": "one " + " ".join(digits),
        "tens": f"ten {tail}",
        "one oh tail": f"one oh {tail}" if points >= 10 else f"one oh oh {words(ones)}",
        "thousand": f"a thousand and {words(points)}",
        "one thousand": f"one thousand and {words(points)}",
        "point oh tail": f"one point oh {tail}" if points >= 10 else f"one point oh oh {words(ones)}",
    }
