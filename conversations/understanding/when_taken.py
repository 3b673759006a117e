"""When a reading was taken, wherever it is said: "27 C at 8 this morning", "on Sunday it read 1.022", "1.018 since Friday"."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Context, Intent
from conversations.understanding.asking import asking_words
from conversations.understanding.quantities import KINDS
from conversations.understanding.rows import places_of
from conversations.understanding.sentences import Match
from conversations.understanding.told_later import earlier_at
from conversations.understanding.words import Item, word_set

DATED = ("reading.gravity", "reading.temperature")
"""The readings that keep the time at which they were taken."""
_TIMED = {"done.hops": timedelta(hours=3), "done.boiling": timedelta(hours=3), "done.pitched": timedelta(days=2), "done.water_on": timedelta(hours=3)}
"""What was done and keeps its time, told so much later at most: how long hops boil, or the beer has fermented, hangs on it."""
_UP_TO_NOW = frozenset({"since"})
_WITHIN = frozenset({"in", "over", "within", "during", "for", "after"})
_JUST_NOW = timedelta(minutes=15)
_COMPARED = frozenset({"as", "than", "like", "before", "until", "till", "from"})
_SPAN = frozenset({"day", "week", "month"})


def _since_or_within(items: list[Item], i: int, context: Context) -> int | None:
    """The end of "since Sunday", "in the last two days", "after a week": how long it took, and no time of its own."""
    if items[i].word in _UP_TO_NOW and i + 1 < len(items):
        found = earlier_at(items, i + 1, context.now, context.zone)
        return None if found is None else found[0]
    if items[i].word not in _WITHIN:
        return None
    j = i + 1
    while j < len(items) and items[j].word in ("last", "past"):
        j += 1
    if j < len(items) and items[j].kind == "dur" and (j > i + 1 or items[j].unit in _SPAN):
        return j + 2 if j + 1 < len(items) and items[j + 1].word == "now" else j + 1
    return None


def _spoken_of(items: list[Item], chosen: list[Match], places: list[int], taken: range, covered: list[bool]) -> bool:
    """Whether a reading stands in the clause beside those places, and nothing else does."""
    inside = [each for each in chosen if any(each.start <= k < each.end for k in places)]
    if inside:
        return all(each.sentence.name in DATED and "at" not in each.slots for each in inside)
    # "I had 2 pints last night" is no reading of the pot.
    return any(
        (items[k].kind == "num" or KINDS.get(items[k].unit) in ("temperature", "gravity")) and k not in taken and not covered[k]
        for k in places
    )


def _done_just_now(chosen: list[Match], places: list[int], at: datetime, context: Context) -> bool:
    """Whether the clause tells of something done a few minutes ago, which is as good as now, or of what keeps its time."""
    inside = [each for each in chosen if any(each.start <= k < each.end for k in places)]
    done = bool(inside) and all(each.sentence.name.startswith("done.") for each in inside)
    longest = min((_TIMED.get(each.sentence.name, _JUST_NOW) for each in inside), default=_JUST_NOW)
    return done and timedelta(0) <= context.now - at <= longest


def times_taken(
    items: list[Item], chosen: list[Match], covered: list[bool], clause: list[int], context: Context
) -> dict[int, str]:
    """The time by clause; the words that tell it are marked as covered, "since Sunday" too."""
    found: dict[int, str] = {}
    company = word_set("beside_readings") | word_set("stop_words") | word_set("about")
    asking = asking_words() | word_set("hoped_for") | {"remind", "reminder", "timer"}
    i = 0
    while i < len(items):
        if covered[i] or items[i].kind == "sep":
            i += 1
            continue
        told = None if i and items[i - 1].word in _COMPARED else earlier_at(items, i, context.now, context.zone)
        passed = None if told is not None else _since_or_within(items, i, context)
        end = told[0] if told is not None else passed
        if end is None:
            i += 1
            continue
        mine = places_of(clause, clause[i])
        own = any(each.sentence.name in _TIMED and each.start <= k < each.end for each in chosen for k in mine)
        if told is not None and not own and all(k in range(i, told[0]) or items[k].kind == "sep" or items[k].said == "one" or items[k].word in company for k in mine):
            # "took a sample on Sunday, 1.019"
            mine = mine + places_of(clause, clause[i] + 1)
        free = not any(covered[i:end]) and not any(items[k].word in asking for k in mine)
        if told is not None and free and _done_just_now(chosen, mine, told[1], context):
            covered[i : told[0]] = [True] * (told[0] - i)
            if any(each.sentence.name in _TIMED and each.start <= k < each.end for each in chosen for k in mine):
                found.setdefault(clause[i], told[1].isoformat())
        if not free or not _spoken_of(items, chosen, mine, range(i, end), covered):
            i += 1
            continue
        covered[i:end] = [True] * (end - i)
        if told is not None:
            for number in {clause[k] for k in mine}:
                found.setdefault(number, told[1].isoformat())
        i = end
    return found


def dated(intent: Intent, at: str | None) -> Intent:
    """The reading, or what was done, with its time."""
    if at is None or intent.name not in (*DATED, *_TIMED) or "at" in intent.slots:
        return intent
    return intent.model_copy(update={"slots": {**intent.slots, "at": at}})
