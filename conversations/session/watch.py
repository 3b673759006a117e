"""The watch over the weeks: which checks a batch needs and when, made equal to its reminders after every change.

A check is worked out from the state alone, so it moves when the forecast moves and goes when it is answered.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from calc.alcohol import gravity_at_attenuation
from calc.finish import LEAST_SPAN_DAYS
from calc.units import Quantity, quantity
from calc.yeast import attenuation_range, temperature_range
from conversations.session import seasons, wording
from conversations.session.events import Reminder
from conversations.session.fermentation import pace, page, table, yeast_type
from conversations.session.hours import at_hour
from conversations.session.judgement import Judgement, judge, steady_run
from conversations.session.state import Batch, Hop, State
from conversations.session.turn import Turn

LEAST_BEFORE_FIRST_LOOK = timedelta(hours=3)
MORNING = "08:00"
WARM_REST_FROM = 0.7
"""Share of the expected fall after which yeast gains from warmth and the taste no longer suffers from it."""
MOST_REPEATS = 3
AFTER_THE_REST = timedelta(seconds=1)
"""A gravity is asked for behind what is only said at that hour, so that "in 2 hours" puts off the gravity."""
LATE_FOR = timedelta(days=3)
"""How long a check that was not said is still worth a word, where none came after it."""
CHANGES = frozenset(
    [
        "stage_entered",
        "reading",
        "reading_dropped",
        "recipe_told",
        "settings_told",
        "fired",
        "undone",
        "tasted",
        "batch_closed",
        "batch_started",
        "kit_told",
    ]
)
"""Events after which the checks are worked out anew."""


@dataclass(frozen=True)
class Check:
    """One thing to ask or say on a day; ``asks`` is the kind of reading that answers it."""

    key: str
    due: datetime
    text: str
    asks: str = ""
    answered: bool = False


def _local(at: datetime, state: State) -> datetime:
    return at.astimezone(ZoneInfo(state.zone))


def day_of(pitched: datetime, at: datetime, state: State) -> int:
    """Days between pitching and a time, as a calendar counts them."""
    return (_local(at, state).date() - _local(pitched, state).date()).days


def pace_factor(batch: Batch) -> float:
    """How much longer than usual fermentation takes at the temperatures that were sent: 2 is twice as long."""
    style = yeast_type(batch.recipe)
    sent = [float(each.best.to("degC").magnitude) for each in batch.readings if each.kind == "temperature" and each.stage == "ferment"]
    if not sent:
        return 1.0
    usual = float(temperature_range(style).usual.to("degC").magnitude)
    mean = sum(sent) / len(sent)
    return float(min(2.0, max(0.5, 2 ** ((usual - mean) / table("pace")["doubles_per_c"]))))


def _first_look(pitched: datetime, state: State) -> datetime:
    here = _local(pitched, state)
    tonight = at_hour(here.date(), state)
    if tonight.date() == here.date() and tonight - here >= LEAST_BEFORE_FIRST_LOOK:
        return tonight
    if tonight.date() == here.date() and here.hour < 19:
        # The usual hour is too soon or past, and the evening is not.
        return at_hour(here.date(), state, f"{min(23, here.hour + 3):02d}:00")
    return at_hour(here.date() + timedelta(days=1), state, MORNING)


def _temperatures(batch: Batch, judged: Judgement, state: State) -> list[Check]:
    sent = {
        day_of(judged.pitched, each.at, state)
        for each in batch.readings
        if each.kind == "temperature" and each.stage == "ferment"
    }
    checks = []
    for row in page("fermentation")["check"]:
        day = int(row["day"])
        due = (
            _first_look(judged.pitched, state)
            if day == 0
            else at_hour(_local(judged.pitched, state).date() + timedelta(days=day), state)
        )
        checks.append(Check(row["key"], due, row["text"], row["asks"], day in sent))
    return checks


def _gravity_due(batch: Batch, judged: Judgement, state: State) -> datetime:
    """When the next gravity tells most: at the forecast finish, but at least the gap after the last one."""
    rows = pace(judged.style)
    if judged.last is None:
        days = max(1, round(rows["first_gravity"] * pace_factor(batch)))
        return at_hour(_local(judged.pitched, state).date() + timedelta(days=days), state)
    last = _local(judged.last.at, state)
    if not judged.stability.stable and (run := steady_run(judged)) is not None:
        # One more that agrees proves it two days after the first of those that do, not two days after the last.
        proof = _local(run.at + timedelta(days=LEAST_SPAN_DAYS), state)
        if proof <= last:
            return at_hour(last.date() + timedelta(days=1), state)
        due = at_hour(proof.date(), state)
        return due if due >= proof else due + timedelta(days=1)
    wait = rows["gap"]
    if judged.forecast is not None and not judged.stability.stable:
        finish = judged.at_day(judged.forecast.finished)
        left = (finish - judged.last.at).total_seconds() / 86400
        wait = min(table("pace")["most_gap"], max(wait, round(left)))
    due = at_hour(last.date() + timedelta(days=int(wait)), state)
    # An hour short of two days would make the next reading useless as a proof.
    return due if (due - last).total_seconds() >= 86400 * 2 else due + timedelta(days=1)


def _gravities(batch: Batch, judged: Judgement, state: State, now: datetime) -> list[Check]:
    if judged.ready:
        return []
    texts = table("text")
    due = _gravity_due(batch, judged, state)
    checks = []
    for again in range(MOST_REPEATS + 1):
        text = texts["gravity_again" if again else "gravity"]
        day = day_of(judged.pitched, due, state)
        key = f"gravity_{len(judged.gravities)}" + (f"_again_{again}" if again else "")
        checks.append(Check(key, due, text.format(day=day), "gravity"))
        if due > now:
            break
        due = at_hour(_local(due, state).date() + timedelta(days=2), state)
    return checks


def _with_temperature(check: Check, temperatures: list[Check]) -> Check:
    both = any(each.due == check.due and not each.answered for each in temperatures)
    return replace(check, text=f"{check.text} {table('text')['and_temperature']}") if both else check


def _rests(batch: Batch, judged: Judgement, state: State) -> list[Check]:
    rows, texts, recipe = pace(judged.style), table("text"), batch.recipe
    checks = []
    wanted = rows["warm_rest"] * pace_factor(batch) if recipe.warm_day is None else recipe.warm_day
    aim = quantity(rows["warm_rest_c"], "degC") if recipe.warm_to is None else recipe.warm_to.quantity
    sent = [each for each in batch.readings if each.kind == "temperature" and each.stage == "ferment"]
    warm_already = bool(sent) and sent[-1].best >= aim
    if wanted and not judged.stability.stable and not warm_already:
        due = at_hour(_local(judged.pitched, state).date() + timedelta(days=round(wanted)), state)
        # Only what was known before it was due moves it: said once, it is not said again.
        for each in judged.gravities if recipe.warm_day is None else ():
            if each.at >= due:
                break
            if _far(judged, each.best):
                due = _next_hour(each.at, state)
                break
            due = max(due, at_hour(_local(each.at, state).date() + timedelta(days=1), state))
        warm = wording.temperature(aim, state.units)
        checks.append(Check("warm_rest", due, texts["warm_rest"].format(warm=warm)))
    if judged.ready and judged.stable_since is not None:
        checks.append(Check("cold_rest", _next_hour(judged.stable_since, state), _cold_words(recipe.cold_days)))
    return checks


def _cold_words(days: float | None) -> str:
    texts = table("text")
    if days == 0:
        return str(texts["no_cold_rest"])
    named: list[str] = texts["cold_rest_days"]
    usual = 2.0 if days is None else days
    words = named[int(usual) - 1] if usual in range(1, len(named) + 1) else f"{usual:g} days"
    return str(texts["cold_rest"]).format(days=words)


def _far(judged: Judgement, gravity: Quantity) -> bool:
    """Whether so much of the usual fall is done that warmth does good and no harm.

    By what the yeast usually reaches and not by the forecast, which a later gravity moves: what was said once would be said again.
    """
    if judged.original is None:
        return False
    usual = attenuation_range(judged.style)
    fall = float((judged.original - gravity_at_attenuation(judged.original, usual.usual)).magnitude)
    return float((judged.original - gravity).magnitude) >= WARM_REST_FROM * fall


def _next_hour(at: datetime, state: State) -> datetime:
    """The first check hour after a time."""
    here = _local(at, state)
    due = at_hour(here.date(), state)
    return due if due > here else at_hour(here.date() + timedelta(days=1), state)


def _dry_hops(batch: Batch, judged: Judgement, state: State) -> list[Check]:
    texts, checks = table("text"), []
    waiting = [hop for hop in batch.recipe.hops if hop.dry_days and not hop.skipped and not hop.out_at]
    for hop in waiting:
        words = f"{wording.mass(hop.mass.quantity, state.units)} {hop.name}"
        if hop.added_at is None:
            due = _dry_hop_due(hop, batch, judged, state)
            checks.append(Check(f"dry_in_{hop.key}", due, texts["dry_hop_in"].format(hops=words), "hops"))
        else:
            day = _local(hop.added_at, state).date() + timedelta(days=round(hop.dry_days))
            days = f"{hop.dry_days:g} day{'s' if hop.dry_days != 1 else ''}"
            text = texts["dry_hop_out"].format(hops=words, days=days)
            checks.append(Check(f"dry_out_{hop.key}", at_hour(day, state), text, "hops"))
    return checks


def _dry_hop_due(hop: Hop, batch: Batch, judged: Judgement, state: State) -> datetime:
    pitched = _local(judged.pitched, state).date()
    if hop.dry_on_day is not None:
        return at_hour(pitched + timedelta(days=round(hop.dry_on_day)), state)
    if judged.ready and judged.last is not None:
        return _next_hour(judged.last.at, state)
    usual = pitched + timedelta(days=round(pace(judged.style)["first_gravity"] * pace_factor(batch)) + 1)
    if judged.forecast is None:
        return at_hour(usual, state)
    return at_hour(_local(judged.at_day(judged.forecast.finished), state).date() + timedelta(days=1), state)


def conditioning_days(batch: Batch) -> int:
    """Days that its bottles want: more for a strong beer, and where they stand cool."""
    rows = table("conditioning")
    days: float = rows["ready"]
    strong = judge(batch).alcohol_percent or 0.0
    days += max(0.0, (strong - rows["strong_percent"]) * 10)
    cool = [each for each in batch.readings if each.kind == "temperature" and each.stage == "condition"]
    if cool and float(cool[-1].best.to("degC").magnitude) < rows["cool_c"]:
        days += rows["cool_days"]
    return round(days)


def ready_day(batch: Batch, state: State) -> date | None:
    """When the bottles should be ready; None before they are filled."""
    bottled = batch.entered.get("condition")
    if bottled is None:
        return None
    return _local(bottled, state).date() + timedelta(days=conditioning_days(batch))


def _bottled(batch: Batch, state: State) -> list[Check]:
    bottled, ready = batch.entered.get("condition"), ready_day(batch, state)
    if bottled is None or ready is None:
        return []
    texts = table("text")
    first = _local(bottled, state).date() + timedelta(days=int(table("conditioning")["check_bottle"]))
    tasted = bool(batch.tastings)
    early = table("conditioning")["open_early"] if batch.risk_accepted else []
    risky = [
        Check(
            f"open_{day}",
            at_hour(_local(bottled, state).date() + timedelta(days=day), state),
            texts["open_early"],
            "bottle",
            tasted,
        )
        for day in early
    ]
    return [
        *risky,
        Check("check_bottle", at_hour(first, state), texts["check_bottle"], "bottle", tasted),
        Check("chill", at_hour(ready - timedelta(days=1), state), texts["chill"], "", tasted),
        Check("taste", at_hour(ready, state), texts["taste"], "", tasted),
    ]


def checks(batch: Batch, state: State, now: datetime) -> list[Check]:
    """Every check of a batch at its stage, past ones included."""
    if batch.closed:
        return []
    if batch.stage == "ferment":
        judged = judge(batch)
        gravities = _gravities(batch, judged, state, now)
        temperatures = _temperatures(batch, judged, state)
        # Two questions at the same minute would be one too many: the gravity asks for the temperature too.
        asked = {each.due for each in gravities}
        return [
            *[each for each in temperatures if each.due not in asked],
            *[_with_temperature(each, temperatures) for each in gravities],
            *_rests(batch, judged, state),
            *_dry_hops(batch, judged, state),
        ]
    return _bottled(batch, state) if batch.stage == "condition" else []


def settle(turn: Turn) -> None:
    """Make the reminders of every batch equal to its checks, if this turn changed anything that they rest on."""
    if not any(event.kind in CHANGES or event.kind.startswith("stock") for event in turn.events):
        return
    for batch in turn.state.batches:
        _settle_batch(turn, batch)
    due = seasons.next_nudge(turn.state, turn.now)
    key = seasons.KEY
    there = turn.state.reminders.get(key)
    if due is None and there is not None:
        turn.note_event("reminder_dropped", key=key)
    elif due is not None and (there is None or there.due != due.due or there.text != due.text):
        turn.note_event("reminder_set", batch=due.batch, reminder=due.model_dump(mode="json"))


def waits_behind(other: Reminder, put: Reminder, due: datetime) -> bool:
    """Whether a check asks for what the person has put off to a later time: it would ask in spite of that."""
    same = put.kind == other.kind == "check" and put.batch == other.batch and put.key != other.key
    return same and put.data.get("asks") == other.data.get("asks") in ("gravity", "temperature") and other.due <= due


def _settle_batch(turn: Turn, batch: Batch) -> None:
    mine = f"{batch.id}:watch:"
    wanted = {mine + each.key: each for each in checks(batch, turn.state, turn.now)}
    for key in [key for key in turn.state.reminders if key.startswith(mine)]:
        if key not in wanted or wanted[key].answered:
            turn.note_event("reminder_dropped", batch=batch.id, key=key)
    # After a clock was set back, what was past before has been said already: its time would never come again.
    latest = max(turn.now, turn.state.clock or turn.now)
    put_off = [each for each in turn.state.reminders.values() if each.batch == batch.id and each.kind == "check" and "asked" in each.data]
    for key, check in wanted.items():
        # One that is past is not set again: it was said, and if it is still there the person put it off.
        if check.answered or check.due <= latest:
            continue
        reminder = Reminder(
            key=key,
            due=check.due.astimezone(ZoneInfo("UTC")) + (AFTER_THE_REST if check.asks == "gravity" else timedelta()),
            text=check.text,
            batch=batch.id,
            kind="check",
            name=check.key,
            data={"asks": check.asks},
        )
        if any(each.key == key or waits_behind(reminder, each, each.due) for each in put_off):
            # The person's own time stands until it is answered.
            if key not in {each.key for each in put_off} and key in turn.state.reminders:
                turn.note_event("reminder_dropped", batch=batch.id, key=key)
            continue
        if turn.state.reminders.get(key) != reminder:
            turn.note_event("reminder_set", batch=batch.id, reminder=reminder.model_dump(mode="json"))


def is_past(turn: Turn, reminder: Reminder) -> bool:
    """Whether a check is of no use any more: its reading came since, or another one is due since. It is still there where nobody was there to say it."""
    if reminder.kind != "check" or reminder.due >= turn.now:
        return False
    batch = next((each for each in turn.state.batches if each.id == reminder.batch), None)
    asks = reminder.data.get("asks")
    came = batch is not None and any(each.kind == asks and each.at >= reminder.due for each in batch.readings)
    others = (each for each in turn.state.reminders.values() if each.batch == reminder.batch and each.kind == "check")
    return came or turn.now - reminder.due > LATE_FOR or any(reminder.due < each.due <= turn.now for each in others)


def next_check(turn: Turn, batch: Batch) -> Reminder | None:
    """The check of a batch that comes next."""
    mine = [each for each in turn.state.reminders.values() if each.batch == batch.id and each.kind == "check" and not is_past(turn, each)]
    return min(mine, key=lambda each: each.due, default=None)
