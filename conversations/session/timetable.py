"""Messages about the times of the day: done by five, if I start at ten, all times, for the calendar."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Intent
from conversations.session import weeks_here, wording
from conversations.session.timeline import Step, days_after, in_quiet, rest_of, steps_from, steps_until
from conversations.session.turn import Handlers, Turn


def _at(turn: Turn, intent: Intent) -> datetime | None:
    if "at" in intent.slots:
        at = datetime.fromisoformat(str(intent.slots["at"]))
        # "tomorrow done by 5pm": the day stood before the rest.
        tomorrow = turn.now.date() + timedelta(days=1)
        return at.astimezone(turn.now.tzinfo).replace(year=tomorrow.year, month=tomorrow.month, day=tomorrow.day) if intent.slots.get("tomorrow") else at
    if "duration_s" in intent.slots:
        return turn.in_seconds(float(intent.slots["duration_s"]))
    return None


def _row(turn: Turn) -> tuple[Step, ...]:
    """The times as they stand: the rest of a day that runs, else from the start that was said, else from now."""
    batch = turn.batch
    if batch is None:
        return ()
    if batch.stage not in ("plan", "prepare"):
        return rest_of(batch, turn.state.kit, turn.now)
    start = batch.planned_start if batch.planned_start and batch.planned_start > turn.now else turn.now
    return steps_from(start, batch.recipe, turn.state.kit)


def ask(turn: Turn, intent: Intent) -> None:
    """Start from a wanted finish, finish from a start, or the times as they stand."""
    batch = turn.batch
    if batch is None:
        turn.say('I need a batch first: "brew 5 litres of ...", then the grain.')
        return
    wanted = _at(turn, intent)
    started = batch.stage not in ("plan", "prepare")
    if started:
        _running(turn, wanted if intent.name == "timeline.finish" else None)
        return
    if intent.name == "timeline.finish" and wanted is not None:
        row = steps_until(wanted, batch.recipe, turn.state.kit)
        if row[0].begins < turn.now:
            late = (turn.now - row[0].begins).total_seconds()
            row = steps_from(turn.now, batch.recipe, turn.state.kit)
            turn.say(
                f"{wording.local_clock(turn.now, wanted)} is {wording.duration(late)} too soon: starting now you are done at "
                f"{wording.local_clock(turn.now, row[-1].ends)}."
            )
        else:
            turn.say(f"Start at {wording.local_clock(turn.now, row[0].begins)} to be done at {wording.local_clock(turn.now, row[-1].ends)}.")
    else:
        row = steps_from(wanted, batch.recipe, turn.state.kit) if wanted is not None else _row(turn)
        turn.say(f"From {wording.local_clock(turn.now, row[0].begins)} you are done at {wording.local_clock(turn.now, row[-1].ends)}.")
        if intent.slots.get("length"):
            turn.say(f"{wording.duration((row[-1].ends - row[0].begins).total_seconds())} in all, with cleaning up.")
    turn.record("timeline_planned", label="times of the day", start=row[0].begins.isoformat())
    _main_points(turn, row)
    _quiet(turn, row)
    if not batch.recipe.grains:
        turn.say("No grain told yet: heating is a guess.")
    turn.offer(("all times", "all times"), ("picture", "timeline picture"), ("to my calendar", "timeline calendar"))
    at = row[0].begins.astimezone(turn.now.tzinfo)
    if at > turn.now:
        turn.offer(("remind me", f"remind me to start brewing at {at:%H:%M}"))
    turn.working = "; ".join(f"{step.name.replace('_', ' ')} {_minutes(step)} min ({step.working})" for step in row)


def _minutes(step: Step) -> int:
    return round((step.ends - step.begins).total_seconds() / 60)


def _main_points(turn: Turn, row: tuple[Step, ...], running: bool = False) -> None:
    # What has begun already is no appointment any more.
    at = {step.name: step for step in (row[1:] if running else row)}
    points = [
        (f"grain in {wording.local_clock(turn.now, at['mash'].begins)}" if "mash" in at else ""),
        (f"boil {wording.local_clock(turn.now, at['boil'].begins)} to {wording.local_clock(turn.now, at['boil'].ends)}" if "boil" in at else ""),
        (f"yeast in {wording.local_clock(turn.now, at['transfer'].ends)}" if "transfer" in at else ""),
    ]
    line = ", ".join(point for point in points if point)
    turn.say(f"{line[:1].upper()}{line[1:]}." if line else "")


def _quiet(turn: Turn, row: tuple[Step, ...]) -> None:
    state = turn.state
    loud = [step for step in row if in_quiet(step, state.zone, state.quiet_from, state.quiet_to)]
    if loud:
        names = ", ".join(step.title.partition(":")[0].lower() for step in loud[:2])
        more = f" and {len(loud) - 2} more" if len(loud) > 2 else ""
        turn.say(f"In your quiet hours ({state.quiet_from} to {state.quiet_to}): {names}{more}.")


def _running(turn: Turn, wanted: datetime | None) -> None:
    row = _row(turn)
    if not row:
        turn.say("The brewing itself is done; what is left is waiting.")
        weeks_here.checks(turn, Intent(name="ask.checks"))
        return
    end = row[-1].ends
    turn.say(f"Done at about {wording.local_clock(turn.now, end)}.")
    if wanted is not None and abs((end - wanted).total_seconds()) > 300:
        off = wording.duration(abs((end - wanted).total_seconds()))
        turn.say(f"That is {off} {'later' if end > wanted else 'earlier'} than you wanted.")
    _main_points(turn, row, running=True)
    _quiet(turn, row)
    turn.offer(("all times", "all times"))
    turn.working = "; ".join(f"{step.name.replace('_', ' ')} {_minutes(step)} min ({step.working})" for step in row)


def everything(turn: Turn, intent: Intent) -> None:
    """Every stage on its own line."""
    row = _row(turn)
    if not row:
        turn.say('No day to lay out. "brew 5 litres of ..." starts one.')
        return
    begins = row[0].begins.astimezone(turn.now.tzinfo)
    if begins.date() != turn.now.date():
        turn.say(f"{begins:%A} {begins.day} {begins:%B}:")
    for step in row:
        turn.say(f"{step.begins.astimezone(turn.now.tzinfo):%H:%M} {step.title} ({_minutes(step)} min)")
    turn.say(f"{row[-1].ends.astimezone(turn.now.tzinfo):%H:%M} done")
    turn.offer(("picture", "timeline picture"), ("to my calendar", "timeline calendar"))


def picture(turn: Turn, intent: Intent) -> None:
    """The day as a picture."""
    row = _row(turn)
    if not row:
        turn.say('No day to draw. "brew 5 litres of ..." starts one.')
        return
    alt = f"Times of the day: {wording.local_clock(turn.now, row[0].begins)} to {wording.local_clock(turn.now, row[-1].ends)}."
    turn.say(alt)
    turn.attach("timeline", alt, batch=turn.state.current, steps=packed(row))


def calendar(turn: Turn, intent: Intent) -> None:
    """The day and the dates after it for the phone's calendar."""
    row = _row(turn)
    if not row:
        turn.say('No day to put into a calendar. "brew 5 litres of ..." starts one.')
        return
    pitched = next(step.ends for step in row if step.name == "transfer")
    later = days_after(pitched, turn.state.zone, turn.state.kit)
    alt = f"Calendar file: the brew day from {wording.local_clock(turn.now, row[0].begins)}, gravities, bottling and tasting."
    turn.say(alt, "Open it on the phone to add the dates; each one rings.")
    turn.attach("calendar", alt, batch=turn.state.current, steps=packed((*row, *later)))


def packed(row: tuple[Step, ...]) -> list[list[str]]:
    """Steps as plain JSON, so that the file shows what was said even if it is made later."""
    return [[step.name, step.title, step.begins.isoformat(), step.ends.isoformat()] for step in row]


def unpacked(rows: list[list[str]]) -> tuple[Step, ...]:
    """The inverse of :func:`packed`."""
    return tuple(
        Step(name, title, datetime.fromisoformat(begins), datetime.fromisoformat(ends), "")
        for name, title, begins, ends in rows
    )


HANDLERS: Handlers = {
    "timeline": ask,
    "timeline.all": everything,
    "timeline.picture": picture,
    "timeline.calendar": calendar,
}
