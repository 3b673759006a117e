"""Telling Potside the recipe, the kit and the settings."""

from __future__ import annotations

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from conversations.intents import Intent, Measured
from conversations.recipe.words import same_hop, yeast_type
from conversations.session import batch_names, day, plan, wording
from conversations.session.readings import measured
from conversations.session.state import Batch, Hop, Recipe
from conversations.session.stock_items import alpha_on_shelf
from conversations.session.turn import Handlers, Turn

LONGEST_MINUTES = 24 * 60
"""Of a mash or a boil; an overnight mash is shorter."""


def begin(turn: Turn, intent: Intent) -> None:
    """Start a new batch; the ones that are running go on."""
    name = str(intent.slots.get("name", "")).strip() or f"batch {len(turn.state.batches) + 1}"
    number = turn.number()
    turn.record("batch_started", label=f"new batch {name}", batch=number, id=number, name=name)
    if "volume" in intent.slots:
        _change(turn, volume=measured(intent.slots["volume"]))
    batch = turn.batch
    told = batch.recipe.volume if batch else None
    size = wording.volume_told(told, turn.state.units) if told else wording.volume(plan.DEFAULT_VOLUME, turn.state.units)
    assumed = "" if "volume" in intent.slots else ' (assumed; say "8 litres")'
    turn.say(f"{size}{assumed} of {name}: started.")
    namesakes = [each for each in turn.state.batches if batch and each.id != batch.id and each.name.lower() == name.lower()]
    if batch and namesakes:
        turn.say(f"You have brewed {name} before: this one is \"{batch_names.label(batch, turn.state)}\" from now on.")
    day.enter(turn, "plan")


def change(turn: Turn, recipe: Recipe, label: str = "recipe") -> Recipe:
    """Make this the recipe of the current batch."""
    turn.record("recipe_told", label=label, recipe=recipe.model_dump(mode="json"))
    return recipe


def _change(turn: Turn, **fields: object) -> Recipe:
    batch = turn.batch
    return change(turn, (batch.recipe if batch else Recipe()).model_copy(update=fields))


def recipe(turn: Turn, intent: Intent) -> None:
    """Add one line to the recipe of the current batch; starts one where there is none."""
    if turn.batch is None:
        begin(turn, Intent(name="brew.start"))
        turn.lines.clear()
    batch, slots, units = turn.batch, intent.slots, turn.state.units
    if batch is None:
        return
    old = batch.recipe
    match intent.name:
        case "recipe.volume":
            volume = measured(slots["volume"])
            _change(turn, volume=volume)
            turn.say(f"{wording.volume_told(volume, units)} batch.")
        case "recipe.grain":
            _grain(turn, old, str(slots["name"]), measured(slots["mass"]))
        case "recipe.hop":
            _hop(turn, old, intent)
        case "recipe.yeast":
            _yeast(turn, str(slots["name"]), measured(slots["mass"]) if "mass" in slots else None)
        case "recipe.mash" | "recipe.boil" if float(slots.get("duration_s", 60)) / 60 > LONGEST_MINUTES:
            turn.say("Longer than a day is no mash and no boil. Please send it again, like: boil for 60 minutes")
            return
        case "recipe.mash":
            fields: dict[str, object] = {}
            if "temperature" in slots:
                fields |= {"mash_temperature": measured(slots["temperature"]), "rests": ()}
            if "duration_s" in slots:
                fields["mash_minutes"] = float(slots["duration_s"]) / 60
            new = _change(turn, **fields)
            day.retime_mash(turn)
            turn.say(
                f"Mash {wording.temperature(new.mash_temperature.quantity, units)} for {new.mash_minutes:.0f} min."
            )
        case "recipe.boil":
            _boil(turn, batch, float(slots["duration_s"]) / 60)
    turn.offer(("next", "next"), ("undo", "undo"))


def _boil(turn: Turn, batch: Batch, minutes: float) -> None:
    began = batch.boil_started if batch.stage == "boil" else None
    gone = ((batch.paused_at or turn.now) - began).total_seconds() / 60 if began is not None else 0.0
    if minutes <= gone:
        turn.say(f'It has boiled {gone:.0f} min already. "flame out" ends it; nothing is changed.')
        return
    _change(turn, boil_minutes=minutes)
    end = turn.in_seconds(60 * (minutes - gone)).astimezone(turn.now.tzinfo)
    until = f", flame-out at {wording.clock(end, turn.now)}; the hops to come move with it" if began is not None and batch.paused_at is None else ""
    turn.say(f"Boil {minutes:.0f} min{until}.")


def _grain(turn: Turn, old: Recipe, name: str, mass: Measured) -> None:
    if not 0 < mass.in_unit("kilogram") <= 15:
        turn.say(f"{mass.value:g} {mass.unit} of grain does not fit a kitchen pot. Please send it again.")
        return
    new = change(turn, old.model_copy(update={"grains": (*old.grains, (name, mass))}), f"{wording.mass(mass.quantity, turn.state.units)} {name}")
    gravity = plan.original_gravity(new, turn.state.kit)
    turn.say(
        f"{wording.mass(mass.quantity, turn.state.units)} {name}.",
        f"Predicted original gravity {wording.gravity(gravity)}.",
    )
    turn.working = (
        f"Potential extract of the grain times {plan.EFFICIENCY:.0%} efficiency (assumed) in the batch volume."
    )


def _yeast(turn: Turn, name: str, mass: Measured | None) -> None:
    """The yeast by name; its type follows from that, and a mass told with it is what is in hand."""
    fields: dict[str, object] = {"yeast": name, "yeast_type": yeast_type(name)}
    if mass is not None and not 0 < mass.in_unit("gram") <= 1000:
        turn.say(f"{mass.value:g} {mass.unit} of yeast? Send it again, like \"11 g dry ale yeast\".")
        return
    if mass is not None:
        fields["yeast_mass"] = mass
    _change(turn, **fields)
    amount = f"{wording.mass(mass.quantity, 'metric')} " if mass is not None else ""
    turn.say(f"Yeast: {amount}{name}.")


def _hop(turn: Turn, old: Recipe, intent: Intent) -> None:
    slots = intent.slots
    # "10 g Fuggle at 60 and 5 g at 10": the second one names no hop, and means the one before it.
    name = str(slots.get("name") or (old.hops[-1].name if old.hops else ""))
    if not name:
        turn.say('Which hop is that? Send it with its name: "12 g Fuggle 5% at 60".')
        return
    name = next((each.name for each in old.hops if each.name.casefold() == name.casefold()), name)
    minutes = float(slots.get("duration_s", 3600.0)) / 60
    if slots.get("first_wort"):
        minutes = old.boil_minutes
    elif slots.get("half"):
        minutes = old.boil_minutes / 2
    if minutes > old.boil_minutes:
        turn.say(
            f'{minutes:.0f} min is longer than the {old.boil_minutes:.0f} min boil. Say "boil for {minutes:.0f} minutes" first.'
        )
        return
    percent = measured(slots["percent"]).value if "percent" in slots else None
    if percent is None:
        # One packet serves all additions of a variety, as in a pasted recipe.
        percent = next((each.alpha_percent for each in reversed(old.hops) if same_hop(each.name, name)), None)
    if percent is None:
        percent = alpha_on_shelf(turn.state.stock, name, turn.now.date())
    hop = Hop(
        key=str(turn.number()),
        name=name,
        mass=measured(slots["mass"]),
        alpha_percent=percent,
        boil_minutes=minutes,
        first_wort=bool(slots.get("first_wort")),
    )
    change(turn, old.model_copy(update={"hops": (*old.hops, hop)}), f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}")
    when = "into the first wort" if hop.first_wort else f"{minutes:.0f} min before the end" if minutes else "at flame-out"
    alpha = f" {percent:g} %" if percent is not None else ""
    turn.say(f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}{alpha}, {when}.")


def mark(turn: Turn, intent: Intent) -> None:
    """A mark of the stick told with its volume: "2 litres is 6.3 cm"."""
    _mark(turn, measured(intent.slots["depth"]), measured(intent.slots["volume"]))


def _mark(turn: Turn, depth: Measured, volume: Measured) -> None:
    old = turn.state.kit
    others = [mark for mark in old.marks if mark[0].in_unit("millimetre") != depth.in_unit("millimetre")]
    marks = sorted([*others, (depth, volume)], key=lambda mark: mark[0].in_unit("millimetre"))
    volumes = [mark[1].in_unit("litre") for mark in marks]
    if volumes != sorted(set(volumes)):
        turn.say("A higher mark must hold more. Please measure that mark again; the others are kept.")
        return
    new = old.model_copy(update={"marks": tuple(marks), "told": tuple(sorted({*old.told, "marks"}))})
    turn.record("kit_told", label="stick mark", kit=new.model_dump(mode="json"))
    units = turn.state.units
    turn.say(f"Mark {len(marks)}: {wording.volume(volume.quantity, units)} at {wording.depth(depth.quantity, units)}.")
    if len(marks) == 1:
        turn.say("One more mark and I use them instead of the pot's diameter.")


def settings(turn: Turn, intent: Intent) -> None:
    """Units and time zone."""
    if intent.name == "settings.units":
        system = str(intent.slots["system"])
        if system == "fahrenheit":
            turn.say("Fahrenheit comes with gallons: imperial or US ones?")
            turn.offer(("imperial", "use imperial units"), ("US", "use US units"))
            return
        turn.record("settings_told", label="units", units=system)
        turn.say(f"Units: {'US' if system == 'us' else system}.")
        return
    if intent.name == "settings.clock":
        hours = round(float(intent.slots["duration_s"]) / 3600)
        if hours not in (12, 24):
            turn.say("A clock of 12 or of 24 hours?")
            turn.offer(("12", "use a 12 hour clock"), ("24", "use a 24 hour clock"))
            return
        turn.record("settings_told", label="clock", hours=hours)
        turn.say(f"Times are shown like {wording.clock(turn.now, turn.now)} from now on.")
        return
    zone = str(intent.slots["zone"])
    try:
        ZoneInfo(zone)
    # A zone is looked up as a file, so that a very long name is an error of the file system.
    except (ZoneInfoNotFoundError, ValueError, OSError):
        turn.say(f"I do not know the zone {zone[:40]}. Write it like Europe/Lisbon.")
        return
    turn.record("settings_told", label="time zone", zone=zone)
    turn.say(f"Time zone: {zone}.")


HANDLERS: Handlers = {"brew.start": begin, "kit.mark": mark, "settings": settings}
