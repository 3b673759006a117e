"""`potside recipe`: a file in, a plan out, for people and for programs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bot.main import main

RECIPES = Path(__file__).parents[2] / "fixtures" / "recipes"


def test_a_file_becomes_a_plan(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["recipe", str(RECIPES / "02_american_pounds.txt"), "--litres", "8"]) == 0
    said = capsys.readouterr().out
    assert "Scaled from 18.9 l to 8.0 l" in said
    assert "Mash water" in said


def test_json_holds_the_same_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["recipe", str(RECIPES / "02_american_pounds.txt"), "--litres", "8", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["recipe"]["litres"] == 8
    # Source: the recipe itself says 1.052 and is scaled to it.
    assert found["prediction"]["original_gravity"] == pytest.approx(1.052, abs=1e-3)
    assert found["litres"]["fermenter"] == 8
    assert [hop["use"] for hop in found["recipe"]["hops"]] == ["boil", "boil", "steep"]


def test_what_is_no_recipe_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = tmp_path / "recipe.jpg"
    picture.write_bytes(b"\xff\xd8\xff\xe0" + bytes(range(128, 256)) * 20)
    assert main(["recipe", str(picture)]) == 2
    assert "picture" in capsys.readouterr().err
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Mo, see you on Sunday.", encoding="utf-8")
    assert main(["recipe", str(letter)]) == 1
    assert "1.2 kg pale malt" in capsys.readouterr().out
    assert main(["recipe", str(tmp_path / "nowhere.txt")]) == 2
    assert main(["recipe", str(letter), "--litres", "5000"]) == 2
