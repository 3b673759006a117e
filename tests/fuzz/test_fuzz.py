"""Small attacks of every run; `python -m tests.fuzz --inputs 200000 TARGET` makes large ones."""

from __future__ import annotations

import os

import pytest

from tests.fuzz.measuring import GROWTH_MB, attack, generator
from tests.fuzz.targets import TARGETS

INPUTS = int(os.environ.get("POTSIDE_FUZZ", "150"))


@pytest.mark.parametrize("target", TARGETS)
def test_made_up_inputs_are_read_soon_and_break_nothing(target: str) -> None:
    found = attack(target, INPUTS, seed=0)
    assert found.inputs == INPUTS
    assert found.crashes == []
    assert found.slow == []
    assert found.growth_mb <= GROWTH_MB


@pytest.mark.parametrize("target", TARGETS)
def test_the_same_number_makes_the_same_input(target: str) -> None:
    first, again, other = (TARGETS[target].make(generator(target, 5, number)) for number in (8, 8, 9))
    assert first == again
    assert first != other


def test_a_failure_is_counted_with_the_number_that_makes_it_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def read(made: object) -> None:
        if made == TARGETS["buttons"].make(generator("buttons", 1, 7)):
            raise ValueError("no")

    broken = TARGETS["buttons"].__class__(TARGETS["buttons"].make, read)
    monkeypatch.setitem(TARGETS, "buttons", broken)
    found = attack("buttons", 10, seed=1)
    assert [number for number, _ in found.crashes] == [7]
    assert not found.good
