"""Short codes: read back, and a slip of one digit or of two neighbours is noticed."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from conversations.short_code import read_code, short_code


@given(st.integers(1, 999_999_999))
def test_every_code_is_read_back(number: int) -> None:
    code = short_code(number)
    assert read_code(code) == number
    assert read_code(f" {code.lower()} ") == number
    assert not set(code) & set("IOU")


@given(st.integers(1, 99_999_999), st.data())
def test_a_wrong_digit_is_noticed(number: int, data: st.DataObject) -> None:
    code = short_code(number)
    place = data.draw(st.integers(1, len(code) - 2))
    digit = data.draw(st.sampled_from([d for d in "0123456789" if d != code[place]]))
    assert read_code(code[:place] + digit + code[place + 1 :]) is None


@given(st.integers(10, 99_999_999), st.data())
def test_swapped_digits_are_noticed(number: int, data: st.DataObject) -> None:
    code = short_code(number)
    place = data.draw(st.integers(1, len(code) - 3))
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    assert swapped == code or read_code(swapped) is None


@given(st.text(max_size=20))
def test_other_text_is_no_code_or_proves_itself(text: str) -> None:
    number = read_code(text)
    assert number is None or text.strip().upper().startswith("B")
