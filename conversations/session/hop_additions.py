"""Hops of the boil as they go in: ticked, late, put right in time and amount, left out, and asked after."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from calc.bitterness import bitterness
from calc.errors import OutOfRange
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import plan, wording
from conversations.session.day import stage_key
from conversations.session.predictions import alpha_of
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn

SAME_MASS = 0.02
"""Share by which two masses may differ and still be one that was weighed once."""
SOON = timedelta(minutes=10)
"""An addition that is due later than this is hardly the one that was meant, when another went in before."""
_MADE_UP = 0.5
"""Share of an addition's bitterness below which more hops are no way to make up for it: they would fill the pot."""
_WORTH_WEIGHING = 0.96
"""Share of it above which nobody weighs out the crumbs that are missing."""
_TOO_EARLY = ("plan", "prepare", "heat", "mash")
"""Stages without wort that hops could be in."""
_LATE = 2.0
"""Minutes from which an addition is called late."""


def _dry(batch: Batch) -> bool:
    return batch.stage in ("ferment", "bottle")


def waiting(batch: Batch) -> list[Hop]:
    """Additions that are still to come: of the boil, or dry ones once it ferments."""
    return [hop for hop in batch.recipe.hops if not hop.added_at and not hop.skipped and bool(hop.dry_days) == _dry(batch)]


def went_in(batch: Batch) -> list[Hop]:
    """Additions that went in, the last one last."""
    inside = [(hop.added_at, number, hop) for number, hop in enumerate(batch.recipe.hops) if hop.added_at and bool(hop.dry_days) == _dry(batch)]
    return [hop for _, _, hop in sorted(inside, key=lambda each: each[:2])]


def due(batch: Batch, hop: Hop, now: datetime) -> datetime | None:
    """When an addition goes in by the clock of the boil; None while there is none, or after it."""
    if batch.boil_started is None or hop.boil_minutes <= 0 or hop.dry_days:
        return None
    # Across a clock change an hour is an hour.
    here, began = now.astimezone(UTC), batch.boil_started.astimezone(UTC)
    held = here - batch.paused_at if batch.paused_at is not None else timedelta()
    return (began + held + timedelta(minutes=batch.recipe.boil_minutes - hop.boil_minutes)).astimezone(now.tzinfo)


def _like(intent: Intent, hops: list[Hop]) -> list[Hop]:
    """Of these additions the ones that were named, by name, amount (the old one where it is told) and time; the amount may be a new one."""
    name = str(intent.slots.get("name", "")).lower().strip()
    name = "" if name in ("hop", "hops") else name.removesuffix("s")
    found = [hop for hop in hops if name and name in hop.name.lower()] or hops
    if "duration_s" in intent.slots:
        found = [hop for hop in found if abs(hop.boil_minutes - float(intent.slots["duration_s"]) / 60) < 0.5] or found
    if "mass" in intent.slots:
        mass = Measured.model_validate(intent.slots["mass"])
        found = [hop for hop in found if same_mass(hop.mass, _told_before(intent, mass) or mass)] or found
    return found


def _told_before(intent: Intent, mass: Measured) -> Measured | None:
    """The amount that a new one is said to stand for: "15 g not 12"."""
    if "old" in intent.slots:
        return Measured.model_validate(intent.slots["old"])
    return mass.model_copy(update={"value": float(intent.slots["was"])}) if "was" in intent.slots else None


def same_mass(one: Measured, other: Measured) -> bool:
    """Whether two masses are the same one, said in another way."""
    first, second = one.in_unit("gram"), other.in_unit("gram")
    return abs(first - second) <= SAME_MASS * max(first, second)


def keep(turn: Turn, batch: Batch, hop: Hop, label: str) -> None:
    """Put an addition in the place of the one with its key; one that is in or left out is not called any more."""
    hops = tuple(hop if each.key == hop.key else each for each in batch.recipe.hops)
    recipe = batch.recipe.model_copy(update={"hops": hops})
    turn.record("recipe_told", label=label, recipe=recipe.model_dump(mode="json"))
    if hop.added_at or hop.skipped:
        for key in (f"hop:{hop.key}", f"hop:{hop.key}:soon"):
            turn.drop(stage_key(batch.id, key))


def shown(turn: Turn, hop: Hop) -> str:
    """ "12.0 g Fuggle"."""
    return f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}"


def hops_in(turn: Turn, intent: Intent) -> None:
    """Hops went in: tick the addition that is meant, say what lateness changed."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is running, so there is no addition to tick.")
        return
    if batch.stage in _TOO_EARLY:
        turn.say(f"Nothing is recorded: {batch.name} is at {batch.stage}, and its hops go in once it is drained or boils.")
        return
    if intent.slots.get("start") and batch.boil_started is not None:
        intent = intent.model_copy(update={"slots": {**intent.slots, "at": batch.boil_started.isoformat()}})
    at = datetime.fromisoformat(str(intent.slots["at"])).astimezone(turn.now.tzinfo) if "at" in intent.slots else turn.now
    if batch.stage == "boil" and batch.boil_started is not None and at < batch.boil_started - SOON:
        turn.say(f"The boil began at {wording.local_clock(turn.now, batch.boil_started)}, so no hops went into it at {wording.local_clock(turn.now, at)}. Nothing is recorded.")
        return
    left, inside = waiting(batch), went_in(batch)
    if intent.slots.get("back") and not (inside and _just_told(turn, inside[-1])):
        turn.say('What was? "hops in 3 minutes ago" ticks the hops. Nothing is recorded.')
        return
    if inside and "at" in intent.slots and _is_put_right(turn, batch, intent, at):
        _at_another_time(turn, batch, _like(intent, inside)[-1], at)
        return
    if not left:
        turn.record("note", label="hops in", text="hops in")
        turn.say("Noted: hops in. The recipe has no addition left.")
        return
    hop = next_of(turn, _like(intent, left))
    if "share" in intent.slots:
        part = Measured(value=float(intent.slots["share"]) * hop.mass.value, unit=hop.mass.unit)
        rest = hop.model_copy(update={"mass": Measured(value=hop.mass.value - part.value, unit=hop.mass.unit)})
        _tick(turn, batch, hop, intent.model_copy(update={"slots": {"mass": part}}), at)
        turn.say(f'The other {shown(turn, rest)} is not in by my notes: say "add {shown(turn, rest)} at 10 minutes" if it is still to come.')
        return
    weighed = "mass" in intent.slots and any(same_mass(each.mass, Measured.model_validate(intent.slots["mass"])) for each in left)
    if inside and not weighed and not {"duration_s", "at"} & intent.slots.keys() and _hardly(turn, batch, hop):
        last = _like(intent, inside)[-1]
        told = due(batch, hop, turn.now) or turn.now
        turn.say(
            f"{shown(turn, last)} is in since {wording.local_clock(turn.now, last.added_at or turn.now)}. The next is {shown(turn, hop)}, due at {wording.local_clock(turn.now, told)}.",
            "Nothing is recorded: did that go in early?",
        )
        turn.offer((f"{shown(turn, hop)} is in", f"{shown(turn, hop)} is in"), ("leave it", "leave it"))
        return
    _tick(turn, batch, hop, intent, at)


def _just_told(turn: Turn, hop: Hop) -> bool:
    """Whether that addition is what "that was 3 minutes ago" goes back to."""
    label = turn.state.undo[-1][0] if turn.state.undo else ""
    return label.startswith(f"{hop.name} in") and hop.added_at is not None and turn.now - hop.added_at <= SOON


def _is_put_right(turn: Turn, batch: Batch, intent: Intent, at: datetime) -> bool:
    """Whether a time is told of the addition that was ticked last, and not of the next one."""
    last, left = _like(intent, went_in(batch))[-1], waiting(batch)
    following = due(batch, next_of(turn, left), turn.now) if left else None
    comes = following is not None and following - at <= SOON / 2
    near = last.added_at is not None and abs(last.added_at - at) <= SOON
    corrects = intent.slots.get("told") == ["corrects"]
    return not left or (near and (corrects or not comes)) or (corrects and not comes)


def _hardly(turn: Turn, batch: Batch, hop: Hop) -> bool:
    """Whether an addition is due so much later that it is hardly the one that went in."""
    fired = turn.state.last_fired
    called = fired is not None and fired.kind == "hop" and fired.name == hop.key
    following = due(batch, hop, turn.now) if batch.stage == "boil" else None
    return not called and following is not None and following - turn.now > SOON


def _tick(turn: Turn, batch: Batch, hop: Hop, intent: Intent, at: datetime) -> None:
    planned, fields = hop, {"added_at": at}
    mass = Measured.model_validate(intent.slots["mass"]) if "mass" in intent.slots else hop.mass
    other = not same_mass(mass, hop.mass)
    ticked = hop.model_copy(update=fields | ({"mass": mass} if other else {}))
    keep(turn, batch, ticked, f"{hop.name} in")
    instead = f", instead of {wording.mass(planned.mass.quantity, turn.state.units)}" if other else ""
    turn.say(f"{shown(turn, ticked)} in at {at.strftime('%H:%M')}{instead}.")
    turn.offer(("undo", "undo"))
    say_lateness(turn, ticked, at)


def say_lateness(turn: Turn, hop: Hop, at: datetime) -> None:
    """What an addition that went in after its time changed, and the ways on."""
    batch = turn.batch
    wanted = due(batch, hop, turn.now) if batch is not None else None
    late = (at - wanted).total_seconds() / 60 if wanted is not None else 0.0
    if late >= _LATE:
        words, extra = lateness(turn, hop, late)
        turn.say(words)
        minutes = f"{late:.0f} minutes longer"
        turn.offer((f"boil {minutes}", f"boil {minutes}"))
        if extra:
            turn.offer((f"add {extra}", f"add {extra} more {hop.name}"))
        turn.offer(("leave it", "leave it"))


def _at_another_time(turn: Turn, batch: Batch, hop: Hop, at: datetime) -> None:
    """The time of an addition that is in, put right."""
    was = wording.local_clock(turn.now, hop.added_at or turn.now)
    keep(turn, batch, hop.model_copy(update={"added_at": at}), f"{hop.name} in at {wording.local_clock(turn.now, at)}")
    turn.say(f"Put right: {shown(turn, hop)} in at {wording.local_clock(turn.now, at)}, not {was}.")
    turn.offer(("undo", "undo"))
    say_lateness(turn, hop, at)


def late(turn: Turn, intent: Intent) -> None:
    """ "the hops were 10 minutes late": the addition that is in, or was called, went in so long after its time."""
    batch = turn.batch
    if batch is None or batch.boil_started is None:
        turn.say("There is no boil yet, so no hops are late.")
        return
    by = timedelta(seconds=float(intent.slots["duration_s"]))
    intent = Intent(name=intent.name, slots={key: value for key, value in intent.slots.items() if key == "name"})
    overdue = [hop for hop in _like(intent, waiting(batch)) if (told := due(batch, hop, turn.now)) is not None and told <= turn.now]
    inside = _like(intent, went_in(batch))
    hop = overdue[0] if overdue else inside[-1] if inside else None
    wanted = due(batch, hop, turn.now) if hop is not None else None
    if hop is None or wanted is None:
        turn.say("No hops of the boil are in by my notes.", 'Say "hops in" when they are, or "hops in 10 minutes ago".')
        return
    if wanted + by > turn.now + timedelta(minutes=1):
        turn.say(f"{shown(turn, hop)} was due at {wording.local_clock(turn.now, wanted)}, which is not {wording.duration(by.total_seconds())} ago. Nothing is recorded.")
        return
    if hop.added_at is None:
        _tick(turn, batch, hop, Intent(name="done.hops"), wanted + by)
    else:
        _at_another_time(turn, batch, hop, wanted + by)


def put_in(turn: Turn, batch: Batch, mass: Measured, intent: Intent) -> None:
    """ "I only put in 10 grams": the amount of the addition that went in last, or of the one that was called."""
    inside = _like(intent, went_in(batch))
    left = waiting(batch)
    fired = turn.state.last_fired
    called = [hop for hop in left if fired is not None and fired.kind == "hop" and fired.name == hop.key]
    # "It was more like 12 g" is of what is in, and brings nothing in.
    corrects = intent.slots.get("told") == ["corrects"]
    if not corrects and (called or (left and not inside)):
        hops_in(turn, Intent(name="done.hops", slots={**intent.slots, "mass": mass}))
        return
    if not inside:
        turn.say("No hops are in by my notes yet. Nothing is recorded." if left else "No hops are in by my notes, and none are to come. Nothing is recorded.")
        return
    old = inside[-1]
    was = _told_before(intent, mass)
    if was is not None and not same_mass(old.mass, was):
        units = turn.state.units
        turn.say(f"{shown(turn, old)} is in by my notes, not {wording.mass(was.quantity, units)}. Nothing is changed: did {wording.mass(mass.quantity, units)} {old.name} go in?")
        turn.offer(("yes, put it right", f"I put in {mass.in_unit('gram'):g} g {old.name} not {old.mass.in_unit('gram'):g} g"), ("leave it", "leave it"))
        return
    hop = old.model_copy(update={"mass": mass})
    keep(turn, batch, hop, f"{shown(turn, hop)} in")
    turn.say(f"Put right: {shown(turn, hop)} went in at {wording.local_clock(turn.now, old.added_at or turn.now)}, not {wording.mass(old.mass.quantity, turn.state.units)}.")
    turn.offer(("undo", "undo"))


def skip_called(turn: Turn, batch: Batch) -> bool:
    """After a hop alarm "skip" leaves out that addition, not the rest of the boil."""
    fired = turn.state.last_fired
    if fired is None or fired.kind != "hop" or fired.batch != batch.id:
        return False
    hop = next((each for each in batch.recipe.hops if each.key == fired.name), None)
    if hop is None or hop.added_at or hop.skipped:
        return False
    _skip(turn, batch, hop)
    return True


def _skip(turn: Turn, batch: Batch, hop: Hop) -> None:
    keep(turn, batch, hop.model_copy(update={"skipped": True}), f"{hop.name} skipped")
    turn.say(f"{shown(turn, hop)} skipped.")
    turn.offer(("undo", "undo"))


def skip(turn: Turn, intent: Intent) -> None:
    """ "skip the 10 minute hops", "leave the Goldings out"."""
    batch = turn.batch
    left = waiting(batch) if batch is not None else []
    if batch is None or not left:
        turn.say("No addition is waiting, so there is none to leave out.")
        return
    found = left
    if "duration_s" in intent.slots:
        minutes = float(intent.slots["duration_s"]) / 60
        found = [hop for hop in left if abs(hop.boil_minutes - minutes) < 0.5]
    if "name" in intent.slots:
        found = [hop for hop in found if str(intent.slots["name"]).lower().removesuffix("s") in hop.name.lower()]
    if found and (which := intent.slots.get("which")):
        found = [(min if which == "last" else max)(found, key=lambda hop: hop.boil_minutes)]
    if len(found) != 1:
        turn.say(f"Which one? There is {', '.join(f'{shown(turn, hop)} {_when(turn, batch, hop)}' for hop in (found or left)[:4])}.")
        turn.offer(*((f"skip {shown(turn, hop)}", f"skip the {hop.boil_minutes:.0f} minute hops") for hop in (found or left)[:4]))
        return
    _skip(turn, batch, found[0])


def move(turn: Turn, intent: Intent) -> None:
    """ "move the last hops to 5 minutes", "last hops at flameout instead": the time of an addition that waits."""
    batch = turn.batch
    left = waiting(batch) if batch is not None else []
    if batch is None or not left:
        turn.say("No addition is waiting, so there is none to move.")
        return
    minutes = float(intent.slots["duration_s"]) / 60 if "duration_s" in intent.slots else 0.0
    if minutes > batch.recipe.boil_minutes:
        turn.say(f"The boil has {batch.recipe.boil_minutes:.0f} min. Nothing is changed.")
        return
    named = Intent(name=intent.name, slots={key: value for key, value in intent.slots.items() if key == "name"})
    hop = (max if intent.slots.get("which") == "next" else min)(_like(named, left), key=lambda each: each.boil_minutes)
    moved = hop.model_copy(update={"boil_minutes": minutes})
    keep(turn, batch, moved, f"{hop.name} at {minutes:.0f} min")
    if minutes <= 0:
        for key in (f"hop:{hop.key}", f"hop:{hop.key}:soon"):
            turn.drop(stage_key(batch.id, key))
    after = turn.batch or batch
    turn.say(f"{shown(turn, moved)} {_when(turn, after, moved)}, not at {hop.boil_minutes:.0f} min.")
    turn.offer(("undo", "undo"))


def _when(turn: Turn, batch: Batch, hop: Hop) -> str:
    """When an addition goes in, as it stands now."""
    if hop.dry_days:
        return "dry, in the fermenter"
    if hop.first_wort:
        return "into the first wort"
    if hop.boil_minutes <= 0:
        return "at flame-out"
    told = due(batch, hop, turn.now) if batch.stage == "boil" else None
    if told is None:
        whole = batch.recipe.boil_minutes - hop.boil_minutes < 0.5
        return "when the boil begins" if whole else f"{hop.boil_minutes:.0f} min before the end of the boil"
    if told <= turn.now:
        return f'due since {wording.local_clock(turn.now, told)}: say "hops in"'
    return f"in {wording.duration((told - turn.now).total_seconds())}, at {wording.local_clock(turn.now, told)}"


def tell(turn: Turn, intent: Intent) -> None:
    """ "when do the hops go in", "did I add the hops": the next one, or what is in."""
    batch = turn.batch
    hops = [hop for hop in batch.recipe.hops if bool(hop.dry_days) == _dry(batch)] if batch else []
    if batch is None or not hops:
        turn.say("No hops are planned." if batch else "No batch is open.", 'A hop is told like "12 g Fuggle 5% at 60".')
        return
    inside = [f"{shown(turn, hop)} at {wording.local_clock(turn.now, hop.added_at)}" for hop in went_in(batch) if hop.added_at]
    left = sorted(waiting(batch), key=lambda hop: -hop.boil_minutes)
    went = f"In: {', '.join(inside)}." if inside else "None are in by my notes."
    following = "; ".join(f"{shown(turn, hop)} {_when(turn, batch, hop)}" for hop in left[:3])
    comes = f"Next: {following}." if left else "None are left to go in."
    asked_in = intent.slots.get("of") == "in"
    turn.say(*((went, comes) if asked_in else (comes, went if inside else "")))


def next_of(turn: Turn, hops: list[Hop]) -> Hop:
    """The addition that was just called, else after flame-out the last one, else the next one."""
    fired = turn.state.last_fired
    called = [hop for hop in hops if fired is not None and fired.kind == "hop" and fired.name == hop.key]
    if called:
        return called[0]
    steeping = turn.batch is not None and turn.batch.stage in ("steep", "chill")
    return (min if steeping else max)(hops, key=lambda hop: hop.boil_minutes)


def lateness(turn: Turn, hop: Hop, late_minutes: float) -> tuple[str, str]:
    """What an addition that is late does to bitterness and what repairs it; and the weight of more hops that does."""
    batch = turn.batch
    if batch is None:
        return "", ""
    volume = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
    gravity = plan.gravity_now(batch)
    if gravity is None:
        gravity = plan.gravity_at(volume, batch.recipe, turn.state.kit) if batch.recipe.grains else quantity(1.045, "dimensionless")
    alpha = alpha_of(hop)
    left = max(0.0, hop.boil_minutes - late_minutes)
    try:
        # By the same table as every bitterness that is told, so that "how bitter" says the same afterwards.
        planned, now = (
            float(bitterness(hop.mass.quantity, quantity(alpha, "percent"), quantity(minutes, "minute"), gravity, volume).to("IBU").magnitude)
            for minutes in (hop.boil_minutes, left)
        )
    except OutOfRange:
        return f"{late_minutes:.0f} min late.", ""
    lost = 100 * (1 - now / planned) if planned else 0
    turn.working = (
        f"{left:.0f} instead of {hop.boil_minutes:.0f} min in the boil at {wording.gravity(gravity)} and {alpha:g} % alpha"
        f"{'' if hop.alpha_percent else ' (assumed)'}: {now:.0f} instead of {planned:.0f} IBU."
    )
    extra = wording.mass(hop.mass.quantity * (planned / now - 1), turn.state.units) if _MADE_UP * planned < now < _WORTH_WEIGHING * planned else ""
    more = f", or add {extra} more" if extra else ""
    return f"{late_minutes:.0f} min late: about {lost:.0f} % less bitter. Boil {late_minutes:.0f} min longer{more}, or leave it.", extra


HANDLERS: Handlers = {"done.hops_late": late, "hops.skip": skip, "hops.move": move, "ask.hops": tell}
