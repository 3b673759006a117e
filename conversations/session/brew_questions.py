"""Questions of the brew day: bitterness as it stands, what boils off, what was recorded last, the ways on, longer or not."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from conversations.intents import Intent
from conversations.session import (
    batch_questions,
    bottles_asked,
    corrections,
    course,
    hop_additions,
    noted,
    plan,
    progress,
    readings,
    stage_clocks,
    warmth,
    wording,
)
from conversations.session.course import Way
from conversations.session.predictions import balance_word, hop_bitterness
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn

_SWEET, _BITTER = ("sweet", "malty"), ("bitter", "very bitter")
_TASTED, _PLAIN = 0.05, 0.15
"""Shares of the bitterness from which a difference is tasted at all, and plainly."""
_LOW = ("low", "cool", "cold", "little", "weak")
_OF_FIGURES = frozenset({*_LOW, "high", "hot", "warm", "much", "strong", "enough"})
ON_THE_DAY = ("drain", "top_up", "boil", "steep", "chill", "transfer", "pitch")


def _as_added(batch: Batch, hop: Hop) -> Hop:
    """An addition with the minutes that it really boils, where it is in."""
    if hop.added_at is None or batch.boil_started is None or hop.boil_minutes <= 0 or hop.dry_days or hop.first_wort:
        return hop
    gone = max(0.0, (hop.added_at - batch.boil_started).total_seconds() / 60)
    return hop.model_copy(update={"boil_minutes": max(0.0, batch.recipe.boil_minutes - gone)})


def bitterness(turn: Turn, intent: Intent) -> None:
    """ "what bitterness does that make", "will it be too bitter": by what went in so far, held against the gravity."""
    batch, kit = turn.batch, turn.state.kit
    hops = [hop for hop in batch.recipe.hops if not hop.dry_days and not hop.skipped] if batch is not None else []
    if batch is None or not batch.recipe.grains or not hops:
        turn.say('I need grain and hops first: "1.3 kg pale malt", "12 g Fuggle 5% at 60".' if batch else "No batch is open.")
        return
    each = [(hop, hop_bitterness(_as_added(batch, hop), batch.recipe, kit)) for hop in hops]
    total, original = _as_it_stands(turn, batch, sum(ibu for _, ibu in each))
    word = balance_word(total / (1000 * (original - 1))) if original > 1 else ""
    turn.say(f"{_verdict(word, str(intent.slots.get('direction', '')))}About {total:.0f} IBU at {wording.gravity(quantity(original, 'dimensionless'))}: {word}.")
    wanted = course.goal(batch, kit)
    if abs(wanted.bitterness - total) >= 1:
        turn.say(f"Planned: {wanted.bitterness:.0f} IBU at {wording.gravity(quantity(wanted.original, 'dimensionless'))}.")
    turn.say("; ".join(f"{hop_additions.shown(turn, hop)} {ibu:.0f}" for hop, ibu in each[:4]) + " IBU. Good to about a fifth.")
    turn.working = "IBU over gravity points: below 0.25 sweet, to 0.4 malty, to 0.6 balanced, to 0.9 bitter (common practice)."
    turn.last = intent


def _as_it_stands(turn: Turn, batch: Batch, planned: float) -> tuple[float, float]:
    """Bitterness and original gravity by the readings, or as planned where there are none."""
    kit = turn.state.kit
    here = course.position(batch, kit, turn.now) if batch.stage in course.ON_COURSE else None
    if here is None:
        return planned, float(plan.original_gravity(batch.recipe, kit).magnitude)
    then = course.course(batch, kit, here, turn.now, water_l=course.planned_water(batch, kit, here))
    return then.bitterness, then.original


def bitterness_if(turn: Turn, intent: Intent) -> None:
    """ "will 7 grams instead of 8 make it less bitter": the bitterness both ways; nothing is changed by asking."""
    batch, kit = turn.batch, turn.state.kit
    hops = [hop for hop in batch.recipe.hops if not hop.dry_days and not hop.skipped] if batch is not None else []
    if batch is None or not batch.recipe.grains or not hops:
        turn.say('I need grain and hops first: "1.3 kg pale malt", "12 g Fuggle 5% at 60".' if batch else "No batch is open.")
        return
    new = readings.measured(intent.slots["mass"])
    old = readings.measured(intent.slots["old"]).in_unit("gram") if "old" in intent.slots else float(intent.slots["was"]) * quantity(1, new.unit).to("gram").magnitude
    name = str(intent.slots.get("name", "")).lower()
    meant = [hop for hop in hops if abs(hop.mass.in_unit("gram") - old) <= max(0.2, hop_additions.SAME_MASS * old) and (not name or name in hop.name.lower())]
    if len(meant) != 1:
        turn.say(f"{'No hop' if not meant else 'More than one hop'} of {wording.mass(quantity(old, 'gram'), turn.state.units)} is planned: {', '.join(hop_additions.shown(turn, hop) for hop in hops[:4])}.")
        return
    planned = sum(hop_bitterness(_as_added(batch, hop), batch.recipe, kit) for hop in hops)
    before, _ = _as_it_stands(turn, batch, planned)
    own = hop_bitterness(_as_added(batch, meant[0]), batch.recipe, kit) * (before / planned if planned else 1.0)
    change = own * (new.in_unit("gram") / meant[0].mass.in_unit("gram") - 1)
    much = "Hardly" if abs(change) < max(1.0, _TASTED * before) else "Yes, a little" if abs(change) < _PLAIN * before else "Yes"
    turn.say(f"{much}: {abs(change):.1f} IBU {'less' if change < 0 else 'more'}, about {before + change:.0f} instead of {before:.0f}.")
    turn.say(f'Nothing is changed yet: say "{wording.mass(new.quantity, turn.state.units)} {meant[0].name} instead of {wording.mass(meant[0].mass.quantity, turn.state.units)}".')
    turn.working = "Each addition gives bitterness in step with its mass; how much of it is tasted differs by about a fifth."


def _verdict(word: str, direction: str) -> str:
    if direction == "high":
        return "Rather: " if word in _BITTER else "No. "
    if direction == "low":
        return "Rather sweet: " if word in _SWEET else "Yes. "
    if direction == "too low":
        return "Rather: " if word in _SWEET else "No. "
    return ""


def judge(turn: Turn, intent: Intent) -> None:
    """ "is that too low?": of what was said or measured last."""
    last, batch = turn.state.last, turn.batch
    if (turn.state.question or {}).get("intent") is not None:
        recorded(turn, intent)
        return
    words = set(intent.text.lower().strip("?. ").split())
    if turn.state.about and not words & _OF_FIGURES:
        # Of the smell or the look that was told just now.
        turn.say(*turn.state.about.splitlines())
        turn.working, turn.about = turn.state.why, turn.state.about
        return
    if "enough" in words and (told := bottles_asked.just_told(turn)):
        bottles_asked.say_whether(turn, told)
        return
    low = any(word in words for word in _LOW)
    if last is None or batch is None:
        turn.say('Is what? Send the reading with its name: "mash is at 64", "gravity 1.045".')
        return
    if last.name == "ask.bitterness":
        bitterness(turn, Intent(name="ask.bitterness", slots={"direction": "too low" if low else "high"}))
        turn.last = last
        return
    kind = readings.SLOT.get(last.name, "")
    found = next((each for each in reversed(batch.readings) if each.kind == kind), None)
    if found is None:
        turn.say('I cannot tell what is meant. Send the reading with its name: "mash is at 64", "gravity 1.045".')
        return
    turn.say(f"{readings.show(turn, kind, found.best)}:")
    before = len(turn.lines)
    if kind == "temperature":
        _judge_temperature(turn, batch, found.best)
    elif batch.stage in ("drain", "top_up") and kind in ("volume", "depth"):
        corrections.after_volume(turn, found.best)
    elif batch.stage in ("ferment", "bottle") and kind == "gravity":
        progress.after_gravity(turn, batch)
    elif batch.stage in corrections.WATCHED and not corrections.show_course(turn, batch) and batch.recipe.grains and kind != "mass":
        batch_questions.target(turn, Intent(name="ask.target", slots={"kind": "gravity" if kind == "gravity" else "volume"}))
    if len(turn.lines) == before:
        turn.lines.pop()
        turn.say(f'{readings.show(turn, kind, found.best)} is kept; there is no plan here to hold it against. "plan" shows the planned figures.')


def _judge_temperature(turn: Turn, batch: Batch, value: Quantity) -> None:
    match batch.stage:
        case "mash":
            corrections.mash(turn, value)
        case "heat":
            readings.against_strike(turn, batch, value)
        case "chill":
            readings.chill(turn, batch)
        case "ferment":
            warmth.fermenter(turn, batch, value)
        case "condition":
            warmth.bottles(turn, batch, value)


def boil_off(turn: Turn, intent: Intent) -> None:
    """ "how much is this going to boil off": the rate, and what the boil still takes."""
    batch, kit = turn.batch, turn.state.kit
    usual = kit.boil_off.in_unit("litre / hour")
    today = course.measured_boil_off(batch, kit) if batch is not None else None
    rate = today or usual
    source = "measured today" if today else "told" if "boil_off" in kit.told else "learned" if "boil_off" in kit.learned else "assumed"
    turn.working = f"{rate:.2f} l an hour ({source})."
    if batch is None:
        turn.say(f"{wording.litres(turn.state.units, rate)} an hour ({source}).")
        return
    minutes = course.boil_left(batch, turn.now)
    if batch.stage not in (*course.BEFORE_BOIL, "boil"):
        minutes = 0.0 if batch.stage in ON_THE_DAY else batch.recipe.boil_minutes
    if minutes <= 0:
        turn.say(f"{wording.litres(turn.state.units, rate)} an hour ({source}). The boil is over.")
        return
    going = "more " if batch.stage == "boil" and batch.boil_started else ""
    turn.say(f"{wording.litres(turn.state.units, rate * minutes / 60)} {going}in {wording.duration(60 * minutes)}, at {wording.litres(turn.state.units, rate)} an hour ({source}).")
    here = course.position(batch, kit, turn.now) if batch.stage in course.ON_COURSE else None
    if here is not None:
        turn.say(f"That leaves {wording.litres(turn.state.units, max(0.0, here.volume_l - rate * minutes / 60))} in the pot, counted cold.")
    else:
        turn.say(f"Planned: {wording.litres(turn.state.units, plan.litres(plan.pre_boil_volume(batch.recipe, kit)))} before it, {wording.litres(turn.state.units, plan.litres(plan.after_boil_volume(batch.recipe, kit)))} after it.")


def recorded(turn: Turn, intent: Intent) -> None:
    """ "have you got that": what was recorded last, or what still waits for a yes."""
    pending = (turn.state.question or {}).get("intent")
    if pending is not None:
        turn.say("Not yet: I asked about it. Say \"yes\" to keep it, or send it again.")
        turn.expects, turn.question = turn.state.expects, turn.state.question
        turn.offer(("yes, keep it", "yes"), ("no", "no"))
        return
    if not turn.state.undo:
        turn.say("Nothing is recorded yet.")
        return
    turn.say(f'The last thing recorded: {turn.state.undo[-1][0].rstrip(".")}. "undo" takes it back.')
    turn.offer(("undo", "undo"))


def steer(turn: Turn, intent: Intent) -> None:
    """ "should I top it up", "which one should I do": what each way leads to, and which comes nearest to the plan."""
    batch, kit = turn.batch, turn.state.kit
    if intent.slots.get("from") == "tap" and batch is not None and batch.stage in course.ON_COURSE:
        turn.say(noted.table()["from_the_tap"]["cold" if batch.stage in course.AFTER_BOIL else batch.stage])
    if batch is None or batch.stage not in course.ON_COURSE:
        water = f"{wording.litres(turn.state.units, plan.litres(plan.pre_boil_volume(batch.recipe, kit)))} are wanted before the boil: " if batch and batch.recipe.grains else ""
        turn.say(f"Not in the mash. {water}top up when the bag is out.")
        return
    here = course.position(batch, kit, turn.now) if batch.recipe.grains else None
    if here is None:
        _before_position(turn, batch, str(intent.slots.get("way", "")))
        return
    try:
        found, wanted = course.ways(batch, kit, here, turn.now), course.goal(batch, kit)
    except OutOfRange:
        turn.say("That does not work out with these readings. Send the volume and the gravity again.")
        return
    planned = course.planned_water(batch, kit, here)
    if len(found) == 1:
        turn.say(f"{'Only the planned ' + wording.litres(turn.state.units, planned) + ' of water' if planned > 0.15 else 'No need'}: heading for {corrections.ends(turn, found[0].course)}.")
        return

    def off(way: Way) -> float:
        return abs(way.course.original - wanted.original) / 0.002 + abs(way.course.volume_l - wanted.volume_l) / max(0.25, 0.04 * wanted.volume_l)

    best = min(found, key=off)
    asked = str(intent.slots.get("way", ""))
    chosen = next((way for way in found if way.kind.partition("_")[0] == asked), None)
    if asked == "water" and chosen is None and planned > 0.15:
        chosen = next(way for way in found if way.kind == "leave")
    if asked and chosen is None:
        turn.say("That would lead away from the plan.")
    elif chosen is not None:
        turn.say(f"{'Yes' if chosen is best else 'You can'}. {corrections.way_label(turn, chosen, planned)}: {corrections.ends(turn, chosen.course)}.")
    if chosen is not best:
        turn.say(f"Nearest to the plan: {_small(corrections.way_label(turn, best, planned))}, {corrections.ends(turn, best.course)}.")
    turn.say(f"Planned: {wording.litres(turn.state.units, wanted.volume_l)} at {wording.gravity(quantity(wanted.original, 'dimensionless'))}.")
    turn.offer(*(corrections.way_choice(turn, way, planned) for way in found))


def _small(words: str) -> str:
    return words[0].lower() + words[1:]


def _before_position(turn: Turn, batch: Batch, way: str) -> None:
    kit = turn.state.kit
    if batch.stage in course.BEFORE_BOIL and batch.recipe.grains:
        turn.say(f"Up to {wording.litres(turn.state.units, plan.litres(plan.pre_boil_volume(batch.recipe, kit)))} before the boil. Send the stick or volume, and a gravity, and I say how much.")
        return
    turn.say("Not yet: send the stick or volume, and a gravity, and I say what it leads to.")
    if way not in ("", "water"):
        return
    if batch.stage == "boil":
        turn.say("Water that joins a boil is boiling water, a little at a time; it makes the wort thinner.")
    elif batch.stage != "drain":
        turn.say("From now on only water that was boiled and cooled, in something sanitised.")


def may_change(turn: Turn, intent: Intent) -> None:
    """ "can I mash for 75 minutes instead", "can I boil for 70": what it does, and the words that do it."""
    batch, stage = turn.batch, str(intent.slots["stage"])
    if batch is None:
        turn.say("No batch is open.")
        return
    minutes = float(intent.slots["duration_s"]) / 60
    planned = batch.recipe.mash_minutes if stage == "mash" else batch.recipe.boil_minutes
    minutes += planned if intent.slots.get("longer") else 0.0
    began = batch.entered.get("mash") if stage == "mash" and batch.stage == "mash" else batch.boil_started if stage == "boil" and batch.stage == "boil" else None
    gone = (turn.in_seconds(0) - began).total_seconds() / 60 if began is not None else 0.0
    if minutes <= gone:
        turn.say(f"It has gone on for {gone:.0f} min already. {stage_clocks.left(turn, stage)}")
        return
    if abs(minutes - planned) < 0.5:
        turn.say(f"It is planned for {planned:.0f} min already. {stage_clocks.left(turn, stage)}")
        return
    end = f" It would end at {wording.clock(turn.in_seconds(60 * (minutes - gone)).astimezone(turn.now.tzinfo), turn.now)}." if began is not None else ""
    longer = minutes > planned
    if stage == "mash":
        effect = "A little more sugar and a slightly drier beer." if longer else "Most of the sugar is made in the first half hour; a little less comes out." if minutes >= 40 else "Short: a good part of the sugar would be missing."
    else:
        rate = turn.state.kit.boil_off.in_unit("litre / hour")
        water = wording.litres(turn.state.units, rate * abs(minutes - planned) / 60)
        effect = f"About {water} {'more' if longer else 'less'} boils off, so it ends {'stronger and a little more bitter' if longer else 'weaker and a little less bitter'}."
    turn.say(f"You can: {minutes:.0f} instead of {planned:.0f} min.{end}", effect, f'Nothing is changed yet: say "{stage} for {minutes:.0f} minutes".')
    turn.offer((f"{stage} {minutes:.0f} min", f"{stage} for {minutes:.0f} minutes"), ("leave it", f"leave it at {planned:.0f}"))


def keep(turn: Turn, intent: Intent) -> None:
    """ "no, leave it at 60": the stage stays as long, or as warm, as it is."""
    batch = turn.batch
    if batch is None:
        turn.say("All right.")
        return
    minutes = float(intent.slots["duration_s"]) / 60
    stage = "mash" if batch.stage == "mash" else "boil"
    planned = batch.recipe.mash_minutes if stage == "mash" else batch.recipe.boil_minutes
    warm = batch.recipe.mash_temperature
    if stage == "mash" and abs(minutes - warm.value) < 0.5 and abs(minutes - planned) >= 0.5:
        turn.say(f"The mash stays at {wording.temperature(warm.quantity, turn.state.units)}. Nothing is changed.")
    elif abs(minutes - planned) < 0.5:
        turn.say(f"The {stage} stays at {planned:.0f} min. {stage_clocks.left(turn, stage)}")
    else:
        turn.say(f'The {stage} is at {planned:.0f} min, and nothing is changed. "{stage} for {minutes:.0f} minutes" changes it.')
        turn.offer((f"{stage} {minutes:.0f} min", f"{stage} for {minutes:.0f} minutes"))


HANDLERS: Handlers = {
    "ask.bitterness": bitterness,
    "ask.bitterness_if": bitterness_if,
    "ask.judge": judge,
    "ask.boil_off": boil_off,
    "ask.recorded": recorded,
    "ask.steer": steer,
    "ask.may_change": may_change,
    "ask.keep": keep,
}
