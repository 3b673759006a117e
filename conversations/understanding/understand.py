"""The door of understanding: a message and its situation in, intents with typed quantities out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple

from conversations.intents import Context, Intent, Span, Understanding
from conversations.understanding.asking import (
    asking_words,
    asks_for_certain,
    asks_leave,
    asks_own_leave,
    asks_what_to_expect,
)
from conversations.understanding.bare import asks_which, read_bare
from conversations.understanding.bare_figures import gravity_shape
from conversations.understanding.best_before import belongs_to_mass
from conversations.understanding.bottle_sizes import sizes_of_bottles
from conversations.understanding.by_words import by_words
from conversations.understanding.closings import without_closings, without_openings
from conversations.understanding.cues import HARMLESS, SAID_WHOLE, TOLD, not_yet, subordinate
from conversations.understanding.elsewhere import counts_things, of_the_beer
from conversations.understanding.fitting import (
    fits,
    goes_back,
    is_difference,
    is_range,
    is_wanted,
    pieces_unread,
    runs_on,
    without_questions,
)
from conversations.understanding.following import whose_clock
from conversations.understanding.helped import bought_for_me
from conversations.understanding.likeness import some
from conversations.understanding.match_says import BEFORE_MASH, says
from conversations.understanding.put_right import excused, marked, put_right
from conversations.understanding.remarks import without_remarks
from conversations.understanding.reminded_of import reminded_of
from conversations.understanding.rows import clauses, places_of, row_of
from conversations.understanding.sentences import Match, best_cover, matches, sentences, tree
from conversations.understanding.slots import Slots
from conversations.understanding.together import asked_of_figures, together
from conversations.understanding.told_and_asked import told_and_asked
from conversations.understanding.when_taken import dated, times_taken
from conversations.understanding.whole_messages import whole_message
from conversations.understanding.words import LONGEST_TEXT, MOST_PIECES, Item, count_pieces, is_adverb, word_set
from conversations.understanding.yes_no import question_behind

_SAID_FIRST = frozenset({"undo", "stage.pause", "timer.pause", "snooze"})
_TIME_SPENT = frozenset({"gone", "later", "passed", "ago", "far", "into", "already", "took", "taken"})
_CHANGES = ("steer.", "recipe.amount", "recipe.drop", "recipe.swap")
_STAGES_TIMED = frozenset({"boil", "mash", "steep", "chill", "whirlpool"})
_RECORDS = ("reading.", "done.", "again.now", "steer.", "stock.bought", "stock.used", "stock.left", "stock.gone", "stock.share_used", "stock.packed", "stock.opened", "weeks.")
_MOST_UNREAD = 2
_HOURS = frozenset(range(1, 13))


def list_intents() -> list[tuple[str, str]]:
    """Every intent with one example, in the order of the sentence file."""
    found: dict[str, str] = {}
    for sentence in sentences():
        if sentence.examples:
            found.setdefault(sentence.name, sentence.examples[0])
    found.setdefault("unclear.number", "42")
    return list(found.items())


_PERHAPS = re.compile(r"\b(maybe|perhaps|possibly|might)\b", re.IGNORECASE)
_BUYS = re.compile(r"\b(bought|buy|purchased|ordered|paid|cost|costs|picked up|price)\b", re.IGNORECASE)
_COMMANDS = frozenset(["set", "start", "begin", "make", "create", "give", "need", "put", "run", "want", "add", "new", "get", "time", "please", "stick", "pop", "kick"])
_FOR_ME = ("timer.", "stage.pause", "stage.resume", "reminder.", "settings.", "snooze", "export.", "kit.check", "kit.print", "brew.start", "tasting.begin", "undo")
"""What somebody may ask Potside to do for them with "can I", without asking whether it is wise."""


def understand(text: str, context: Context) -> Understanding:
    """Read one message; never raises on any text, and never records what it did not wholly understand.

    A clause with words left over is not a reading: it goes to ``unread``, so that chit-chat leaves no trace.
    """
    if (whole := whole_message(text[:LONGEST_TEXT])) is not None:
        return Understanding(text=text[:LONGEST_TEXT], intents=(whole,))
    if count_pieces(text) > MOST_PIECES:
        # Not a part of it either: what stands further down could take back what stands further up.
        return Understanding(text=text[:LONGEST_TEXT], unread=(text[:LONGEST_TEXT],))
    tree()
    closed = without_closings(text)
    if (bare := without_openings(closed)) != text:
        plain = understand(bare, context)
        if plain.intents or asks_for_certain(bare):
            # Openings are what moves places: a closing stands behind them all.
            lead = len(closed) - len(bare)
            moved = [span.model_copy(update={"start": span.start + lead, "end": span.end + lead}) for span in plain.quantities]
            return plain.model_copy(update={"text": text, "quantities": tuple(span.model_copy(update={"text": text[span.start : span.end]}) for span in moved)})
    if (mine := bought_for_me(text)) is not None:
        told = understand(mine, context)
        if told.intents and not told.unread and all(each.name == "stock.bought" for each in told.intents):
            return told.model_copy(update={"text": text, "quantities": ()})
    if ahead := question_behind(text):
        told = understand(ahead[0], context)
        if told.intents and not told.unread and not any(each.name.startswith(("ask.", "unclear.")) for each in told.intents):
            return told.model_copy(update={"text": text, "intents": (*told.intents, ahead[1])})
    items, spans = row_of(text, context)
    if (both := told_and_asked(text, lambda part: understand(part, context))) is not None:
        return both.model_copy(update={"quantities": tuple(spans)})
    found = _read(text, items, spans, context)
    unclear = sum(each.name.startswith("unclear.") for each in found.intents)
    asks = asked_of_figures(found.intents)
    begun = bool(found.intents) and found.intents[0].name == "brew.start" and "name" not in found.intents[0].slots
    if (found.unread or unclear or asks) and ("," in text or begun):
        # "start a timer for the mash, 60 minutes": a comma inside one sentence; taken only if all of it is read then.
        # "New brew. Stout. 7 l": full stops as well.
        joined = [item for item in items if item.raw != "," and not (begun and item.kind == "sep" and not item.question)]
        again = _read(text, joined, spans, context) if len(joined) < len(items) else found
        names = [each.name for each in again.intents]
        # Where "21" is unclear, "21, gravity 1.044" is still no gravity of 1.021.
        if names and not again.unread and names.count("reading.gravity") < 2 and (names == [asks] if asks else len(names) >= len(found.intents) - unclear or names in (["priming.given"], ["hops.instead"])):
            found = again
    intents = without_remarks(tuple(_two_reminders(found.intents, context)), text, context.stage)
    if any(each.name == "reminder.set" for each in intents):
        intents = reminded_of(intents, lambda said: _whole(said, context))
    return found.model_copy(update={"intents": intents})


def _whole(said: str, context: Context) -> tuple[Intent, ...]:
    """What words say by themselves, nothing where any are left."""
    told = _read(said, *row_of(said, context), context)
    return () if told.unread else told.intents


def _two_reminders(intents: tuple[Intent, ...], context: Context) -> Iterator[Intent]:
    """Each reminder by itself of "remind me tomorrow at noon to weigh the grain and on Saturday at 9 to clean the pot"."""
    for intent in intents:
        first, link, second = str(intent.slots.get("what", "")).partition(" and ")
        if intent.name == "reminder.set" and link and "every_s" not in intent.slots:
            items, spans = row_of(f"remind me {second}", context)
            more = _read(f"remind me {second}", items, spans, context)
            timed = len(items) > 3 and next(iter(Slots("", items, context).read("when", 2)), None) is not None
            if timed and not more.unread and [each.name for each in more.intents] == ["reminder.set"]:
                yield intent.model_copy(update={"slots": {**intent.slots, "what": first}})
                yield from more.intents
                continue
        yield intent


def _untold(items: list[Item], places: list[int], text: str) -> bool:
    """Whether a clause tells of nothing that is done: it says when or whether, or what is still to come."""
    return subordinate([items[k] for k in places]) or not_yet(text[items[places[0] - 1].end if places[0] else 0 : items[places[-1]].end])


def _ranges(
    items: list[Item], chosen: list[Match], covered: list[bool], context: Context
) -> tuple[list[Match], dict[int, Intent | None]]:
    """Where "65 to 67" stands and what it asks back, None where it cannot be asked; such places are covered then."""
    ranges: dict[int, Intent | None] = {}
    for i in range(len(items)):
        if not is_range(items, covered, i):
            continue
        inside = [match for match in chosen if match.start < i + 3 and match.end > i]
        readings = all(each.sentence.name.startswith("reading.") for each in inside)
        ranges[i] = asks_which(items, i, context) if readings else None
        if ranges[i] is not None:
            chosen = [match for match in chosen if match not in inside]
            begin = i - 1 if i and items[i - 1].word in ("between", "from") else i
            covered[begin : i + 3] = [True] * (i + 3 - begin)
    return chosen, ranges


class _WordSets(NamedTuple):
    """Sets of words that every message is held against, put together once."""

    idle: frozenset[str]
    passed: frozenset[str]
    empty: frozenset[str]
    beside: frozenset[str]
    contrary: frozenset[str]
    turns: frozenset[str]


@cache
def _word_sets() -> _WordSets:
    stops, about, company, common = (word_set(name) for name in ("stop_words", "about", "beside_readings", "common"))
    contrary = word_set("denials") | asking_words()
    return _WordSets(stops | about, company - stops - about, common | asking_words() | stops, company | common, contrary, contrary | word_set("hoped_for"))


def _by_clause(clause: list[int], places: Iterable[int]) -> dict[int, list[int]]:
    """Some places by clause; clauses without any are left out."""
    found: dict[int, list[int]] = {}
    for k in places:
        found.setdefault(clause[k], []).append(k)
    return found


def _beside(match: Match, mine: set[int], at: dict[int, list[int]]) -> list[int]:
    """Of places that are kept by clause those in the clauses of a match and outside of it, in their order."""
    return [k for number in sorted(mine) for k in at.get(number, ()) if not match.start <= k < match.end]


def _read(text: str, items: list[Item], spans: list[Span], context: Context) -> Understanding:
    slots = Slots(text[:LONGEST_TEXT], items, context)
    here = context.stage or "none"
    clause = clauses(items)
    stops, about = word_set("stop_words"), word_set("about")
    fitting = [
        each
        for each in matches(items, slots.read)
        if fits(each, here, context.expects)
        and goes_back(each, items, clause, stops, context)
        and not (each.sentence.name == "stock.best_before" and "name" in each.slots and belongs_to_mass(items, each.start))
    ]
    chosen = best_cover(items, fitting)
    covered = [False] * len(items)
    for match in chosen:
        covered[match.start : match.end] = [True] * (match.end - match.start)
    chosen, found = by_words(items, clause, chosen, covered, slots, context)
    taken = times_taken(items, chosen, covered, clause, context)
    chosen, ranges = _ranges(items, chosen, covered, context)
    leftover: set[int] = set()
    asked: set[int] = set()
    # The words that were not read, clause by clause; what may stand beside a match hangs on what it is.
    odd: dict[int, set[str]] = {}
    company, hoped = word_set("beside_readings"), word_set("hoped_for")
    known = _word_sets()
    for i, item in enumerate(items):
        if item.question:
            asked.add(clause[i] - 1)
        elif not covered[i] and item.kind in ("word", "clock") and item.word not in known.idle and not is_adverb(item.word):
            odd.setdefault(clause[i], set()).add(item.word)
    leftover |= {number for number, words in odd.items() if not words <= company}
    for i, asks in ranges.items():
        ends = {clause[i], clause[i + 2]}
        if asks is None or ends & leftover:
            leftover |= ends
        else:
            found.append((i, asks.model_copy(update={"text": slots.words(i, i + 3)})))
    leftover |= {clause[k] for i in range(len(items)) if runs_on(items, covered, i) for k in (i, i - 2 if items[i].fraction and i > 1 else i)}
    apart = {i for i in range(len(items)) if is_difference(items, i)}
    dropped: set[int] = set()
    contrary = known.contrary
    wanted = cache(lambda number: is_wanted(text, items, places_of(clause, number)))
    # Once for all matches: a long message is one clause with hundreds of them.
    lists = {"contrary": contrary, "about": about, "refused": word_set("refusals"), "hoped": hoped, "ordered": _COMMANDS}
    said = {name: _by_clause(clause, (k for k, item in enumerate(items) if item.word in words)) for name, words in lists.items()}
    not_covered = _by_clause(clause, (k for k in range(len(items)) if not covered[k]))
    every = _by_clause(clause, range(len(items)))
    for i in range(1, len(items) - 1):
        if items[i].word == "but" and items[i + 1].word in word_set("denials"):
            # "66 but not quite"
            leftover.add(clause[i - 1])
    questioned, expecting = asks_for_certain(text), asks_what_to_expect(text)
    for match in chosen:
        mine = {clause[k] for k in range(match.start, match.end)}
        name = match.sentence.name
        if name == "recipe.mash" and context.stage not in BEFORE_MASH:
            name = "reading.temperature"
        unread = [items[k] for k in _beside(match, mine, not_covered)]
        # "how long till flame out" asks; in "67 how long left" the question comes after the reading and stands alone.
        denied = any(k < match.start or not covered[k] for k in _beside(match, mine, said["contrary"]))
        if name == "stock.price" and _beside(match, mine, said["about"]):
            # "that pot cost 30 euros"
            leftover |= mine
        if name.startswith("reading."):
            denied = denied or not mine.isdisjoint(said["hoped"])
            denied = denied or any(wanted(number) for number in mine)
        refused = any(k < match.start for k in _beside(match, mine, said["refused"])) or (
            match.start > 0 and items[match.start - 1].word == "no"
        )
        polite = asks_leave(text) or (asks_own_leave(text) and name.startswith(_FOR_ME))
        wishes = (questioned and 0 in mine and (name.startswith(TOLD) or not polite)) or (
            name.startswith("done.") and "share" not in match.slots and any(_untold(items, without_questions(places_of(clause, number), match, chosen), text) for number in mine)
        )
        wishes = wishes or (expecting and name.startswith("look.") and 0 in mine)
        wishes = wishes or (name.startswith(_CHANGES) and _PERHAPS.search(text) is not None)
        # "Why is there so much foam on top?"
        harmless = name.startswith(HARMLESS) and not (name.startswith("look.") and (questioned or expecting))
        left = [item for item in unread if item.kind == "word" and item.word not in known.idle]
        figures = any(item.kind in ("num", "qty", "dur", "clock") for item in unread)
        telling = any(items[k].word not in known.empty for k in range(match.start, match.end))
        if harmless and telling and match.end - match.start >= 2 and len(left) <= _MOST_UNREAD and not figures and not {item.word for item in left} & some("household"):
            for number in mine:
                leftover.discard(number)
                odd.pop(number, None)
        in_doubt = name.startswith(_RECORDS) and (denied or mine & asked)
        if name == "reading.temperature" and apart.intersection(range(match.start, match.end)):
            in_doubt = True
        if context.stage is None and name in ("reading.volume", "reading.mass") and match.end - match.start == 1 and leftover:
            in_doubt = True
        alone = match.end - match.start < 2 or name.startswith(TOLD)
        may = company if name.startswith("reading.") or (name.startswith("kit.") and match.slots) else frozenset() if alone or figures else known.beside
        strange_words = any(not odd.get(number, set()) <= may for number in mine) or (mine & leftover and may <= company)
        strange_words = strange_words or (name in SAID_WHOLE and any(items[k].kind == "word" and items[k].word not in known.idle for k in _beside(match, mine, every)))
        own = match.slots.keys() <= {"timer"} or (match.slots.keys() == {"name"} and str(match.slots["name"]).lower() in _STAGES_TIMED)
        if name in _SAID_FIRST and match.end - match.start >= 2 and not (figures or denied) and own and (
            match.start == 0 or clause[match.start - 1] != clause[match.start]
        ):
            # "undo that it was my daughter": what leads the clause is meant, and the rest says why.
            strange_words = False
            for number in mine:
                leftover.discard(number)
        if name == "timer.start" and mine.isdisjoint(said["ordered"]) and any(
            not odd.get(number, set()) <= known.beside for number in mine
        ):
            # "the timer on my phone is 5 minutes slow" asks for none.
            wishes = True
        if in_doubt or ((wishes or refused) and not harmless) or (not match.sentence.loose and strange_words):
            dropped |= mine
        elif meant := says(match, slots, context):
            found.extend((match.start, intent) for intent in meant)
        else:
            dropped |= mine
    clause_places = {number: frozenset(places_of(clause, number)) for number in set(clause)}
    denials = {number: [k for k in places if items[k].word in known.turns] for number, places in clause_places.items()}
    for i, item in enumerate(items):
        if covered[i] or item.kind not in ("num", "qty", "dur"):
            continue
        denied = any(items[k].word in hoped or k < i or not covered[k] for k in denials[clause[i]])
        # Without a batch a quantity is a reading only where nothing else is told: "two pints and a packet of crisps".
        denied = denied or i in apart or item.said == "one" or wanted(clause[i]) or (context.stage is None and item.kind == "qty" and bool(leftover))
        doubted = denied or clause[i] in leftover | asked | dropped or (questioned and clause[i] == 0)
        if item.kind == "num" and gravity_shape(item) is None and context.expects is None and not doubted:
            # "back at 7": a number without a unit says too little to stand behind words that we only let pass.
            doubted = counts_things(items, sorted(clause_places[clause[i]]), i) or any(k < i and not covered[k] and items[k].word in known.passed for k in clause_places[clause[i]])
        if item.kind == "dur" and any(items[k].word in _TIME_SPENT or (items[k].word == "after" and k == i - 1) for k in clause_places[clause[i]]):
            # "half an hour gone and it's at 65": tells how long it has been.
            continue
        if item.kind == "num" and i and items[i - 1].word == "at" and item.value in _HOURS and context.expects is None:
            if any(pair[1].name.startswith("done.") for pair in found if pair[0] in clause_places[clause[i]]):
                # "pitched at 7" says when, or how cold: neither is sure enough to keep.
                continue
            doubted = True
        if item.kind == "num" and i and items[i - 1].word in ("for", "cost", "costs", "paid") and _BUYS.search(text) is not None:
            # "bought some of it for 1.10": a price that found no place, and no gravity.
            doubted = True
        bare = None if doubted else read_bare(item, context)
        heard = [pair for pair in found if pair[0] in clause_places[clause[i]]]
        if bare is None or (bare.name.startswith("unclear.") and heard):
            # "flat 6", "back on the 5th": a number that means nothing puts the words beside it in doubt.
            leftover.add(clause[i])
            found = [pair for pair in found if pair not in heard or pair[1].name.startswith("reading.")]
        else:
            found.append((i, bare.model_copy(update={"text": slots.words(i, i + 1)})))
    found, sizes = sizes_of_bottles(items, clause, sorted(found, key=lambda pair: pair[0]))
    found, astray = of_the_beer(text, items, clause, found, context.stage)
    leftover |= astray | sizes
    found = together([(place, dated(intent, taken.get(clause[place]))) for place, intent in found], context.stage, clause, text)
    found = whose_clock(marked(found, text), text)
    read = {clause[place] for place, _ in found}
    strange = leftover | dropped | (odd.keys() - read)
    not_read = excused(found, pieces_unread(text, items, clause, strange, [each for each in chosen if clause[each.start] not in astray], covered), here)
    found, not_read = put_right(found, not_read, context.last)
    return Understanding(text=text[:LONGEST_TEXT], quantities=tuple(spans), intents=tuple(intent for _, intent in found), unread=not_read)
