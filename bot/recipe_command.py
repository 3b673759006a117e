"""`potside recipe FILE`: a recipe's text, fitted to a kit and printed as a plan, for people and for programs."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any, TextIO

from conversations.intents import Intent, Measured
from conversations.session import fit
from conversations.session.predictions import alpha_of, bottles, colour_word, predict
from conversations.session.state import Recipe, State
from conversations.session.step import handle
from conversations.session.turn import Turn


def _turn(text: str, state: State, now: datetime, litres: float | None) -> Turn:
    """A turn in which the recipe was pasted, into a batch of that size where one is wanted."""
    turn = Turn(state.model_copy(update={"batches": (), "current": None}), now)
    if litres is not None:
        size = Measured(value=litres, unit="litre")
        handle(turn, Intent(name="brew.start", slots={"name": "recipe", "volume": size}))
        turn.lines.clear()
    handle(turn, Intent(name="recipe.text", slots={"text": text}))
    return turn


def _grams(value: Measured) -> float:
    return round(value.in_unit("gram"), 1)


def _ingredients(recipe: Recipe) -> dict[str, Any]:
    return {
        "name": recipe.name,
        "litres": round(recipe.volume.in_unit("litre"), 2) if recipe.volume else None,
        "grains": [{"name": name, "grams": _grams(mass)} for name, mass in recipe.grains],
        "hops": [
            {
                "name": hop.name,
                "grams": _grams(hop.mass),
                "alpha_percent": alpha_of(hop),
                "alpha_assumed": hop.alpha_percent is None,
                "use": "dry"
                if hop.dry_days
                else "first_wort"
                if hop.first_wort
                else "boil"
                if hop.boil_minutes
                else "steep",
                "minutes": hop.boil_minutes,
            }
            for hop in recipe.hops
        ],
        "yeast": recipe.yeast,
        "yeast_grams": _grams(recipe.yeast_mass) if recipe.yeast_mass else None,
        "mash_c": round(recipe.mash_temperature.in_unit("degC"), 1),
        "mash_minutes": recipe.mash_minutes,
        "rests": [{"celsius": round(rest.temperature.in_unit("degC"), 1), "minutes": rest.minutes} for rest in recipe.rests],
        "also": [{"name": name, "grams": _grams(mass) if mass else None} for name, mass in recipe.also],
        "boil_minutes": recipe.boil_minutes,
    }


def as_object(recipe: Recipe, state: State, lines: list[str]) -> dict[str, Any]:
    """What `--json` prints: the recipe as it will be brewed, what it gives, every volume, what was said of it."""
    found: dict[str, Any] = {"recipe": _ingredients(recipe), "said": lines}
    if recipe.grains and recipe.volume is not None:
        beer = predict(recipe, state.kit)
        found["prediction"] = {
            "pre_boil_gravity": round(float(beer.pre_boil.magnitude), 4),
            "original_gravity": round(float(beer.original.magnitude), 4),
            "final_gravity": [round(float(end.magnitude), 4) for end in (beer.final_low, beer.final, beer.final_high)],
            "alcohol_percent": [
                round(float(share.to("percent").magnitude), 2)
                for share in (beer.alcohol_low, beer.alcohol, beer.alcohol_high)
            ],
            "bitterness_ibu": round(beer.bitterness, 1),
            "colour_ebc": round(float(beer.colour.to("ebc").magnitude), 1),
            "colour": colour_word(beer.colour),
            "balance": round(beer.balance, 2),
            "half_litre_bottles": bottles(recipe),
        }
        found["litres"] = {key: round(value, 2) for key, value in fit.volumes(recipe, state.kit)._asdict().items()}
        found["fits"] = {"mash": fit.mash_fits(recipe, state.kit), "boil": fit.boil_fits(recipe, state.kit)}
    return found


def run(text: str, state: State, now: datetime, litres: float | None, as_json: bool, out: TextIO) -> int:
    """Read, fit and print; 1 where nothing of a recipe could be read."""
    turn = _turn(text, state, now, litres)
    batch = turn.batch
    read = batch is not None and bool(batch.recipe.grains or batch.recipe.hops or batch.recipe.yeast)
    recipe = batch.recipe if batch is not None else Recipe()
    understood = list(turn.lines)
    if read and recipe.grains and recipe.volume is not None:
        for name in ("ask.plan", "ask.water"):
            handle(turn, Intent(name=name))
    if as_json:
        print(
            json.dumps(as_object(recipe, state, understood) if read else {"said": understood}, ensure_ascii=False),
            file=out,
        )
    else:
        print("\n".join(turn.lines), file=out)
    return 0 if read else 1
