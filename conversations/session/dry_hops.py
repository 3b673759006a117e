"""Dry hops: asked about, told with the recipe, put into the fermenter, taken out again."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Intent, Measured
from conversations.session import hop_additions, hop_mixups, plan, wording
from conversations.session.fermentation import table
from conversations.session.judgement import Judgement, judge
from conversations.session.progress import date_words
from conversations.session.readings import measured
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn

USUAL_DAYS = 4.0
"""How long dry hops stay in where nothing was said: common practice, 3 to 5 days."""
MOST_DAYS = 21.0
_GRASSY = 7
_GENTLY = "Sanitise what touches the beer, no splashing. It may foam up when hops go in."


def told(turn: Turn, intent: Intent) -> None:
    """ "20 g Cascade dry hop for 4 days", with "on day 5" or "on Friday" where the person has a day in mind."""
    batch, slots = turn.batch, intent.slots
    if batch is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    days = float(slots.get("duration_s", USUAL_DAYS * 86400)) / 86400
    on_day = float(slots["day"]) if "day" in slots else None
    if "on" in slots:
        if batch.stage not in ("ferment", "bottle"):
            turn.say('The day is counted from pitching: "20 g Cascade dry hop on day 5". Send it so.')
            return
        on_day = _day_of(turn, batch, slots["on"])
    if not 0.25 <= days <= MOST_DAYS:
        turn.say(f"{days:g} days of dry hops? 2 to 7 is usual. Send it again: \"20 g Cascade dry hop for 4 days\".")
        return
    hop = Hop(
        key=str(turn.number()),
        name=str(slots["name"]),
        mass=measured(slots["mass"]),
        boil_minutes=0.0,
        dry_days=days,
        dry_on_day=on_day,
    )
    recipe = batch.recipe.model_copy(update={"hops": (*batch.recipe.hops, hop)})
    turn.record("recipe_told", label=f"dry hop {hop.name}", recipe=recipe.model_dump(mode="json"))
    when = f"from day {on_day:g}" if on_day is not None else "when fermentation has died down"
    assumed = "" if "duration_s" in slots else " (assumed)"
    turn.say(f"{_words(turn, hop)} dry, for {days:g} days{assumed}, {when}. I call it.")
    turn.offer(("undo", "undo"))


def _day_of(turn: Turn, batch: Batch, on: object) -> float:
    """Days from pitching to a day that was named; a length of time counts from now."""
    at = turn.now + timedelta(seconds=float(on)) if isinstance(on, int | float) else datetime.fromisoformat(str(on))
    pitched = judge(batch).pitched.astimezone(turn.now.tzinfo).date()
    return float(max(0, (at.astimezone(turn.now.tzinfo).date() - pitched).days))


def _words(turn: Turn, hop: Hop) -> str:
    return f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}"


def which(turn: Turn, intent: Intent) -> None:
    """ "dry hop 30 g": of which hop is asked, with those of the recipe as buttons; nothing is recorded."""
    shown = wording.mass(measured(intent.slots["mass"]).quantity, turn.state.units)
    now = "now" in intent.slots
    names = list(dict.fromkeys(hop.name for hop in turn.batch.recipe.hops)) if turn.batch else []
    example = f"put {shown} of Cascade in the fermenter" if now else f"{shown} Cascade dry hop"
    turn.say(f'{shown} of which hop? Nothing is recorded yet. Say it so: "{example}".')
    turn.offer(*((name, f"put {shown} of {name} in the fermenter" if now else f"{shown} {name} dry hop") for name in names[:4]))


def out(turn: Turn, intent: Intent) -> None:
    """The dry hops came out."""
    batch = turn.batch
    if batch is not None and batch.stage not in ("ferment", "bottle"):
        # "got the hops out" before the boil: out of the freezer.
        hop_additions.tell(turn, intent)
        return
    inside = [hop for hop in batch.recipe.hops if hop.dry_days and hop.added_at and not hop.out_at] if batch else []
    if batch is None or not inside:
        turn.say("No dry hops are in.")
        return
    hops = tuple(
        hop.model_copy(update={"out_at": turn.now}) if hop in inside else hop for hop in batch.recipe.hops
    )
    recipe = batch.recipe.model_copy(update={"hops": hops})
    turn.record("recipe_told", label="dry hops out", recipe=recipe.model_dump(mode="json"))
    turn.say(f"{', '.join(hop.name for hop in inside)} out at {turn.now.strftime('%H:%M')}.")
    turn.say("Take a gravity in two days: hops can wake the yeast again.")


def into(turn: Turn, intent: Intent) -> None:
    """ "hops in": the same words on the hob and at the fermenter; a dry hop needs its caution."""
    before = turn.batch
    if before is not None and before.stage in ("ferment", "bottle") and intent.slots:
        _went_in(turn, before, intent)
        return
    if not hop_mixups.asks_of_a_stranger(turn, intent):
        hop_additions.hops_in(turn, intent)
    if before is not None and before.stage == "ferment" and turn.events and turn.batch != before:
        turn.say(_GENTLY)


def _went_in(turn: Turn, batch: Batch, intent: Intent) -> None:
    """ "put 10 g of fuggle in the fermenter": the planned one that is meant is ticked off, else it is a new one."""
    name = str(intent.slots.get("name", ""))
    mass = measured(intent.slots["mass"]) if "mass" in intent.slots else None
    at = min(datetime.fromisoformat(str(intent.slots["at"])), turn.now) if "at" in intent.slots else turn.now
    waiting = [hop for hop in batch.recipe.hops if hop.dry_days and not hop.added_at and not hop.skipped]
    planned = [hop for hop in waiting if not name or _alike(name, hop.name)]
    if len(planned) > 1:
        planned = [hop for hop in planned if mass is None or hop.mass == mass] or planned
    if planned:
        hop = planned[0].model_copy(update={"added_at": at, "mass": mass or planned[0].mass})
        hops = tuple(hop if each.key == hop.key else each for each in batch.recipe.hops)
    elif mass is None or not name:
        turn.record("note", label="hops in", text=intent.text or "hops in")
        turn.say(f"Noted: {name or 'dry hops'} in. No such dry hops were planned; with an amount I count their days: \"put 10 g of {name or 'fuggle'} in the fermenter\".")
        return
    else:
        hop = Hop(key=str(turn.number()), name=name, mass=mass, dry_days=USUAL_DAYS, added_at=at)
        hops = (*batch.recipe.hops, hop)
    recipe = batch.recipe.model_copy(update={"hops": hops})
    turn.record("recipe_told", label=f"{hop.name} in", recipe=recipe.model_dump(mode="json"))
    since = wording.clock(at.astimezone(turn.now.tzinfo), turn.now)
    assumed = "" if planned else " (assumed)"
    turn.say(f"{_words(turn, hop)} in the fermenter since {since}, for {hop.dry_days:g} days{assumed}: I call them out.", _GENTLY if at == turn.now else "")
    turn.offer(("undo", "undo"))


def _alike(said: str, planned: str) -> bool:
    """Whether two names are of one hop: "fuggles" is Fuggle, "east kent goldings" is Golding."""
    first, second = ({word.rstrip("s") for word in each.lower().split()} for each in (said, planned))
    return first <= second or second <= first


def longer(turn: Turn, intent: Intent) -> None:
    """ "leave the hops in two more days"."""
    batch = turn.batch
    inside = [hop for hop in batch.recipe.hops if hop.dry_days and hop.added_at and not hop.out_at] if batch else []
    if batch is None or not inside:
        turn.say("No dry hops are in.")
        return
    more = float(intent.slots.get("duration_s", 86400)) / 86400
    days = max(hop.dry_days for hop in inside)
    # From the day that they were called for, or from today where that is past.
    gone = max((turn.now - (hop.added_at or turn.now)).total_seconds() / 86400 for hop in inside)
    until = round(max(days, gone) + more)
    if until > MOST_DAYS:
        turn.say(f"{until} days of dry hops? More than a week tastes of grass. Nothing is changed.")
        return
    hops = tuple(hop.model_copy(update={"dry_days": float(until)}) if hop in inside else hop for hop in batch.recipe.hops)
    turn.record("recipe_told", label="dry hops longer", recipe=batch.recipe.model_copy(update={"hops": hops}).model_dump(mode="json"))
    turn.say(f"{', '.join(hop.name for hop in inside)} stay in for {until} days in all. I call them out.", "More than a week tastes of grass." if until > _GRASSY else "")
    turn.offer(("undo", "undo"))


def none(turn: Turn, intent: Intent) -> None:
    """ "skip the dry hops": those that are planned and not in yet."""
    batch = turn.batch
    waiting = [hop for hop in batch.recipe.hops if hop.dry_days and not hop.added_at and not hop.skipped] if batch else []
    if batch is None or not waiting:
        turn.say("No dry hops are waiting to go in.")
        return
    hops = tuple(hop.model_copy(update={"skipped": True}) if hop in waiting else hop for hop in batch.recipe.hops)
    turn.record("recipe_told", label="no dry hops", recipe=batch.recipe.model_copy(update={"hops": hops}).model_dump(mode="json"))
    turn.say(f"No dry hops, then: {', '.join(_words(turn, hop) for hop in waiting)} left out.")
    turn.offer(("undo", "undo"))


def advise(turn: Turn, intent: Intent) -> None:
    """ "can I dry hop it with 10 g": how much that is, and whether now is the time; nothing is recorded."""
    batch = turn.batch
    if batch is None:
        return
    judged, rows = judge(batch), table("dry_hops")
    litres = float((plan.volume_now(batch) or plan.batch_volume(batch.recipe)).to("litre").magnitude)
    low, high = rows["least_g_per_l"], rows["most_g_per_l"]
    turn.say(_when(turn, batch, judged))
    if "mass" in intent.slots:
        grams = measured(intent.slots["mass"]).in_unit("gram")
        often = "little" if grams < low * litres else "much" if grams > high * litres else "usual"
        shown = wording.mass(measured(intent.slots["mass"]).quantity, turn.state.units)
        turn.say(f"{shown} in {wording.volume(plan.volume_now(batch) or plan.batch_volume(batch.recipe), turn.state.units)} is {grams / litres:.1f} g a litre: {often} ({low:g} to {high:g}).")
    else:
        some = [wording.mass(Measured(value=each * litres, unit="gram").quantity, turn.state.units) for each in (low, high)]
        turn.say(f"{low:g} to {high:g} g a litre is usual: {some[0]} to {some[1]} here, for 2 to 4 days.")
    waiting = [hop for hop in batch.recipe.hops if hop.dry_days and not hop.added_at and not hop.skipped]
    if waiting:
        turn.say(f"Planned: {', '.join(_words(turn, hop) for hop in waiting)}. \"hops in\" when they are.")
    else:
        named = f"{intent.slots.get('name', 'cascade')}"
        grams_said = wording.mass(measured(intent.slots["mass"]).quantity, turn.state.units) if "mass" in intent.slots else "10 g"
        turn.say(f'Nothing is planned yet: "{grams_said} {named} dry hop" and I call it; "put {grams_said} of {named} in the fermenter" when they are in.')
    turn.working = "Dry hops keep most aroma when the yeast is nearly done, and want days, not weeks. Common practice, no source."


def _when(turn: Turn, batch: Batch, judged: Judgement) -> str:
    inside = [hop for hop in batch.recipe.hops if hop.dry_days and hop.added_at and not hop.out_at]
    if inside:
        return f"{', '.join(_words(turn, hop) for hop in inside)} in since {date_words(inside[0].added_at or turn.now, turn.now)}."
    if judged.ready:
        return "Yes, now: the gravity is steady. Then two more gravities before bottling, as hops can wake the yeast."
    if judged.forecast is None or judged.last is None:
        return "Best when it has died down; a gravity tells. Earlier the bubbling carries the aroma off."
    done = judged.at_day(judged.forecast.finished)
    if done <= turn.now:
        return "Yes, it is about done by the curve. The gravity has to prove steady again afterwards, before bottling."
    return f"Better wait until about {date_words(done, turn.now)}, when it has died down: before, the bubbling carries the aroma off."


HANDLERS: Handlers = {"recipe.dry_hop": told, "unclear.dry_hop": which, "hops.out": out, "done.hops": into, "ask.dry_hop": advise, "weeks.hops_longer": longer, "weeks.hops_none": none}
