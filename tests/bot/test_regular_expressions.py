"""No text makes one of our regular expressions take long: each is given what it likes to eat, and then no end to it."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterable, Iterator
from functools import partial
from itertools import pairwise
from pathlib import Path
from re import _constants, _parser  # type: ignore[attr-defined]
from typing import Any

import pytest

import bot
import calc
import conversations
from tests.fuzz.pace import works

ROOT = Path(__file__).parents[2]
LIMIT = 3.0
"""Works that a pattern may take over a text (see tests/fuzz/pace.py)."""
LONGEST = 2000
"""Of a message. The texts of recipes are cut into lines first, which their fuzz measures as a whole."""


Pattern = tuple[str, int, tuple[str, ...]]
"""The expression, its flags, and the ways in which it is used."""
_WAYS = ("match", "fullmatch", "search", "sub", "split", "findall", "finditer")


def _called(page: Path) -> Iterator[tuple[str, str, tuple[ast.expr, ...]]]:
    """What is called in a module: the thing before the dot, the name behind it, and the arguments."""
    for node in ast.walk(ast.parse(page.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and isinstance(node.func.value, ast.Name):
            yield node.func.value.id, node.func.attr, tuple(node.args)


def _written() -> set[Pattern]:
    """Patterns that stand in a call of re itself, as far as they are constants."""
    found = set()
    for package in ("bot", "calc", "conversations"):
        for page in (ROOT / package).rglob("*.py"):
            for name, way, arguments in _called(page):
                if name == "re" and way in _WAYS and isinstance(arguments[0], ast.Constant) and isinstance(arguments[0].value, str):
                    found.add((arguments[0].value, 0, (way,)))
    return found


def _made() -> set[Pattern]:
    """Patterns that modules have compiled, with the ways in which their module uses them; all ways where it cannot be seen."""
    found = set()
    for package in (bot, calc, conversations):
        for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            module = importlib.import_module(each.name)
            calls = list(_called(Path(module.__file__ or "")))
            for name, value in vars(module).items():
                ways = tuple(sorted({way for called, way, _ in calls if called == name and way in _WAYS})) or ("search", "fullmatch")
                for inner in value if isinstance(value, tuple | list) else (value,):
                    for pattern in inner if isinstance(inner, tuple) else (inner,):
                        if isinstance(pattern, re.Pattern) and isinstance(pattern.pattern, str):
                            found.add((pattern.pattern, pattern.flags & ~re.UNICODE, ways))
    return found


_OF_CLASS = {"CATEGORY_DIGIT": "5", "CATEGORY_SPACE": " ", "CATEGORY_WORD": "a", "CATEGORY_NOT_SPACE": "x",
             "CATEGORY_NOT_WORD": "-", "CATEGORY_NOT_DIGIT": "q"}  # fmt: skip


def _liked(parsed: Any) -> Iterator[str]:
    """Letters that the pattern takes somewhere, in its order."""
    for operator, argument in parsed:
        if operator is _constants.LITERAL:
            yield chr(argument)
        elif operator is _constants.ANY or operator is _constants.NOT_LITERAL:
            yield "~"
        elif operator is _constants.RANGE:
            yield chr(argument[0])
        elif operator is _constants.CATEGORY:
            yield _OF_CLASS.get(str(argument), "a")
        elif operator is _constants.IN:
            yield from list(_liked(argument))[:3]
        elif operator is _constants.BRANCH:
            for branch in argument[1]:
                yield from list(_liked(branch))[:8]
        elif operator in (_constants.MAX_REPEAT, _constants.MIN_REPEAT, _constants.POSSESSIVE_REPEAT):
            yield from _liked(argument[2])
        elif operator is _constants.SUBPATTERN:
            yield from _liked(argument[3])
        elif operator in (_constants.ASSERT, _constants.ASSERT_NOT):
            yield from _liked(argument[1])


def _attacks(pattern: str, flags: int, longest: int = LONGEST) -> Iterator[str]:
    liked = list(dict.fromkeys(_liked(_parser.parse(pattern, flags & ~re.DEBUG))))[:40]
    eaten = [*liked, *(a + b for a, b in pairwise(liked)), "".join(liked), "".join(liked[:6]), " ", "a ", "5 ", "a", "5", "1."]
    for piece in dict.fromkeys(eaten):
        for start in ("", "".join(liked[:4]), "".join(liked[:9])):
            yield (start + piece * longest)[: longest - 1] + "\0"


def _use(compiled: re.Pattern[str], ways: set[str], text: str) -> None:
    for way in ways:
        getattr(compiled, way)(text)


def slow_text(pattern: str, flags: int, ways: tuple[str, ...], lengths: Iterable[int], limit: float = LIMIT) -> str:
    """The beginning of a text over which the pattern takes longer than the limit; empty where none was found."""
    compiled = re.compile(pattern, flags)
    uses = {way if way in ("match", "fullmatch") else "search" for way in ways}
    for length in lengths:
        for text in _attacks(pattern, flags, length):
            if works(partial(_use, compiled, uses, text), limit) > limit:
                return f"{length} times {text[:40]}"
    return ""


# Short ones first: what is slow over a hundred letters would not end over thousands.
@pytest.mark.parametrize("lengths", [(100,), pytest.param((100, 500, LONGEST), marks=pytest.mark.slow)])
def test_no_text_holds_up_a_regular_expression(lengths: tuple[int, ...]) -> None:
    patterns = _written() | _made()
    assert len(patterns) > 50
    slow = [(pattern, text) for pattern, flags, ways in sorted(patterns) if (text := slow_text(pattern, flags, ways, lengths))]
    assert slow == []


# Each of these doubles its time with every letter or two: what passes a tenth of a work passes three soon after.
@pytest.mark.parametrize("pattern", [r"(a+)+$", r"(\s*,\s*)*;", r"(\w+\s?)*\."])
def test_the_attacks_find_what_is_slow(pattern: str) -> None:
    assert slow_text(pattern, 0, ("search",), range(10, 60), 0.1)


@pytest.mark.parametrize("pattern", [r"a+$", r"(?:\s*+,)*+;", r"\w+\."])
def test_the_attacks_find_nothing_where_nothing_is_slow(pattern: str) -> None:
    assert not slow_text(pattern, 0, ("search",), range(10, 60), 0.1)
