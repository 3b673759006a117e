"""Numbers: written, spoken and mixed. What is expected is plain English arithmetic."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversations.understanding.numbers import numbers_in, read_digits


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("one point oh five seven", 1.057),
        ("one point zero five", 1.05),
        ("ten fifty seven", 1057),
        ("one oh five seven", 1057),
        ("ten oh eight", 1008),
        ("a thousand and fifty", 1050),
        ("sixty seven and a half", 67.5),
        ("two and a quarter", 2.25),
        ("half", 0.5),
        ("three quarters", 0.75),
        ("a dozen", 12),
        ("two dozen", 24),
        ("three hundred", 300),
        ("one fifty two", 152),
        ("one hundred and fifty two", 152),
        ("minus two", -2),
        ("-2", -2),
        ("twenty-five", 25),
        ("twenty five point five", 25.5),
        ("1,050", 1.05),
        ("5,2", 5.2),
        ("2,500", 2500),
        ("1.050", 1.05),
        ("1 1/2", 1.5),
        ("2½", 2.5),
        ("one", 1),
        ("2 hundred", 200),
    ],
)
def test_one_number(text: str, value: float) -> None:
    assert numbers_in(text) == [(text, pytest.approx(value))]


@pytest.mark.parametrize("text", ["1.2.3", "12345678901234567890", "1,2.3,4"])
def test_figures_with_no_single_reading_are_none(text: str) -> None:
    assert read_digits(text) is None


@given(st.integers(0, 10**9))
def test_whole_numbers_are_read_as_python_reads_them(number: int) -> None:
    assert read_digits(str(number)) == float(str(number))


@given(st.integers(0, 999), st.integers(0, 99))
def test_decimal_comma_equals_decimal_point(whole: int, decimals: int) -> None:
    assert read_digits(f"{whole},{decimals:02d}") == float(f"{whole}.{decimals:02d}")


@given(st.integers(0, 9999))
def test_number_words_agree_with_text2num(number: int) -> None:
    # text2num is the outside reader here; it is asked for the same words.
    from text_to_num import text2num

    ones = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ]
    tens = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]

    def spell(n: int) -> str:
        if n < 20:
            return ones[n]
        if n < 100:
            return tens[n // 10 - 2] + (f" {ones[n % 10]}" if n % 10 else "")
        if n < 1000:
            return f"{ones[n // 100]} hundred" + (f" and {spell(n % 100)}" if n % 100 else "")
        rest = n % 1000
        return f"{ones[n // 1000]} thousand" + (f" {'and ' if rest < 100 else ''}{spell(rest)}" if rest else "")

    words = spell(number)
    assert numbers_in(words) == [(words, float(text2num(words, "en")))] == [(words, number)]
