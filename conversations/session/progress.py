"""How a fermentation is told: after a gravity, and for "is it done", "is it stuck", "how is it going"."""

from __future__ import annotations

from datetime import datetime, timedelta

from calc.finish import LEAST_SPAN_DAYS
from conversations.intents import Intent, Measured
from conversations.session import remedies, watch, wording
from conversations.session.fermentation import pace, page, type_words
from conversations.session.judgement import (
    DIVISION,
    LEAST_APART_DAYS,
    ODD_MISFIT,
    SAME,
    Judgement,
    days_since,
    judge,
    steady_run,
)
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

TOO_WIDE_DAYS = 30.0
"""A forecast that is wider than this says no date."""


def date_words(at: datetime, now: datetime) -> str:
    """A day as it is said: "Thursday 19 November"."""
    here = at.astimezone(now.tzinfo)
    return f"{here:%A} {here.day} {here:%B}"


def short_date(at: datetime, now: datetime) -> str:
    """A day in short: "19 Nov"."""
    here = at.astimezone(now.tzinfo)
    return f"{here.day} {here:%b}"


def so_far(judged: Judgement) -> str:
    """Strength and attenuation so far, on one line; empty where the original gravity is not known."""
    if judged.alcohol_percent is None or judged.attenuation_percent is None or judged.original is None:
        return ""
    source = "" if judged.measured_original else f" (from the recipe's {wording.gravity(judged.original)})"
    return f"{judged.alcohol_percent:.1f} % alcohol, {judged.attenuation_percent:.0f} % attenuated{source}."


def forecast_line(judged: Judgement, now: datetime) -> str:
    """Where and when it will end, with ranges; empty without a forecast."""
    forecast = judged.forecast
    if forecast is None or judged.last is None:
        return ""
    low, high = wording.gravity(forecast.final_low), wording.gravity(forecast.final_high)
    ends = f"It should end at {wording.gravity(forecast.final_gravity)} ({low} to {high})"
    early, late = judged.at_day(forecast.finished_early), judged.at_day(forecast.finished_late)
    if float((forecast.finished_late - forecast.finished_early).to("day").magnitude) > TOO_WIDE_DAYS:
        return ends + "; when, another gravity will show."
    if late <= now:
        return ends + "; by the curve it is there."
    finish = judged.at_day(forecast.finished)
    if finish <= now:
        return f"{ends}, about now, by {date_words(late, now)} at the latest."
    return (
        f"{ends}, about {date_words(finish, now)} ({short_date(max(early, now), now)} to {short_date(late, now)})."
    )


def working(judged: Judgement, batch: Batch, now: datetime) -> str:
    """The readings and rules behind the judgement."""
    parts = [
        f"{short_date(each.at, now)}: {wording.gravity(each.best)}{'' if each.corrected else ' as read'}"
        for each in judged.gravities[-6:]
    ]
    stability = judged.stability
    words = "Gravities: " + ", ".join(parts) + "." if parts else "No gravity in the fermenter yet."
    if judged.original is not None:
        words = f"Original gravity {wording.gravity(judged.original)}{'' if judged.measured_original else ' by the recipe'}. {words}"
    if stability.change is not None and stability.span is not None:
        words += (
            f" Compared over {float(stability.span.to('day').magnitude):.1f} days: "
            f"{float(stability.change.magnitude):+.3f}, a division is {DIVISION:.3f}."
        )
    if stability.fall_ahead is not None:
        words += (
            f" They leave room for a fall of {float(stability.fall_ahead.magnitude):.4f} in three days; "
            "stable needs less than 0.002, and readings two days apart."
        )
    if judged.after_dry_hop:
        words += " Only gravities since the dry hops count: hops can free sugar again."
    if judged.forecast is not None:
        words += (
            f" Forecast: a growth curve through {_counted(len(judged.gravities))} with what is usual for "
            f"{type_words(judged.style)} yeast; its range holds about nine batches of ten."
        )
    return words


def _counted(number: int) -> str:
    return "1 gravity" if number == 1 else f"{number} gravities"


def verdict(judged: Judgement) -> str:
    """Stable or not, in one line that says what it rests on."""
    found = judged.stability
    span = float(found.span.to("day").magnitude) if found.span is not None else 0.0
    change = float(found.change.magnitude) if found.change is not None else 0.0
    now = wording.gravity(judged.now) if judged.now is not None else ""
    if judged.asleep:
        return f"{now}, but it stands cold: its yeast is asleep, so that it stands still proves nothing. Warm it up and read it twice. Do not bottle."
    if judged.stuck:
        return f"Stuck at {now}: it stands still well above where this yeast should take it. Do not bottle."
    if judged.ended_high:
        return (
            f"Steady at {now} for {span:.0f} days, higher than this yeast usually ends: a hot mash or extract does that. "
            "It can be bottled; strong bottles, less sugar."
        )
    if not found.stable and (run := steady_run(judged)) is not None:
        days = days_since(run.at, judged.gravities[-1].at)
        proof = run.at + timedelta(days=LEAST_SPAN_DAYS)
        if proof <= judged.gravities[-1].at:
            # Long enough, and still no proof: the two were not read alike.
            return (
                f"{now} again over {days:.1f} days, but they were not read alike: one without its sample's temperature, or by refractometer, "
                "is good to 0.002 only. One more, with its temperature, proves it. Do not bottle yet."
            )
        return (
            f"{now} again, unchanged for {days:.1f} days so far: one more that agrees, on {proof:%A} {proof.day} {proof:%B} or later, "
            "proves it. Do not bottle yet."
        )
    match found.reason:
        case "no_change":
            return f"Stable: {now}, steady over {span:.1f} days. It can be bottled."
        case "still_falling" if span < LEAST_APART_DAYS:
            hours = f"{span * 24:.0f} hours" if span * 24 >= 1.5 else "the last hour"
            return (
                f"{now} is {abs(change):.3f} lower within {hours}: two readings so near to each other tell of the sample, warm or "
                "full of gas, more than of the yeast. Do not bottle."
            )
        case "still_falling":
            return f"Still falling: {abs(change):.3f} in {span:.1f} days. Do not bottle."
        case "rising" if change <= 0:
            return "The readings of the last days go up and down: check temperature and hydrometer. Do not bottle."
        case "rising":
            return f"It reads {change:.3f} higher than {span:.1f} days before: check temperature and hydrometer. Do not bottle."
        case "no_fall_seen":
            return f"{now} is high and has not fallen. Do not bottle."
        case "within_resolution":
            return "Almost: too small a change to tell. One more gravity in a day or two tells. Do not bottle yet."
    more = " since the dry hops" if judged.after_dry_hop else ""
    return f"Not proven: two gravities two days apart{more} must agree. Do not bottle yet."


def after_gravity(turn: Turn, batch: Batch) -> None:
    """What a new gravity in the fermenter says: two lines, and the working behind them."""
    judged = judge(batch)
    again = _fell_again(judged)
    turn.say(" ".join(part for part in (so_far(judged), again or verdict(judged)) if part))
    if not judged.ready and not judged.stuck and judged.stability.reason != "no_change":
        turn.say(forecast_line(judged, turn.now))
    if judged.left_out is not None:
        odd = judged.left_out
        turn.say(f"The {wording.gravity(odd.best)} of {date_words(odd.at, turn.now)} does not lie on their curve; the forecast leaves it out.")
    elif judged.forecast is not None and judged.forecast.misfit > ODD_MISFIT:
        turn.say("The gravities do not lie on one curve: one of them may be wrong.")
    turn.working = working(judged, batch, turn.now)
    if judged.ready:
        offer_bottling(turn, batch)
    elif judged.stuck:
        turn.offer(("what can I do?", "is it stuck"))


def _fell_again(judged: Judgement) -> str:
    """A gravity that stood still and then dropped: something else is eating, or it was only cold."""
    found = judged.gravities
    if len(found) < 3 or found[-2].at - found[0].at < found[-1].at - found[-2].at:
        return ""
    last, before = (float(each.best.magnitude) for each in (found[-1], found[-2]))
    earlier = [
        each for each in found[:-2] if days_since(each.at, found[-2].at) >= 2 and abs(float(each.best.magnitude) - before) < SAME
    ]
    if earlier and before - last > 2 * DIVISION:
        return (
            f"It stood at {before:.3f} and fell again to {last:.3f}: warmed up, or wild yeast. "
            "Do not bottle; read again in two days."
        )
    return ""


def going(turn: Turn, intent: Intent) -> None:
    """ "how is it going": where it stands, where it ends, what comes next."""
    batch = fermenting(turn)
    if batch is None:
        return
    judged = judge(batch)
    day = (turn.now.date() - judged.pitched.astimezone(turn.now.tzinfo).date()).days
    if judged.last is None:
        first = round(pace(judged.style)["first_gravity"] * watch.pace_factor(batch))
        turn.say(f"Day {day}, no gravity yet. The first one tells most around day {first}.")
    else:
        turn.say(f"{wording.gravity(judged.last.best)} on {date_words(judged.last.at, turn.now)}, day {day} now.")
        turn.say(so_far(judged), forecast_line(judged, turn.now) if not judged.ready else verdict(judged))
    say_next(turn, batch)
    turn.working = working(judged, batch, turn.now)


_ALIKE = 0.0005
_JUST_READ = timedelta(hours=12)


def finished(turn: Turn, intent: Intent) -> None:
    """ "is it done": stable or not, and what is missing; of bottles, when they are ready."""
    if turn.batch is not None and turn.batch.stage == "condition" and not turn.batch.closed:
        _conditioned(turn, turn.batch)
        return
    batch = fermenting(turn)
    if batch is None:
        return
    judged = judge(batch)
    _not_kept(turn, batch, intent)
    if judged.last is None:
        turn.say("Not known: no gravity from the fermenter yet. Bubbles prove nothing.")
    else:
        turn.say(verdict(judged))
        turn.say(so_far(judged) if judged.ready or judged.stuck else forecast_line(judged, turn.now))
    if judged.stuck:
        turn.say('"is it stuck" says what helps.')
        turn.offer(("what helps?", "is it stuck"))
    elif judged.ready:
        if batch.stage != "bottle":
            turn.say('Say "next" to bottle.')
        offer_bottling(turn, batch)
    else:
        say_next(turn, batch)
    turn.working = working(judged, batch, turn.now)


def _not_kept(turn: Turn, batch: Batch, intent: Intent) -> None:
    """ "1.012 ok now?" may be a reading or only a thought: it is said that it is not kept, or its sender waits for the second one."""
    if "gravity" not in intent.slots:
        return
    asked = Measured.model_validate(intent.slots["gravity"]).quantity
    same = (each for each in batch.readings if each.kind == "gravity" and abs(each.value.value - float(asked.magnitude)) < _ALIKE)
    if any(turn.now - each.at < _JUST_READ for each in same):
        return
    shown = wording.gravity(asked)
    turn.say(f'{shown} is not noted: "gravity {shown}" keeps it, if you read it now.')
    turn.offer((f"I read {shown}", f"gravity {shown}"))


def offer_bottling(turn: Turn, batch: Batch) -> None:
    """On to the bottles; where it is being bottled already, "next" would say that it is done."""
    if batch.stage == "bottle":
        turn.say('Say "bottled" when all are filled and closed.')
        turn.offer(("checklist", "checklist"), ("how much sugar?", "how much sugar"))
    else:
        turn.offer(("bottle", "next"))


def _conditioned(turn: Turn, batch: Batch) -> None:
    ready = watch.ready_day(batch, turn.state)
    if ready is None:
        return
    left = (ready - turn.now.date()).days
    if left > 0:
        turn.say(f"In the bottle, ready about {ready:%A} {ready.day} {ready:%B}, in {left} day{'s' if left != 1 else ''}.")
        say_next(turn, batch)
    else:
        turn.say(f"In the bottle, ready since {ready:%A} {ready.day} {ready:%B}.", 'Chill one, pour it and say "tasting".')
        turn.offer(("tasting", "tasting"))


def stuck(turn: Turn, intent: Intent) -> None:
    """ "is it stuck": yes with the gentle remedies in order, or no and why."""
    batch = fermenting(turn)
    if batch is None:
        return
    judged = judge(batch)
    turn.working = working(judged, batch, turn.now)
    if judged.stuck:
        turn.say(verdict(judged))
        remedies.say_some(turn, "stuck")
        turn.say(page("remedies")["stuck_never"])
        return
    if judged.last is None:
        turn.say("Not known without a gravity. Airlocks leak and foam falls: only the hydrometer tells.")
    elif judged.ready:
        turn.say(f"No, it has finished: {wording.gravity(judged.last.best)}, steady.")
    elif judged.stability.reason == "still_falling":
        turn.say("No: it is still falling.", forecast_line(judged, turn.now))
    else:
        turn.say("Not proven: two gravities two days apart tell.", forecast_line(judged, turn.now))
    say_next(turn, batch)


def say_next(turn: Turn, batch: Batch) -> None:
    """The check that comes next, with its time."""
    following = watch.next_check(turn, batch)
    if following is not None:
        turn.say(f"{wording.clock(following.due.astimezone(turn.now.tzinfo), turn.now)}: {following.text}")


def fermenting(turn: Turn) -> Batch | None:
    """The batch that is asked about: the current one if it ferments, else the newest that does."""
    batch = turn.batch
    if batch is not None and batch.stage in ("ferment", "bottle"):
        return batch
    other = next((each for each in reversed(turn.state.batches) if each.stage in ("ferment", "bottle")), None)
    if other is None:
        turn.say('Nothing is fermenting. "where are we" says where each batch is.')
        return None
    turn.say(f"{other.name}:")
    return other


HANDLERS: Handlers = {
    "ask.fermentation": going,
    "ask.finished": finished,
    "ask.stuck": stuck,
}
