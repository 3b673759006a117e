"""The door of understanding: a message and its situation in, intents with typed quantities out."""

from __future__ import annotations

import re
from typing import Any

from conversations.intents import Context, Intent, Measured, Span, Understanding
from conversations.understanding.cues import cue_of
from conversations.understanding.following import resolve
from conversations.understanding.money import currency_at, money_at
from conversations.understanding.numbers import number_items
from conversations.understanding.quantities import KINDS, quantity_items
from conversations.understanding.sentences import Match, best_cover, matches, sentences, tree
from conversations.understanding.slots import Slots, default_unit, gravity_shape, gravity_value
from conversations.understanding.times import duration_items
from conversations.understanding.words import LONGEST_TEXT, Item, split, word_set
from conversations.understanding.yes_no import yes_no_question

_HOT_STAGES = frozenset({"heat", "mash", "steep", "chill", "pitch"})
_WORT_STAGES = frozenset({"drain", "top_up", "boil", "transfer"})
_COLD_STAGES = frozenset({"ferment", "bottle", "condition"})
_EXPECTED: dict[str, tuple[str, str]] = {
    "reading.gravity": ("gravity", "gravity"),
    "reading.temperature": ("temperature", "temperature"),
    "reading.volume": ("volume", "volume"),
    "reading.depth": ("depth", "depth"),
    "reading.mass": ("mass", "mass"),
    "recipe.volume": ("volume", "volume"),
    "recipe.size": ("volume", "volume"),
    "recipe.mash": ("temperature", "temperature"),
    "recipe.boil": ("duration", "duration_s"),
    "recipe.yeast": ("mass", "mass"),
    "kit.pot": ("diameter", "diameter"),
    "kit.boil_off": ("rate", "rate"),
    "kit.calibration": ("temperature", "temperature"),
    "kit.thermometer_ice": ("temperature", "temperature"),
    "kit.thermometer_boiling": ("temperature", "temperature"),
    "kit.mark_depth": ("depth", "depth"),
    "timer.start": ("duration", "duration_s"),
    "snooze": ("duration", "duration_s"),
    "reminder.when": ("duration", "duration_s"),
}
_READING_OF = {
    "gravity": "gravity",
    "temperature": "temperature",
    "volume": "volume",
    "mass": "mass",
    "length": "depth",
}
_NAMED_OR_STAGE = {"timer.pause": "stage.pause", "timer.resume": "stage.resume"}
_NOT_BEFORE_READINGS = frozenset({"in", "by", "for", "till", "until", "of", "number", "no", "room", "page", "bus", "from"})
"""A bare number behind one of these is a time or a name."""
_HARMLESS = ("ask.", "timer.status", "diary.", "batch.list", "look.", "kit.show", "reminder.list")
"""What records nothing may be answered though a word or two of the clause was not read."""
_MOST_UNREAD = 2
_BEFORE_MASH = frozenset({None, "plan", "prepare", "heat"})
_AFTER_NO = frozenset({"no", "sorry", "oops", "wait", "actually", "correction"})


def list_intents() -> list[tuple[str, str]]:
    """Every intent with one example, in the order of the sentence file."""
    found: dict[str, str] = {}
    for sentence in sentences():
        if sentence.examples:
            found.setdefault(sentence.name, sentence.examples[0])
    found.setdefault("unclear.number", "42")
    return list(found.items())


def _items(text: str, context: Context) -> tuple[list[Item], list[Span]]:
    tree()
    with_units = quantity_items(number_items(split(text)), context.units)
    joined = duration_items(with_units)
    for item in joined:
        item.said = text[item.start : item.end].lower()
    spans = [
        Span(
            text=text[item.start : item.end],
            start=item.start,
            end=item.end,
            value=item.value,
            unit=item.unit if item.kind == "qty" else ("second" if item.kind == "dur" else "dimensionless"),
        )
        for item in joined
        if item.kind in ("qty", "dur", "num")
    ]
    spans = sorted([*spans, *_money_spans(text, joined)], key=lambda span: span.start)
    fillers = word_set("fillers")
    row: list[Item] = []
    joined = _without_openings(joined)
    for k, item in enumerate(joined):
        # "am" is the morning behind a number, and carries nothing elsewhere.
        morning = item.word == "am" and row and row[-1].kind in ("num", "clock")
        if item.kind == "word" and item.word in fillers and not morning:
            continue
        if item.kind == "quote":
            if row and row[-1].kind == "num" and row[-1].end == item.start and item.word in "'’′":
                # 120' may be minutes or feet: not a number to record.
                row[-1].kind, row[-1].word = "word", "?"
            continue
        if item.kind == "dash":
            near = joined[max(0, k - 1) : k] + joined[k + 1 : k + 2]
            if len(near) < 2 or any(one.kind not in ("num", "qty") for one in near):
                continue
            item.kind, item.word = "word", "-"
        if item.kind == "sep" and (not row or row[-1].kind == "sep") and not item.question:
            continue
        if item.kind != "sep" and len(row) == 2 and row[1].kind == "sep" and row[0].word in _AFTER_NO:
            row.pop()
        row.append(item)
    return row, spans


def _money_spans(text: str, items: list[Item]) -> list[Span]:
    """Sums of money that name their currency."""
    found: list[Span] = []
    i = 0
    while i < len(items):
        paid = money_at(items, i)
        near = items[i : paid[0]] if paid else []
        if paid is None or not paid[2] or not any(currency_at(item) for item in near):
            i += 1
            continue
        start, end = items[i].start, items[paid[0] - 1].end
        found.append(Span(text=text[start:end], start=start, end=end, value=paid[1], unit=paid[2]))
        i = paid[0]
    return found


def _without_openings(items: list[Item]) -> list[Item]:
    """Drop "could you" and the like where a clause begins: they only ask politely."""
    kept: list[Item] = []
    i = 0
    begins = True
    while i < len(items):
        if begins and (length := _opening(items, i)):
            i += length
            continue
        begins = items[i].kind == "sep" or items[i].word in ("and", "then", "please", "hey", "hi", "hello")
        kept.append(items[i])
        i += 1
    return kept


def _opening(items: list[Item], i: int) -> int:
    words: list[str] = []
    for item in items[i : i + 5]:
        if item.kind not in ("word", "num", "qty", "dur"):
            break
        words.append(item.word if item.kind == "word" else item.said)
    for n in range(len(words), 0, -1):
        said = " ".join(words[:n])
        if said in word_set("idioms") or (n < len(items) - i and said in word_set("openings")):
            return n
    return 0


def _clauses(items: list[Item]) -> list[int]:
    """The number of the clause that each item belongs to; breaks and "and" begin a new one."""
    clause, result = 0, []
    for item in items:
        if item.kind == "sep" or item.word in ("and", "then", "but"):
            clause += 1
        result.append(clause)
    return result


def _is_range(items: list[Item], covered: list[bool], i: int) -> bool:
    """Whether "65 to 67", "66 or 67" or "between 65 and 67" begins at item i: not one reading, so none."""
    if i + 2 >= len(items) or any(items[k].kind not in ("num", "qty") for k in (i, i + 2)):
        return False
    if all(covered[i : i + 3]):
        return False
    link = items[i + 1].word
    return link in ("to", "or", "-") or (link == "and" and i > 0 and items[i - 1].word == "between")


def _fits(match: Match, stage: str, expects: str | None) -> bool:
    """Whether a sentence is said at all in this situation; a time alone only answers a question of ours."""
    entry = match.sentence
    return (not entry.stages or stage in entry.stages) and (entry.name != "reminder.when" or expects == entry.name)


def _alone(match: Match, items: list[Item], clause: list[int], stops: frozenset[str], asking: bool) -> bool:
    """Whether all that is said lies in this match; "and 160" goes on with a question, or is one itself."""
    mine = {clause[k] for k in range(match.start, match.end)}
    if match.sentence.name == "again.asked" and not asking and not any(item.question for item in items[match.end :]):
        return False
    others = (i for i in range(len(items)) if clause[i] in mine and not match.start <= i < match.end)
    return all(items[i].kind == "sep" or items[i].word in stops for i in others)


def _range(items: list[Item], i: int, context: Context) -> Intent | None:
    """The question that a range of readings asks back: which of the two, or the middle."""
    low, high = items[i], items[i + 2]
    if high.kind == "qty" and low.kind == "num":
        low = Item("qty", "", low.start, low.end, low.value, high.unit)
    ends = [_bare(each, context) for each in (low, high)]
    if None in ends or any(end is not None and not end.name.startswith("reading.") for end in ends):
        return None
    first, second = (end for end in ends if end is not None)
    if first.name != second.name:
        return None
    key = first.name.partition(".")[2]
    return Intent(name="unclear.range", slots={"kind": key, "low": first.slots[key], "high": second.slots[key]})


def _runs_on(items: list[Item], covered: list[bool], i: int) -> bool:
    """Whether a bare number follows another one with nothing between ("1 litre 250", "1 057"): too unsure to record."""
    if covered[i] or items[i].kind != "num":
        return False
    before = items[i - 1] if i else None
    behind = items[i + 1] if i + 1 < len(items) else None
    if behind is not None and behind.kind in ("qty", "dur") and gravity_shape(items[i]) is None:
        return True
    if before is None or before.kind not in ("num", "qty", "dur"):
        return before is not None and before.word in _NOT_BEFORE_READINGS
    return before.kind == "num" or gravity_shape(items[i]) is None


def _bare(item: Item, context: Context) -> Intent | None:
    """What a number or quantity alone means, by the open question first and the stage after it."""
    slot, key = _EXPECTED.get(context.expects or "", ("", ""))
    of = KINDS.get(item.unit, "") if item.kind == "qty" else ""
    if item.kind == "num" and (item.fraction and item.value >= 1):
        # 10/10 is praise.
        return None
    if item.kind == "dur":
        if slot == "duration":
            return Intent(name=str(context.expects), slots={key: item.value})
        return Intent(name="unclear.duration", slots={"duration_s": item.value})
    if item.kind == "qty":
        name = _READING_OF.get(of)
        if of == "gravity":
            value = gravity_value(item)
            measured = None if value is None else Measured(value=value, unit="dimensionless")
        else:
            measured = Measured(value=item.value, unit=item.unit)
        if measured is None:
            return None
        if slot and (of == slot or (of == "length" and slot in ("depth", "diameter"))):
            return Intent(name=str(context.expects), slots={key: measured})
        return None if name is None else Intent(name=f"reading.{name}", slots={name: measured})
    if slot == "gravity" and (sg := gravity_value(item)) is not None and 0.95 <= sg <= 1.2:
        return Intent(name="reading.gravity", slots={"gravity": Measured(value=sg, unit="dimensionless")})
    if slot == "duration":
        return Intent(name=str(context.expects), slots={key: item.value * 60})
    too_hot = 110 if context.units == "metric" else 230
    if slot in ("temperature", "volume", "depth", "diameter", "mass") and not (slot == "temperature" and item.value > too_hot):
        unit = default_unit(slot, context)
        return Intent(name=str(context.expects), slots={key: Measured(value=item.value, unit=unit)})
    sg_shape = gravity_shape(item)
    if context.stage in _WORT_STAGES and item.raw and 9.8 <= item.value < 12 and item.value % 1:
        sg_shape = gravity_value(item)
    elif context.stage in _COLD_STAGES:
        # 19 may be 1.019 or 19 degrees: only what no fermenter's thermometer shows is a gravity.
        safe = item.value > (40 if context.units == "metric" else 100)
        sg_shape = gravity_value(item) if safe else sg_shape
    if sg_shape is not None and context.stage in _HOT_STAGES | _WORT_STAGES | _COLD_STAGES:
        return Intent(name="reading.gravity", slots={"gravity": Measured(value=sg_shape, unit="dimensionless")})
    if context.stage in _HOT_STAGES and item.value <= too_hot:
        unit = default_unit("temperature", context)
        return Intent(name="reading.temperature", slots={"temperature": Measured(value=item.value, unit=unit)})
    return Intent(name="unclear.number", slots={"value": item.value})


def _intents(match: Match, slots: Slots, context: Context) -> list[Intent]:
    """What a matched sentence says: one intent, one per clock of "5 and 10 minutes", none where it fits nothing."""
    name = match.sentence.name
    if context.expects in _EXPECTED and match.end - match.start == 1 and name.startswith("reading."):
        # A quantity alone answers our open question before it is anything else.
        answer = _bare(slots.items[match.start], context)
        if answer is not None and answer.name == context.expects:
            return [answer.model_copy(update={"text": slots.words(match.start, match.end)})]
    if name.startswith("again."):
        found = resolve(name, match.slots, context, lambda item: _bare(item, context))
        said = slots.words(match.start, match.end)
        return [] if found is None else [found.model_copy(update={"text": said})]
    intent = _intent(match, slots, context)
    lengths = intent.slots.get("durations")
    if lengths is None:
        return [intent]
    rest = {key: value for key, value in intent.slots.items() if key not in ("durations", "count")}
    if intent.slots.get("count", len(lengths)) != len(lengths):
        return []
    return [intent.model_copy(update={"slots": {**rest, "duration_s": each}}) for each in lengths]


def _like_the_last(filled: dict[str, Any], last: Intent) -> dict[str, Any]:
    """A corrected figure in the form of the one that it corrects: after a gravity "1052" is 1.052."""
    if "gravity" not in last.slots and "final" not in last.slots:
        return filled
    value = gravity_value(Item("num", "", 0, 0, float(filled["value"])))
    return filled if value is None else {**filled, "value": value, "unit": "dimensionless"}


def _intent(match: Match, slots: Slots, context: Context) -> Intent:
    name, filled = match.sentence.name, dict(match.slots)
    if name in _NAMED_OR_STAGE and "name" not in filled and not filled.pop("timer", None) and not context.names:
        name = _NAMED_OR_STAGE[name]
    filled.pop("timer", None)
    if context.expects == "reminder.when" and name == "snooze" and "duration_s" in filled:
        name = "reminder.when"
    said = slots.words(match.start, match.end)
    observed = re.search(r"\bis\b|'s\b", said) is not None
    if name == "recipe.mash" and "duration_s" not in filled and (observed or context.stage not in _BEFORE_MASH):
        name = "reading.temperature"
    asked, to = filled.get("quantity"), KINDS.get(str(filled.get("to")))
    if name == "ask.convert" and to == "volume" and isinstance(asked, Measured) and KINDS.get(asked.unit) == "length":
        # "how many litres is 14 cm" is about the pot and its stick.
        name, filled = "ask.depth_to_volume", {"depth": asked}
    if name == "ask.gravity_at" and context.last is not None and context.last.name == "reading.gravity":
        filled = {**context.last.slots, **filled}
    if name == "correct" and isinstance(measured := filled.pop("quantity", None), Measured):
        filled |= {"value": measured.value, "unit": measured.unit}
    if name == "correct" and "value" in filled and context.last is not None and "unit" not in filled:
        filled = _like_the_last(filled, context.last)
    if name == "reading.temperature" and context.stage in (None, "plan", "prepare") and said.lower().startswith(("mash at", "mash temp", "mash t")):
        # Before there is a mash, "mash at 66" is a wish and not a reading.
        name = "recipe.mash"
    if isinstance(filled.get("name"), str):
        filled["name"] = filled["name"].strip(" '\"").removeprefix("the ").removeprefix("my ")
    return Intent(name=name, slots=filled, text=said)


_ASKS_FIRST = re.compile(r"\s*(is|are|was|were|am|isn't|aren't|wasn't|(do|does|did|should|must|can) (i|we|it|the))\b", re.IGNORECASE)
_NOTED = re.compile(r"(?P<text>.*\S)[\s,.;:-]+(note that|write that down|make a note( of that)?)\W*", re.IGNORECASE | re.DOTALL)
_NOTE = re.compile(r"\s*note\s*:(?P<text>.*\S)", re.IGNORECASE | re.DOTALL)


_CODE = re.compile(r"\s*(?:batch\s+|code\s+)?(?P<code>B\d{1,9}[A-HJ-NP-TV-Z])\s*[.!?]?\s*", re.IGNORECASE | re.ASCII)
"""A batch's short code as it stands on a label."""


def understand(text: str, context: Context) -> Understanding:
    """Read one message; never raises on any text, and never records what it did not wholly understand.

    A clause with words left over is not a reading: it goes to ``unread``, so that chit-chat leaves no trace.
    """
    noted = _NOTE.match(text[:LONGEST_TEXT]) or _NOTED.fullmatch(text[:LONGEST_TEXT])
    if noted:
        # What a colon announces is kept as it was written, numbers and all, and is not read for anything else.
        note = Intent(name="note", slots={"text": noted["text"].strip()}, text=noted[0])
        return Understanding(text=text[:LONGEST_TEXT], intents=(note,))
    asked_of = yes_no_question(text[:LONGEST_TEXT])
    if asked_of is not None:
        return Understanding(text=text[:LONGEST_TEXT], intents=(asked_of,))
    if labelled := _CODE.fullmatch(text[:LONGEST_TEXT]):
        coded = Intent(name="batch.code", slots={"code": labelled["code"].upper()}, text=labelled[0])
        return Understanding(text=text[:LONGEST_TEXT], intents=(coded,))
    found = _read(text, *_items(text, context), context)
    if found.unread and "," in text:
        # "start a timer for the mash, 60 minutes": a comma inside one sentence; taken only if all of it is read then.
        items, spans = _items(text, context)
        joined = [item for item in items if item.raw != ","]
        again = _read(text, joined, spans, context)
        if again.intents and not again.unread and len(again.intents) >= len(found.intents):
            return again
    return found


def _read(text: str, items: list[Item], spans: list[Span], context: Context) -> Understanding:
    slots = Slots(text[:LONGEST_TEXT], items, context)
    here = context.stage or "none"
    fitting = [each for each in matches(items, slots.read) if _fits(each, here, context.expects)]
    chosen = best_cover(items, fitting)
    clause = _clauses(items)
    stops, about = word_set("stop_words"), word_set("about")
    # Words that go back to the last message mean so only where they are all that is said.
    asking = context.last is not None and context.last.name.startswith("ask.")
    chosen = [
        each
        for each in chosen
        if not each.sentence.name.startswith(("again.", "correct")) or _alone(each, items, clause, stops, asking)
    ]
    covered = [any(match.start <= i < match.end for match in chosen) for i in range(len(items))]
    cued: list[tuple[int, Intent]] = []
    for number in sorted(set(clause)):
        places = items_of(clause, number)
        # Where the sentences read every word that carries something, the words need not be weighed again.
        within = [match for match in chosen if match.start <= places[-1] and match.end > places[0]]
        whole = all(covered[i] or items[i].kind == "sep" or items[i].word in stops for i in places)
        if whole and (len(within) < 2 or any(match.slots for match in within)):
            continue
        name = cue_of([items[i] for i in places])
        if name is None or any(match.sentence.loose or match.end - 1 > places[-1] or match.start < places[0] for match in within):
            continue
        chosen = [match for match in chosen if match not in within]
        for i in places:
            covered[i] = True
        words = [i for i in places if items[i].kind == "word"]
        cued.append((words[0], Intent(name=name, text=slots.words(words[0], words[-1] + 1))))
    ranges: dict[int, Intent | None] = {}
    for i in range(len(items)):
        if not _is_range(items, covered, i):
            continue
        inside_range = [match for match in chosen if match.start < i + 3 and match.end > i]
        asks = _range(items, i, context)
        ranges[i] = asks if all(each.sentence.name.startswith("reading.") for each in inside_range) else None
        if ranges[i] is not None:
            chosen = [match for match in chosen if match not in inside_range]
            begin = i - 1 if i and items[i - 1].word in ("between", "from") else i
            covered[begin : i + 3] = [True] * (i + 3 - begin)
    leftover: set[int] = set()
    asked: set[int] = set()
    for i, item in enumerate(items):
        if item.question:
            asked.add(clause[i] - 1)
        elif not covered[i] and item.kind in ("word", "clock") and item.word not in stops | about:
            leftover.add(clause[i])
    found: list[tuple[int, Intent]] = cued
    for i, asks in ranges.items():
        ends = {clause[i], clause[i + 2]}
        if asks is None or ends & leftover:
            leftover |= ends
        else:
            found.append((i, asks.model_copy(update={"text": slots.words(i, i + 3)})))
    leftover |= {clause[i] for i in range(len(items)) if _runs_on(items, covered, i)}
    dropped: set[int] = set()
    contrary = word_set("denials") | word_set("asking")
    questioned = _ASKS_FIRST.match(text) is not None

    def unsaid(clauses: set[int], match: Match) -> list[int]:
        return [k for k in range(len(items)) if clause[k] in clauses and not match.start <= k < match.end]

    for match in chosen:
        mine = {clause[k] for k in range(match.start, match.end)}
        records = match.sentence.name.startswith(("reading.", "done.", "again.now"))
        # "how long till flame out" asks; in "67 how long left" the question comes after the reading and stands alone.
        denied = any(items[k].word in contrary and (k < match.start or not covered[k]) for k in unsaid(mine, match))
        in_doubt = denied or mine & asked or (questioned and 0 in mine)
        left = [k for k in unsaid(mine, match) if not covered[k] and items[k].kind == "word" and items[k].word not in stops | about]
        figures = any(items[k].kind in ("num", "qty", "dur", "clock") and not covered[k] for k in unsaid(mine, match))
        harmless = match.sentence.name.startswith(_HARMLESS) and match.end - match.start >= 2
        if harmless and len(left) <= _MOST_UNREAD and not figures:
            leftover -= mine
        wish = questioned and 0 in mine and not match.sentence.name.startswith(_HARMLESS)
        if (records and in_doubt) or wish or (not match.sentence.loose and mine & leftover):
            dropped |= mine
        elif meant := _intents(match, slots, context):
            found.extend((match.start, intent) for intent in meant)
        else:
            dropped |= mine
    clause_places = {number: frozenset(items_of(clause, number)) for number in set(clause)}
    for i, item in enumerate(items):
        if covered[i] or item.kind not in ("num", "qty", "dur"):
            continue
        denied = any(items[k].word in contrary and (k < i or not covered[k]) for k in clause_places[clause[i]])
        doubted = denied or clause[i] in leftover | asked | dropped or (questioned and clause[i] == 0)
        bare = None if doubted else _bare(item, context)
        beside = [pair for pair in found if pair[0] in clause_places[clause[i]]]
        if bare is None or (bare.name.startswith("unclear.") and beside):
            # "flat 6", "back on the 5th": a number that means nothing puts the words beside it in doubt.
            leftover.add(clause[i])
            found = [pair for pair in found if pair not in beside or pair[1].name.startswith("reading.")]
        else:
            found.append((i, bare.model_copy(update={"text": slots.words(i, i + 1)})))
    if len(found) > 1:
        # "ok 66 now": beside something else it agrees to nothing.
        found = [pair for pair in found if pair[1].name != "yes"]
    found.sort(key=lambda pair: pair[0])
    strange = leftover | dropped
    return Understanding(
        text=text[:LONGEST_TEXT],
        quantities=tuple(spans),
        intents=tuple(intent for _, intent in found),
        unread=_unread(text, items, clause, strange, chosen, covered),
    )


def _unread(
    text: str,
    items: list[Item],
    clause: list[int],
    strange: set[int],
    chosen: list[Match],
    covered: list[bool],
) -> tuple[str, ...]:
    """The pieces of text, clause by clause, that nothing was made of."""
    kept = [False] * len(items)
    for match in chosen:
        mine = {clause[k] for k in range(match.start, match.end)}
        if match.sentence.loose or not mine & strange:
            kept[match.start : match.end] = [True] * (match.end - match.start)
    pieces: list[str] = []
    for number in sorted(strange):
        left = [i for i in items_of(clause, number) if not kept[i] and items[i].kind != "sep"]
        if left:
            pieces.append(text[items[left[0]].start : items[left[-1]].end])
    return tuple(pieces)


def items_of(clause: list[int], number: int) -> list[int]:
    """The places of the items of one clause."""
    return [i for i, mine in enumerate(clause) if mine == number]
