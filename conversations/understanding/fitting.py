"""Whether a sentence that was found in a message is meant there: by the stage, by what was said last, by what is beside it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import pairwise

from conversations.intents import Context, Intent, Measured
from conversations.understanding.bare import read_bare
from conversations.understanding.bare_figures import gravity_shape
from conversations.understanding.cues import TOLD
from conversations.understanding.following import resolve
from conversations.understanding.no_beer import is_drunk, is_no_beer, is_no_price, of_another_time
from conversations.understanding.rows import places_of
from conversations.understanding.sentences import Match
from conversations.understanding.weeks_said import names_no_day, of_the_room_alone
from conversations.understanding.words import Item, word_set

_GONE_TO = frozenset({"gone", "went", "going", "off", "trying", "tried", "managed", "left"})
_HAPPENED = ("done.", "hops.", "bottle.", "batch.close", "look.")
_LAST_HOUR = 24
_FURTHER = frozenset({"another", "further", "extra", "more", "longer"})
_SUPPOSED = frozenset({"would", "could", "might", "should", "will", "can"})
_IN_HAND = frozenset({"have", "has", "left", "need", "needs", "stock", "buy", "bought", "shop"}) | _SUPPOSED
_HOW_MANY = frozenset({"plenty", "lots", "loads", "masses", "heaps"})
_WILD = frozenset({"mad", "crazy", "nuts", "bonkers", "wild", "berserk"})
_IS_OVER = frozenset({"boiled", "mashed", "took", "taken", "lasted", "ran", "went", "was"})
_OF_HOPS = frozenset({"hops", "hop", "addition", "additions"})
_SWITCHED = frozenset({"on", "off"})
_BURNS = frozenset({"boil", "flame", "gas", "fire"})
_SPUN = frozenset({"whirlpooled", "gave", "given", "did", "done", "finished", "over", "stirred", "swirled", "spun"})
_PERSONS = frozenset({"i", "you", "we", "they", "he", "she"})
_NOT_BEFORE_READINGS = frozenset({"in", "by", "for", "till", "until", "of", "number", "no", "room", "page", "bus", "from"})
"""A bare number behind one of these is a time or a name."""


def is_range(items: list[Item], covered: list[bool], i: int) -> bool:
    """Whether "65 to 67", "66 or 67" or "between 65 and 67" begins at item i: not one reading, so none."""
    if i + 2 >= len(items) or any(items[k].kind not in ("num", "qty") for k in (i, i + 2)):
        return False
    if all(covered[i : i + 3]):
        return False
    link = items[i + 1].word
    return link in ("to", "or", "-") or (link == "and" and i > 0 and items[i - 1].word == "between")


_SAYS_MORE = re.compile(r"[,.;!?\d]|\b(and|then|but)\b", re.IGNORECASE)
_FEWEST_VOLUMES = 1.2
_THINNEST_WORT, _THICKEST = 1.015, 1.2
_WARMEST_C = {"kit.grain_temperature": 45.0, "kit.thermometer_ice": 20.0}


def too_warm(name: str, slots: Mapping[str, object]) -> bool:
    """Whether grain, or ice in water, would be warmer than they can be: "in the sink with ice, reading 82"."""
    warmth = slots.get("temperature")
    return name in _WARMEST_C and isinstance(warmth, Measured) and warmth.in_unit("degC") > _WARMEST_C[name]


def _may_be_thinned_to(gravity: object, stage: str) -> bool:
    """Whether wort may be meant to come to a gravity by water: before it ferments hardly to that of beer."""
    least = _THINNEST_WORT if stage in ("drain", "top_up", "boil") else 0.98
    return not isinstance(gravity, Measured) or gravity.unit != "dimensionless" or least <= gravity.value <= _THICKEST


def _names_a_beer(name: str) -> bool:
    """Whether a name has a style in it, or is written as a name."""
    return name[:1].isupper() or any(word in word_set("styles") for word in name.lower().split())


def fits(match: Match, stage: str, expects: str | None) -> bool:
    """Whether a sentence is said at all in this situation; a time alone only answers a question of ours."""
    entry = match.sentence
    if too_warm(entry.name, match.slots):
        return False
    if entry.name == "priming.told" and isinstance(volumes := match.slots.get("volumes"), float) and volumes < _FEWEST_VOLUMES and volumes * 100 % 1:
        # "gravity is 1.048, volume 10 litres"
        return False
    if entry.name == "ask.water_to_gravity" and not _may_be_thinned_to(match.slots.get("gravity"), stage):
        # "how much water brings me to 8" is of litres.
        return False
    if entry.name == "timer.start" and _SAYS_MORE.search(str(match.slots.get("name", ""))):
        # "timer 10 minutes to boil the eggs, mash is at 66"
        return False
    if entry.name == "stock.enough" and not _names_a_beer(str(match.slots.get("name", ""))):
        # "can I brew with the kids in the kitchen"
        return False
    if entry.name == "brew.start" and (is_no_beer(str(match.slots.get("name", ""))) or is_drunk(match.slots)):
        return False
    return (not entry.stages or stage in entry.stages) and (entry.name != "reminder.when" or expects == entry.name)


def _alone(match: Match, items: list[Item], clause: list[int], stops: frozenset[str], asking: bool) -> bool:
    """Whether all that is said lies in this match; "and 160" goes on with a question, or is one itself."""
    for way in (range(match.start - 1, -1, -1), range(match.end, len(items))):
        for i in way:
            if clause[i] not in (clause[match.start], clause[match.end - 1]):
                break
            if items[i].kind != "sep" and items[i].word not in stops:
                return False
    return match.sentence.name != "again.asked" or asking or any(item.question for item in items[match.end :])


def _of_a_sample(said: list[Item]) -> bool:
    """ "sample was at 19": degrees or 1.019, which only the brewer knows."""
    last, words = said[-1], [each.word for each in said]
    return words[:1] == ["sample"] and "at" in words and last.kind == "num" and 5 < last.value <= 45


_LINKS = (["and", "then"], ["and", "now"])


def _ends(match: Match, items: list[Item]) -> bool:
    """Whether nothing that says something stands behind a match."""
    return all(each.kind == "sep" or each.word in word_set("fillers") for each in items[match.end :])


def goes_back(match: Match, items: list[Item], clause: list[int], stops: frozenset[str], context: Context) -> bool:
    """False for words that go back to the last message where they are not all that is said, or nothing there fits them."""
    name = match.sentence.name
    if name == "correct.when" and items[match.start].word not in ("i", "we") and any(item.kind == "dur" and item.unit in ("second", "minute", "hour") for item in items[match.start : match.end]):
        # "that was 3 minutes ago" is of what was done.
        return False
    if name == "settings.units" and match.end - match.start == 1 and items[match.start].raw == "us":
        # "That's us, heat's off": we are done, and no units are named.
        return False
    if name == "correct.when" and not (context.last is not None and context.last.name.startswith("reading.")):
        return False
    ahead = [each.word for each in items[max(0, match.start - 2) : match.start]]
    if name == "look.foam_down" and _BURNS.intersection(ahead) and ahead[-1] != "down":
        # "the boil has gone down" is off the boil.
        return False
    if name == "unclear.took" and not any(each.raw.lower() in _IS_OVER for each in items[match.start : match.end]):
        # "boil for 70 minutes" asks for it.
        return False
    if match.slots.pop("them", None) or match.slots.pop("they", None):
        # "forgot the hops, they're in now"
        alone = any(each.word in ("them", "those") for each in items) and _alone(match, items, [0] * len(items), stops, True)
        return alone or any(each.word in _OF_HOPS or each.word in word_set("hops") for each in items[: match.start])
    if name in ("again.same", "stage.back") and items[match.start].word != "go" and any(near.word in _SWITCHED for near in (*items[max(0, match.start - 1) : match.start], *items[match.end : match.end + 1])):
        # "the hob was off, it's on again", "it's back on": nothing is measured again by that, and no stage gone back.
        return False
    if name == "done.whirlpooled" and not any(each.raw.lower() in _SPUN for each in items[match.start : match.end]):
        # "whirlpool for 5 minutes" asks for a clock.
        return False
    if match.slots.get("what") == "strike" and any(each.question for each in items):
        # "strike water 70?" asks for it.
        return False
    if name == "correct" and any(each.word in ("should", "must") for each in items[match.start : match.end]):
        wrong = word_set("mistaken")
        if not any(each.word in wrong or each.word in ("been", "say", "read") for each in items):
            return False
    if name == "correct" and items[match.start].word in ("at", "measured", "taken") and (
        context.expects != "yes_no" or context.last is None or context.last.name != "reading.gravity"
    ):
        # "at 64 degrees" is the sample's only while its gravity is what we ask about.
        return False
    if name == "correct" and any(each.word in ("sample", "wort", "jar", "tube") for each in items[match.start : match.end]) and (
        context.last is None or context.last.name != "reading.gravity"
    ):
        return False
    if name == "settings.units" and [each.word for each in items[match.start : match.end]] == ["set", "us"] and not _ends(match, items):
        # "set us a fifty minute timer"
        return False
    if name == "timeline.start" and word_set("at_work") & {each.word for each in items} and not {"if", "when", "what"} & {each.word for each in items[match.start : match.end]}:
        # "in the bakery I start at 3 in the night"
        return False
    if name == "done.squeezed" and match.start and items[match.start - 1].word in _SUPPOSED | {"may", "shall", "must", "do"}:
        # "bag out, can I squeeze it hard"
        return False
    if name == "batch.close" and match.start == 1 and items[0].word in ("has", "have"):
        # "has every bottle been drunk"
        return False
    if name == "stock.shopping" and [each.word for each in items[match.start : match.start + 2]] == ["what", "to"]:
        # "what to buy my wife for her birthday"
        return _alone(match, items, clause, stops, True)
    if name == "stock.gone" and items[match.start].word == "no" and not _alone(match, items, [0] * len(items), stops, True):
        # "no munich left, use vienna instead": what is wanted is the other malt.
        return False
    if name.startswith("recipe.") and of_another_time(name, " ".join(each.word for each in items[: match.start])):
        return False
    if name == "stock.bought" and is_no_price(match.slots, items[match.start : match.end]):
        return False
    if name == "kit.thermometer_ice" and any(each.word in ("bath", "wort", "pot", "sink") for each in items):
        # "ice bath, wort at 40 degrees"
        return False
    if name in ("done.hops", "done.hops_late") and any(each.word in _SUPPOSED for each in items[match.start : match.end]):
        return False
    if name == "ask.next" and [each.word for each in items[match.start : match.end]] in _LINKS and not _ends(match, items):
        # "mash an hour and then boil an hour": goes on, and asks nothing.
        return False
    if name in ("edit.sample", "edit.original", "ask.pitch"):
        # "the kitchen was at 25 degrees when I took that"
        return _alone(match, items, clause, stops, True)
    if name == "reading.gravity" and _of_a_sample(items[match.start : match.end]):
        return False
    if name in ("recipe.boil", "recipe.mash") and any(each.word in _FURTHER for each in items[match.start : match.end]):
        # "boil another 10 minutes" is no boil of ten minutes.
        return False
    if name == "done.put_in" and any(each.word in _IN_HAND for each in items):
        # "I only have 10 grams" tells of what there is, and not of what went in.
        return False
    if name.startswith("weeks."):
        # "ask me tomorrow" puts a check off; "1.012 tomorrow" does not.
        return not names_no_day(match, items) and _alone(match, items, [0] * len(items), stops, True)
    if name == "snooze" and ("duration_s" not in match.slots or items[match.start].word == "in"):
        return _alone(match, items, clause, stops, True)
    if name == "diary.search" and match.start > 1 and items[match.start - 1].word == "to" and items[match.start - 2].word in _GONE_TO:
        # "he's gone to find his lucky hat"
        return False
    if name == "ask.away" and any(items[k].kind == "word" and items[k].word not in stops for k in range(match.start) if clause[k] == clause[match.start]):
        # "bubbling away for a week", "my uncle is on holiday for a week"
        return False
    if match.slots.pop("styled", None):
        # "let's do a mild" begins one, "let's do the washing up" does not.
        return _alone(match, items, clause, stops, True) and any(word in word_set("styles") for word in str(match.slots.get("name", "")).lower().split())
    if about := match.slots.pop("it", None):
        # "squeezed the bag and it's out": what is out is the bag only where the bag was spoken of.
        alone = bool(match.slots) or _alone(match, items, clause, stops, True)
        return alone and any(item.word in about.split("|") for item in items[: match.start])
    if name == "reading.temperature" and items[match.start].raw.lower() == "match" and not any(item.value > _LAST_HOUR for item in items[match.start : match.end]):
        # "match is at 66" was the mash; "match is at 7" is on the telly.
        return False
    if name.startswith((*_HAPPENED, "recipe.", "stock.", "kit.", "unclear.dry")) and any(items[k].word in ("remind", "reminder") and clause[k] == clause[match.start] for k in range(match.start)):
        # "remind me in 20 min to start chilling", "remind me tomorrow to put 10 g of fuggle in the fermenter"
        return False
    if name == "timer.start" and items[match.start].kind == "dur" and "timer" not in match.sentence.sentences[0] and not _alone(match, items, clause, stops, True):
        # "half an hour for the bus to come"
        return False
    before = items[match.start - 1] if match.start and clause[match.start - 1] == clause[match.start] else None
    if name == "timer.cancel" and items[match.start].word == "stop" and _is_doing(str(match.slots.get("name", ""))) and not (
        has_clock(Intent(name=name, slots=match.slots), context) or any(each.word in ("timer", "alarm") for each in items[match.start : match.end])
    ):
        # "stop hitting your brother"
        return False
    if name == "ask.fault" and any(word in word_set("feelings") for word in str(match.slots.get("name", "")).lower().split()):
        # "my wife hates the smell", "cant wait to taste it"
        return False
    if name == "ask.fault" and before is not None and before.word == "what" and "name" in match.slots:
        # "what a heavenly smell of breakfast" praises it.
        return False
    if name == "diary.search" and before is not None and before.word in word_set("denials") | {"cant", "couldn't", "couldnt"}:
        # "can't find my bit of paper"
        return False
    if name == "ask.room" and not of_the_room_alone(match, [items[k] for k in places_of(clause, clause[match.start]) if not match.start <= k < match.end]):
        return False
    if name.endswith(".forget") and before is not None and before.word in _PERSONS:
        # "I forget the pot height"
        return False
    if name == "ask.ok_at" and items[match.end - 1].word == "right" and match.end < len(items) and items[match.end].word in ("now", "at", "this"):
        # "water is at 50 right now"
        return False
    if name == "look.alive" and items[match.start].word in _HOW_MANY:
        # "plenty of bubbles in the bath"
        return _alone(match, items, clause, stops | {"still", "yet", "again"}, True)
    if name == "look.alive" and match.end - match.start == 1 and items[match.start].word in _WILD and any(each.kind != "sep" for each in items[: match.start]):
        # "he paid 40 for a haircut, mad"
        return False
    if name == "done.flame_out" and items[match.start].word == "hops" and not items[match.start].raw.lower().startswith("hob"):
        # "hobs off" turns off the heat; hops that are off have gone bad.
        return False
    if name == "done.boiling" and items[match.start].word == "boiling" and match.end - match.start == 1:
        # "5.9 litres left after boiling" tells of the litres.
        return before is None or before.kind == "sep" or before.word in stops - {"to", "of", "for", "on", "in", "with", "by"}
    if name == "kit.pot_capacity" and context.stage not in (None, "plan", "prepare") and _before_a_stop(match, items):
        # "Heat off, 10.6 litres, the pan stands in cold water": a stop stood behind the litres, so they are not of the pan.
        return False
    if name == "kit.pot_capacity" and before is not None and before.word in ("in", "inside"):
        # "in the pot are 10 litres"
        return False
    if name == "reading.gravity" and before is not None and before.word in ("in", "since") and items[match.start].kind == "num":
        # "that was in 1066"
        return False
    if name == "brew.start" and not match.slots and items[match.end : match.end + 1] and items[match.end].word in word_set("parts_of_the_day"):
        # "let's start the boil"
        return False
    if name in ("note", "brew.start") and match.start > 0 and clause[match.start - 1] == clause[match.start] and items[match.start - 1].kind != "sep" and (
        name == "note" or items[match.start - 1].word not in stops
    ):
        # "remind me to note the temperature" is no note, and "put the brew on hold" begins none.
        return False
    of_the_pot = name == "kit.material" and any(each.word in ("across", "wide", "diameter") for each in items) and items[0].word in ("pot", "kettle", "pan")
    if match.end - match.start == 1 and items[match.start].kind == "word" and not name.startswith(TOLD) and not of_the_pot and not _alone(match, items, clause, stops, True):
        # One word means something only where it is all that is said.
        return False
    if not name.startswith(("again.", "correct")):
        return True
    asking = context.last is not None and context.last.name.startswith("ask.")
    if not _alone(match, items, clause, stops, asking):
        return False
    return not name.startswith("again.") or resolve(name, match.slots, context, lambda item: read_bare(item, context)) is not None


def _before_a_stop(match: Match, items: list[Item]) -> bool:
    """Whether a quantity of a match has more than a blank behind it; a comma may have been left out of the items."""
    return any(each.kind == "qty" and (behind.kind == "sep" or behind.start - each.end > 1) for each, behind in pairwise(items[match.start : match.end]))


_WANTED = re.compile(r"\bto (get|reach|make|hit|end up with)\b|\b(drop|bring|get|take|reduce|lower) (it|this|that) (down )?to\b|\bboil(ed|s)?[- ]?off\b|\byou (said|told|wanted|asked)\b|\bevaporat", re.IGNORECASE)


def says_what_is_wanted(text: str) -> bool:
    """Whether words say what is to be reached ("water to get 8 litres") or what went off as steam, and not what is there."""
    return _WANTED.search(text) is not None


def is_wanted(text: str, items: list[Item], places: list[int]) -> bool:
    """Whether a clause says what is to be reached."""
    return says_what_is_wanted(text[items[places[0]].start : items[places[-1]].end])


_BEFORE_DIFFERENCE = frozenset(["dropped", "drop", "fell", "fallen", "up", "down", "rose", "risen", "climbed", "gained", "lost", "crept", "another", "within"])
_BEHIND_DIFFERENCE = frozenset(["off", "down", "up", "warmer", "cooler", "colder", "hotter", "too", "short", "less", "more", "high", "low", "out", "over", "under", "below", "above", "higher", "lower"])


def is_difference(items: list[Item], i: int) -> bool:
    """Whether degrees are how far apart two temperatures are ("dropped 2 degrees", "half a degree off") and no reading."""
    if items[i].kind != "qty" or items[i].unit not in ("degC", "degF") or "deg" not in items[i].said:
        return False
    before = items[i - 1].word if i else ""
    if before == "by":
        before = items[i - 2].word if i > 1 else ""
    behind = items[i + 1].word if i + 1 < len(items) else ""
    return before in _BEFORE_DIFFERENCE or (behind in _BEHIND_DIFFERENCE and items[i].value < 20)


_MASHED = frozenset({"grain", "grains", "malt", "malts"})
_LEAST_WARM = 40
"""Behind grain that went in, no minutes but degrees; of a mash nobody says less."""


def runs_on(items: list[Item], covered: list[bool], i: int) -> bool:
    """Whether a bare number follows another one with nothing between ("1 litre 250", "1 057"): too unsure to record."""
    if covered[i] or items[i].kind != "num":
        return False
    before = items[i - 1] if i else None
    behind = items[i + 1] if i + 1 < len(items) else None
    if items[i].fraction and i > 1 and before is not None and before.word == "and" and items[i - 2].kind in ("num", "qty"):
        # "64.5 C and a half"
        return True
    if behind is not None and behind.kind in ("qty", "dur") and gravity_shape(items[i]) is None:
        return True
    if before is not None and before.word == "in" and covered[i - 1] and i > 1 and items[i - 2].word in _MASHED and items[i].value > _LEAST_WARM:
        # "grain's in 66.1"
        return False
    if before is None or before.kind not in ("num", "qty", "dur"):
        return before is not None and before.word in _NOT_BEFORE_READINGS
    return before.kind == "num" or gravity_shape(items[i]) is None


_TIMED_THINGS = frozenset({"timer", "clock", "steep", "whirlpool", "rest", "chill", "cooling", "egg", "eggs", "pasta", "rice", "tea", "potatoes", "pizza", "bread", "cake", "oven"})


def _is_doing(name: str) -> bool:
    """Whether a name is something that somebody does ("licking the spoon")."""
    first = (name.lower().split() or [""])[0]
    return first.endswith("ing") and len(first) > 5


def has_clock(intent: Intent, context: Context) -> bool:
    """Whether what a bare number is added to has a clock, or could: it has no name, or one of a timer or of the brewing."""
    words = str(intent.slots.get("name", "")).lower().split()
    kitchen = word_set("about") | word_set("hops") | _TIMED_THINGS
    return not words or " ".join(words) in {name.lower() for name in context.names} or any(word in kitchen for word in words)


def without_questions(places: list[int], match: Match, chosen: list[Match]) -> list[int]:
    """The places of a clause without those of a question in it: "next" of "hops in what's next" is no time to come."""
    asked = [each for each in chosen if each is not match and each.sentence.name.startswith("ask.")]
    return [k for k in places if not any(each.start <= k < each.end for each in asked)]


def pieces_unread(
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
        left = [i for i in places_of(clause, number) if not kept[i] and items[i].kind != "sep"]
        if left:
            pieces.append(text[items[left[0]].start : items[left[-1]].end])
    return tuple(pieces)
