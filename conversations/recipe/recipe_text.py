"""What was read in a recipe's text: amounts as written, and what is missing."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from conversations.intents import Measured


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class ReadGrain(_Part):
    """One malt, adjunct, sugar or extract: a mass, or a share of the grist in percent, or neither."""

    name: str
    mass: Measured | None = None
    share: float | None = None
    known: bool = True
    per: str = ""
    """litre or gallon while the mass is for each of them; what :func:`read_recipe` gives has none left."""


class ReadHop(_Part):
    """One hop addition; ``minutes`` is None where the text does not tell, ``days`` counts for dry hops."""

    name: str
    mass: Measured | None = None
    alpha: float | None = None
    minutes: float | None = None
    use: str = "boil"
    """boil, first_wort, steep (at or after flame-out) or dry."""
    days: float | None = None
    known: bool = True
    per: str = ""


class ReadYeast(_Part):
    """The yeast; ``kind`` is a type of calc/data/yeasts.toml."""

    name: str
    kind: str = "ale"
    mass: Measured | None = None
    per: str = ""


class RecipeText(_Part):
    """Everything that one text told."""

    name: str = ""
    volume: Measured | None = None
    unsure_gallon: bool = False
    """The volume is in gallons or pints that nobody called imperial or US."""
    grains: tuple[ReadGrain, ...] = ()
    hops: tuple[ReadHop, ...] = ()
    yeast: ReadYeast | None = None
    extras: tuple[tuple[str, Measured | None], ...] = ()
    mash_temperature: Measured | None = None
    mash_minutes: float | None = None
    rests: tuple[tuple[Measured, float | None], ...] = ()
    """All rests of the mash with their minutes, where the text has more than one; the main one is among them."""
    boil_minutes: float | None = None
    original: float | None = None
    final: float | None = None
    efficiency: float | None = None
    """Percent, as the writer of the recipe counts it."""
    refused: tuple[str, ...] = ()
    """A sentence for each amount that cannot be."""
    unread: tuple[str, ...] = ()
    """Lines with an amount of which nothing was made."""

    @property
    def ingredients(self) -> int:
        """How many ingredients were found."""
        return len(self.grains) + len(self.hops) + (self.yeast is not None)

    @property
    def amounts(self) -> int:
        """How many ingredients came with an amount."""
        grains = sum(grain.mass is not None or grain.share is not None for grain in self.grains)
        return grains + sum(hop.mass is not None for hop in self.hops)
