"""A whole recipe in one message: shown as understood, scaled to the batch that is wanted, missing pieces asked once."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from calc.errors import OutOfRange
from calc.hops import usual_alpha
from calc.units import quantity
from conversations.intents import Intent, Measured, Understanding, UnitSystem
from conversations.recipe.demo import demo_recipes, find_demo
from conversations.recipe.limits import MOST_LETTERS, MOST_LINES
from conversations.recipe.reader import TooLong, read_recipe
from conversations.recipe.recipe_text import RecipeText
from conversations.recipe.words import known_grain
from conversations.session import fit, plan, recipe_joined, rests, rests_of_beer, telling, wording
from conversations.session.kit import use_kit
from conversations.session.predictions import grain_for_gravity
from conversations.session.readings import measured
from conversations.session.recipe_amounts import ask_alike, made_already
from conversations.session.recipe_scaling import for_efficiency, to_volume
from conversations.session.state import Batch, Hop, Recipe
from conversations.session.stock_items import alpha_on_shelf
from conversations.session.turn import Handlers, Turn

USUAL_GRAVITY = 1.045
"""Taken for shares of a grist without a gravity: common practice, and said."""
_ANNOUNCED = re.compile(r"^\s*(?:new |the |my |here is the |here's the )?recipe\s*(?:is\s*)?[:\-–\n]", re.IGNORECASE)
_WITH_SIZE = re.compile(r"^\s*(?:new |the |my |here is the |here's the |here's a |a )?recipe\s+(?:for|makes|of)\s+[^\n:?]{1,40}:", re.IGNORECASE)
"""The same with its size in front of the colon, which stays to be read."""
_OTHERWISE = re.compile(
    r"^\s*(?:note|bought|buy|buying|used|use|got|have|i have|i've|we have|left|remind|add|added|price|paid|shopping|stock)\b",
    re.IGNORECASE,
)
"""A message that begins so is about the stock, the diary or the day, whatever it lists."""
_ASKED = re.compile(r"^\W*(?:(?:so|and|ok|okay|hi|hey|hello)\W+)*(?:what|how (?:much|many)|which)\b[^\d\n]{0,40}\b(?:brew|make|get|do)\b", re.IGNORECASE)
""" "What can I make with 2 kg pale malt, 100 g crystal and 20 g Fuggle"."""
_PLANNING = ("plan", "prepare")
_MOST_SHOWN = 12


def is_recipe(text: str, turn: Turn) -> bool:
    """Whether a message is a recipe and nothing else: announced, or several ingredients with amounts."""
    if _ANNOUNCED.match(text) or _WITH_SIZE.match(text):
        return True
    if _OTHERWISE.match(text) or _ASKED.match(text) or "?" in text.partition("\n")[0]:
        return False
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) < 2 and len(re.findall(r"[,;]| and | / ", text)) < 2 and len(text) < 60:
        return False
    if len(text) > MOST_LETTERS or len(lines) > MOST_LINES:
        return len(lines) > 8
    planning = turn.batch is None or turn.batch.stage in _PLANNING
    if len(lines) < 2 and not planning:
        return False
    try:
        amounts = read_recipe(text, turn.state.units).amounts
    except TooLong:
        # One line, cut at its semicolons.
        return False
    return amounts >= 3 or (amounts == 2 and planning and len(lines) >= 2)


def paste(turn: Turn, intent: Intent) -> None:
    """Read a recipe into the batch that is planned, or into a new one."""
    text = str(intent.slots.get("text", ""))
    body = _ANNOUNCED.sub("", text, count=1).strip() or text
    body, cut = recipe_joined.readable(body)
    read = read_recipe(body, turn.state.units)
    if read.ingredients == 0:
        turn.say(
            *read.refused[:2],
            'No malt, hop or yeast with an amount was readable. A line is like "1.2 kg pale malt" or "12 g Fuggle 5% at 60".',
            cut,
        )
        return
    further = _ANNOUNCED.match(text) is None and turn.batch is not None and turn.batch.stage in _PLANNING
    keep(turn, read, further=further and recipe_joined.goes_on(read, turn.batch.recipe if turn.batch else Recipe()))
    rests_of_beer.of_a_recipe(turn, body)
    turn.say(cut)


def keep(turn: Turn, read: RecipeText, wanted: Measured | None = None, *, further: bool = False) -> None:
    """Store what was read, scaled to the size that is wanted or joined to what is there, and say what it is."""
    batch = turn.batch
    if batch is None or batch.stage not in _PLANNING:
        said = list(turn.lines)
        telling.begin(turn, Intent(name="brew.start", slots={"name": read.name}))
        turn.lines[:] = said
        batch = turn.batch
    if batch is None:
        return
    old = batch.recipe
    if (wanted is None and old.volume is not None and not old.grains and not old.hops) or (
        wanted is None and old.volume is not None and read.volume is None
    ):
        wanted = old.volume
    notes: list[str] = []
    recipe = _recipe(turn, read, old, wanted, notes)
    if further:
        recipe = recipe_joined.joined(old, recipe, read)
        notes.insert(0, 'Joined to what was there. Another recipe instead? Send it after "recipe:".')
    elif read.volume is None and recipe.volume is not None and read.amounts:
        notes.append(f"No size given: taken as written for {wording.volume(recipe.volume.quantity, turn.state.units)}.")
    if read.name and (batch.name.startswith("batch ") or (old.grains and batch.name == old.name)):
        turn.record("renamed", label="recipe", name=read.name)
    telling.change(turn, recipe)
    _show(turn, read, recipe, notes)


def _recipe(turn: Turn, read: RecipeText, old: Recipe, wanted: Measured | None, notes: list[str]) -> Recipe:
    kit = turn.state.kit
    hops = tuple(
        Hop(
            key=str(turn.number()),
            name=hop.name,
            mass=hop.mass,
            alpha_percent=hop.alpha if hop.alpha is not None else alpha_on_shelf(turn.state.stock, hop.name, turn.now.date()),
            boil_minutes=0.0 if hop.use in ("steep", "dry") else (60.0 if hop.minutes is None else hop.minutes),
            first_wort=hop.use == "first_wort",
            dry_days=(hop.days or 4.0) if hop.use == "dry" else 0.0,
        )
        for hop in read.hops
        if hop.mass is not None
    )
    longest = max((hop.boil_minutes for hop in hops), default=0.0)
    fields: dict[str, object] = {
        "name": read.name or old.name,
        "volume": read.volume or wanted or old.volume,
        "grains": tuple((grain.name, grain.mass) for grain in read.grains if grain.mass is not None),
        "hops": hops,
        "boil_minutes": max(read.boil_minutes or 60.0, longest),
        "original_gravity": read.original,
        "extras": (),
        "also": read.extras,
        "rinse_water": None,
        "late_water": None,
    }
    if read.mash_temperature is not None:
        fields["mash_temperature"] = read.mash_temperature
    if read.mash_minutes is not None:
        fields["mash_minutes"] = read.mash_minutes
    fields["rests"] = rests.read_rests(read, read.mash_minutes or old.mash_minutes)
    if read.yeast is not None:
        fields |= {"yeast": read.yeast.name, "yeast_type": read.yeast.kind, "yeast_mass": read.yeast.mass}
    recipe = old.model_copy(update=fields)
    recipe = _from_shares(turn, read, recipe, notes)
    if wanted is not None and read.volume is not None:
        was, now = read.volume.in_unit("litre"), wanted.in_unit("litre")
        if abs(was - now) > 0.02 * now and recipe.grains:
            units = turn.state.units
            recipe = to_volume(recipe, wanted, kit)
            notes.append(
                f"Scaled from {wording.volume(read.volume.quantity, units)} to {wording.volume(wanted.quantity, units)}."
            )
            return recipe
    recipe, factor = for_efficiency(recipe, kit)
    if factor != 1.0:
        notes.append(f"Grain times {factor:.2f}, for its {recipe.original_gravity:.3f} at {plan.efficiency(turn.state.kit):.0%} here.")
    return recipe


def _from_shares(turn: Turn, read: RecipeText, recipe: Recipe, notes: list[str]) -> Recipe:
    """Masses for a grist in percent: as much as the gravity needs."""
    shares = [grain for grain in read.grains if grain.mass is None and grain.share is not None]
    if not shares or recipe.grains or recipe.volume is None:
        return recipe
    grist = recipe.model_copy(
        update={"grains": tuple((g.name, Measured(value=(g.share or 0.0) / 100, unit="kilogram")) for g in shares)}
    )
    gravity = read.original or USUAL_GRAVITY
    grams = plan.litres(plan.batch_volume(recipe)) * 100.0
    grist = grist.model_copy(
        update={"grains": tuple((n, Measured(value=10 * m.value * grams, unit="gram")) for n, m in grist.grains)}
    )
    try:
        factor = grain_for_gravity(grist, turn.state.kit, quantity(gravity, "dimensionless"))
    except OutOfRange:
        return recipe
    if read.original is None:
        notes.append(f'Weights for {gravity:.3f}, which is assumed: "make it 4.5 percent" changes it.')
    grains = tuple((n, Measured(value=round(m.value * factor, 1), unit="gram")) for n, m in grist.grains)
    return recipe.model_copy(update={"grains": grains, "original_gravity": gravity})


def describe(turn: Turn, recipe: Recipe) -> tuple[str, str]:
    """The recipe in two lines: what is mashed, and hops with yeast."""
    units = turn.state.units
    grains = ", ".join(f"{wording.mass(mass.quantity, units)} {name}" for name, mass in recipe.grains[:_MOST_SHOWN])
    hops = ", ".join(_hop(hop, turn) for hop in recipe.hops[:_MOST_SHOWN])
    more = max(0, len(recipe.grains) - _MOST_SHOWN) + max(0, len(recipe.hops) - _MOST_SHOWN)
    yeast = recipe.yeast or "not named"
    if recipe.yeast_mass is not None:
        yeast += f", {wording.mass(recipe.yeast_mass.quantity, units)}"
    return grains or "no grain yet", f"Hops: {hops or 'none'}. Yeast: {yeast}." + (f" And {more} more." if more else "")


def read_back(turn: Turn, intent: Intent) -> None:
    """ "what's the recipe": everything that is kept of it."""
    if turn.batch is None:
        turn.say("No batch is running.")
        return
    tell(turn, turn.batch)


def tell(turn: Turn, batch: Batch) -> None:
    """The recipe of a batch: malts, hops and yeast, mash and boil."""
    recipe, units = batch.recipe, turn.state.units
    grains, rest = describe(turn, recipe)
    size = f", {wording.volume(recipe.volume.quantity, units)}" if recipe.volume else ""
    heat = wording.temperature(recipe.mash_temperature.quantity, units)
    mash = rests.words(recipe, units) if recipe.rests else f"{recipe.mash_minutes:.0f} min at {heat}"
    turn.say(f"{batch.name}{size}: {grains}.", rest, f"Mash {mash}; boil {recipe.boil_minutes:.0f} min.")
    turn.say(also(recipe, units))


def also(recipe: Recipe, units: UnitSystem) -> str:
    """What else the recipe wants, in a line; empty where there is nothing."""
    named = [f"{wording.mass(mass.quantity, units)} {name}" if mass is not None else name for name, mass in recipe.also]
    every = [*recipe.extras, *named]
    return f"Also: {', '.join(every[:_MOST_SHOWN])}." if every else ""


def hop_time(hop: Hop) -> str:
    """When a hop goes in, as a recipe says it."""
    if hop.first_wort:
        return "first wort"
    if hop.dry_days:
        return f"dry for {hop.dry_days:g} days"
    return f"{hop.boil_minutes:.0f} min" if hop.boil_minutes > 0 else "flame-out"


def _hop(hop: Hop, turn: Turn) -> str:
    alpha = f" {hop.alpha_percent:g} %" if hop.alpha_percent is not None else ""
    return f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}{alpha} {hop_time(hop)}"


def _show(turn: Turn, read: RecipeText, recipe: Recipe, notes: list[str]) -> None:
    units = turn.state.units
    grains, rest = describe(turn, recipe)
    size = wording.volume(recipe.volume.quantity, units) if recipe.volume else "size not told"
    turn.say(f"{recipe.name or (turn.batch.name if turn.batch else 'Recipe')}, {size}: {grains}.", rest, *notes)
    if recipe.rests:
        turn.say(f"Mash: {rests.words(recipe, units)}.")
    turn.say(also(recipe, units))
    _missing(turn, read, recipe)
    turn.say(*read.refused[:4])
    if len(read.refused) > 4:
        turn.say(f"And {len(read.refused) - 4} more amounts that cannot be.")
    if read.refused:
        turn.say("What cannot be is left out: send it again as it should be.")
    if read.unread:
        turn.say("Not read: " + ", ".join(f'"{line[:60]}"' for line in read.unread[:3]) + ".")
    if not fit.mash_fits(recipe, turn.state.kit) or not fit.boil_fits(recipe, turn.state.kit):
        turn.say('It does not fit your pot as it is: "plan" shows the ways out.')
    turn.offer(("plan", "plan"), ("water", "water"), ("undo", "undo"))


def _missing(turn: Turn, read: RecipeText, recipe: Recipe) -> None:
    """Ask for what is missing and say what is assumed; one question at a time is left open."""
    if recipe.volume is None:
        turn.say('For how many litres is it? Send "20 litres".')
        turn.expects = "recipe.size"
    elif read.unsure_gallon and read.volume is not None:
        unit = read.volume.unit.removeprefix("imperial_")
        taken, other = ("imperial", "US") if read.volume.unit != unit else ("US", "imperial")
        others = Measured(value=read.volume.value, unit=unit if other == "US" else f"imperial_{unit}")
        turn.say(
            f"Taken as {taken} {unit}s, {read.volume.in_unit('litre'):.1f} l; {other} ones would be {others.in_unit('litre'):.1f} l."
        )
        turn.offer((f"{other} {unit}s", f"the recipe is for {read.volume.value:g} {other} {unit}s"))
    recipe_joined.ask(turn, read)
    ask_alike(turn, [grain.name for grain in read.grains if grain.mass is not None and not known_grain(grain.name)])
    assumed = list(dict.fromkeys(hop.name for hop in recipe.hops if hop.alpha_percent is None and not hop.dry_days))
    if assumed:
        shown = ", ".join(f"{name} {float(usual_alpha(name).magnitude):.2g} %" for name in assumed)
        turn.say(f'Alpha acids assumed: {shown}. The packet knows better: "{assumed[0]} is 5 %".')
    shelf = {hop.name: alpha_on_shelf(turn.state.stock, hop.name, turn.now.date()) for hop in read.hops if hop.alpha is None and hop.mass is not None}
    if known := ", ".join(f"{name} {percent:g} %" for name, percent in shelf.items() if percent is not None):
        turn.say(f"Alpha acids by what is in stock: {known}.")
    untimed = [hop.name for hop in read.hops if hop.minutes is None and hop.mass is not None and hop.use == "boil"]
    if untimed:
        turn.say(f"{', '.join(untimed)}: no time given, 60 min assumed.")


def size(turn: Turn, intent: Intent) -> None:
    """The size that a recipe was written for, after it was asked: nothing is scaled."""
    batch = turn.batch
    if made_already(turn, intent):
        return
    if batch is None:
        telling.recipe(turn, Intent(name="recipe.volume", slots=intent.slots))
        return
    volume = measured(intent.slots["volume"])
    telling.change(turn, batch.recipe.model_copy(update={"volume": volume}))
    turn.say(f"The recipe is for {wording.volume(volume.quantity, turn.state.units)}.")
    turn.offer(("plan", "plan"), ("undo", "undo"))


def meant_size(turn: Turn, intent: Intent) -> Intent:
    """A bare volume while the recipe has no size yet is its size, not a reading of the pot."""
    batch = turn.batch
    planned = batch is not None and batch.stage == "plan" and batch.recipe.volume is None
    if intent.name == "reading.volume" and (planned or turn.state.expects == "recipe.size"):
        return intent.model_copy(update={"name": "recipe.size"})
    if intent.name == "reading.volume" and batch is not None and batch.stage == "plan" and _BARE_VOLUME.fullmatch(intent.text.strip()):
        return intent.model_copy(update={"name": "recipe.size_again"})
    return intent


_BARE_VOLUME = re.compile(r"(?:an?\s+|one\s+|about\s+)?[\d.,/½¼]*\s*(?:\w+\s+(?:and\s+a\s+)?)?(?:l|ml|lit(?:re|er)s?|gal(?:lon)?s?|pints?|quarts?|qts?)\.?", re.IGNORECASE)
"""A volume and no other word: while a brew is planned nothing is in the pot, so it speaks of the batch."""


def size_again(turn: Turn, intent: Intent) -> None:
    """A bare volume while the size is known: the same one is nodded at, another one is asked about."""
    batch, volume, units = turn.batch, measured(intent.slots["volume"]), turn.state.units
    if batch is None or batch.recipe.volume is None:
        return
    shown, now = wording.volume_told(volume, units), wording.volume(batch.recipe.volume.quantity, units)
    if abs(volume.in_unit("litre") - batch.recipe.volume.in_unit("litre")) <= 0.02 * volume.in_unit("litre"):
        turn.say(f"{now}: that is the size of the batch.")
        turn.offer(("plan", "plan"))
        return
    said = wording.volume(volume.quantity, units)
    turn.say(f'The batch is {now}. Make it {shown}? "make it {said}" does; nothing is changed yet.')
    turn.offer((f"make it {said}", f"make it {said}"), ("leave it", "plan"))


def begin(turn: Turn, intent: Intent) -> None:
    """ "brew the ...": one of our own recipes where it is named, else a batch of the person's own."""
    _take_kit(turn, intent.text)
    demo = find_demo(str(intent.slots.get("name", "")))
    if demo is None:
        telling.begin(turn, intent)
        return
    wanted = measured(intent.slots["volume"]) if "volume" in intent.slots else None
    said = list(turn.lines)
    telling.begin(turn, Intent(name="brew.start", slots={"name": demo.name}))
    turn.lines[:] = said
    keep(turn, read_recipe(demo.text), wanted)


def _take_kit(turn: Turn, text: str) -> None:
    """ "brew 20 litres of stout in the big pot": the kit of that name, where the person has one."""
    for other in turn.state.kits:
        if re.search(rf"\b(?:with|in|on|using) (?:the |my |our )?{re.escape(other.name)}\b", text, re.IGNORECASE):
            use_kit(turn, Intent(name="kit.use", slots={"name": other.name}))
            return


def shelf(turn: Turn, intent: Intent) -> None:
    """ "what recipes do you have"."""
    turn.say(
        "; ".join(f"{recipe.name} ({recipe.words})" for recipe in demo_recipes()) + ".",
        f'"brew the {demo_recipes()[0].name}" starts one; or paste your own after "recipe:".',
    )
    turn.offer(*((recipe.name, f"brew the {recipe.name}") for recipe in demo_recipes()))
    turn.expects = EXPECTS_SHELF


def from_shelf(turn: Turn, reading: Understanding, text: str) -> bool:
    """ "brew the second one", after our recipes were listed; False for any other message."""
    found, recipes = _OF_SHELF.fullmatch(text.strip()), demo_recipes()
    if found is None:
        return False
    place = _ORDER[found["which"].lower()]
    begin(turn, Intent(name="brew.start", slots={"name": recipes[place].name}))
    return True


EXPECTS_SHELF = "recipe.shelf"
_ORDER = {"first": 0, "second": 1, "third": 2, "fourth": 3, "fifth": 4, "last": -1}
_OF_SHELF = re.compile(
    r"(?:i(?:'ll| will| want to)? |let's )?(?:brew |make |take |have |do |start )?(?:the )?(?P<which>first|second|third|fourth|fifth|last)(?: one| recipe)?(?: please)?[.! ]*", re.IGNORECASE
)
FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {EXPECTS_SHELF: from_shelf}


HANDLERS: Handlers = {"recipe.text": paste, "recipe.size": size, "recipe.size_again": size_again, "recipe.shelf": shelf, "brew.start": begin, "ask.recipe": read_back}
