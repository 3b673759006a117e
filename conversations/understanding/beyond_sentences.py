"""Reads a message as the sentences do and, where they read nothing, as what it most likely means.

What answers is done where the model is sure of it. What records is done only where nothing marks the message as talk and
every figure of it has its place, in words that are read like any message; else it is left unread, to be asked about.
"""

from __future__ import annotations

import re
from functools import cache

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.answers import find_answer
from conversations.understanding.asking import (
    asks_for_certain,
    asks_politely,
    asks_what_to_expect,
    has_question_word,
    is_polite,
    wonders,
)
from conversations.understanding.bottle_tried import not_as_found
from conversations.understanding.brew_begun import begins_none, brew_begun
from conversations.understanding.clean_core import clean_core
from conversations.understanding.closings import without_openings
from conversations.understanding.cues import AS_WRITTEN, HARMLESS, not_yet
from conversations.understanding.doubts import apart, doubtful, has_its_word, left_to, long_named, share
from conversations.understanding.elsewhere import told_of_another
from conversations.understanding.fitting import says_what_is_wanted, too_warm
from conversations.understanding.helped import as_mine, of_theirs
from conversations.understanding.in_parts import in_parts, takes_figures, wants_the_figure
from conversations.understanding.likely_intent import NO_INTENT, NOTHING, SEVERAL, Likely, Model, likely, shipped
from conversations.understanding.likeness import WORD, Likeness, counts_as, likeness, settings, some
from conversations.understanding.nearest import sort_of
from conversations.understanding.no_beer import is_drunk
from conversations.understanding.owned_up import owned_up
from conversations.understanding.plainly_put import plainly_put, put_in_after_all
from conversations.understanding.reasons import ordered_for_a_reason
from conversations.understanding.self_corrections import behind_what_is_taken_back, named_anew, put_right_within
from conversations.understanding.told_in_the_weeks import told_in_the_weeks
from conversations.understanding.understand import understand
from conversations.understanding.water_beside import says_only_where
from conversations.understanding.what_if import settled
from conversations.understanding.wordings import Bank, part, put, wordings
from conversations.understanding.words import LONGEST_TEXT, word_set
from conversations.understanding.words_left_out import second_of_the_same, without_orphans
from conversations.understanding.yeast_codes import yeast_code

_LONGEST = 160
"""Letters of a message that may be one thing; what is longer tells a story."""
_MOST_PARTS = 2
_TOLD = ("reading.", "done.", "bottle.", "look.", "stock.", "hops.", "reminder.set")
_PUT_IN = ("done.grain_in", "done.pitched", "done.hops")
_STANDS_IN = re.compile(r"(\b(is|are|sits?|still)|'s|s'|hops|grains?|yeast) in (the|my|our|your|his|her|a) (?P<place>[\w-]+)")
_HELPED = ("done.", "reading.", "hops.", "bottle.count", "note")
_A_CHOICE = re.compile(r"\b[a-z]+ or [a-z]+", re.IGNORECASE)
_SHORT = 3
_IDLE_END = re.compile(r"(?<=\w)[\s,]+(btw|by the way|lol|haha|tho|innit|cheers|ta|mate|love|thanks)(?=\W*$)", re.IGNORECASE)
"""At the end these say nothing, and the model has seen too few of them to know."""
_UNSURE = re.compile(r"\b(don'?t|do not|not) (know|sure) (if|whether)\b|\bwonder(ing)? (if|whether)\b", re.IGNORECASE)
_TOOK = frozenset({"took", "taken", "lasted"})
_INTO_THE_POT = re.compile(r"\b(in|into|inside) (the |my )?(pot|wort|boil|kettle)\b", re.IGNORECASE)
_COOLS = re.compile(r"\b(cool|cools|cooling|chill|chills|chilling)\b", re.IGNORECASE)
_OF_THE_FERMENTER = ("done.fermenter_cooled", "done.fermenter_warmed", "done.fermenter_moved")
_BUBBLES_AWAY = re.compile(r"\b(bubbl|tick|chug|ferment|blip|plop|pop|gurgl|foam|fizz|burp|glug|puff|steam|boil|simmer|work)(s|ed|es|ing|in) (happily |merrily |nicely |quietly |slowly )?away\b", re.IGNORECASE)
_COOL_IT = re.compile(r"\W*(please |kindly |now |then )?(cool|chill) (it|her|this|that|the|down)\b", re.IGNORECASE)
_MORE_LIKE = re.compile(r"\b(more like|nearer|closer to)\b", re.IGNORECASE)
_IS_NOT = re.compile(r"\b(not|isn't|isnt|wasn't|wasnt) \S+\W*$", re.IGNORECASE)
_WAITS = re.compile(r"\W*(hang|hold) on,? (about |for )?\w+( (secs?|seconds|mins?|minutes))?\W*", re.IGNORECASE)
_ORDERED_NOT = re.compile(r"\W*(please |now |and |so )?(do(n['’]?| no)t|never)\b", re.IGNORECASE)
"""How an order not to do it begins, which tells nothing that was done."""
_BEGINS_BADLY = {
    "done.chilled": re.compile(r"\b(slow|slowly|ages|forever|still|too long|(?<!down )cooling(?! (is )?(done|over|finished|complete)))\b", re.IGNORECASE),
    "done.boiling": re.compile(r"\b(barely|hardly|scarcely|only just|not really|nearly|almost)\b", re.IGNORECASE),
}
"""What has not come that far."""
_AGO = re.compile(r"\bago\b", re.IGNORECASE)
_IN_STOCK = ("stock.left", "stock.bought")


def read(text: str, context: Context, model: Model | None = None, bank: Bank = wordings, *, whole: bool = True) -> Understanding:
    """Read one message, and give a question the figure that it was read without."""
    return settled(_read(text, context, model, bank, whole), context)


def _read(text: str, context: Context, model: Model | None, bank: Bank, whole: bool) -> Understanding:
    """Read one message; ``taken_for`` of the result says in known words what it was taken for, if not by the sentences.

    With ``whole`` false it is a part of a message already, and is not cut again.
    """
    if (bottles := told_in_the_weeks(text, context, understand)) is not None and (whole or [each.name for each in bottles.intents] != ["bottle.opened"]):
        return bottles
    if (plainly := owned_up(text, context)) is not None:
        # "hang on a sec, 13.1"
        told = understand(plainly, context)
        if [each.name for each in told.intents] == ["correct"] and not told.unread:
            return told.model_copy(update={"text": text[:LONGEST_TEXT]})
    if (after_all := put_in_after_all(text, context, understand)) is not None:
        return after_all
    if (mended := put_right_within(text, context) or named_anew(text, context) or plainly_put(text, context)) is not None:
        told = read(mended, context, model, bank)
        return told.model_copy(update={"text": text[:LONGEST_TEXT], "unread": told.unread if told.intents else (text[:LONGEST_TEXT],)})
    if (coded := yeast_code(text)) is not None:
        return _with_its_yeast(text, *coded, context, model, bank)
    if (mine := as_mine(text)) is not None:
        # "uncle stirred it"
        told = understand(mine, context)
        if told.intents and not told.unread and all(each.name.startswith(_HELPED) for each in told.intents):
            return Understanding(text=text[:LONGEST_TEXT], intents=told.intents)
    if of_theirs(text):
        return Understanding(text=text[:LONGEST_TEXT], unread=(text[:LONGEST_TEXT],))
    found = understand(text, context)
    if (begun := brew_begun(text, found, context)) is not None:
        return begun
    if len(text) > _LONGEST or (context.expects or "").startswith("tasting.") or not (found.intents or found.unread):
        return found
    if (every_one := second_of_the_same(text, found, context)) is not None:
        return every_one
    if (first_unread := without_orphans(found, context)) is not found:
        return first_unread
    read_whole = bool(found.intents) and not found.unread
    if (core := clean_core(text, context, found.intents if read_whole else None)) is not None:
        return core
    if (ordered := ordered_for_a_reason(text, context, found, understand)) is not None:
        return ordered
    message = likeness(_IDLE_END.sub("", text), context)
    if {*message.stems} <= _of_greetings():
        return found
    every = likely(message, context, model)
    only_part = bool(found.unread) or (len(found.intents) == 1 and share(every, SEVERAL) >= settings()["several_at_once"])
    if whole and only_part and not _only_this(found, every) and share(every, NOTHING) < settings()["talk_uncut"] and not (takes_figures(every[0].name) and every[0].probability >= settings()["sure_asked"]):
        parts = in_parts(text, context, found, lambda part: read(part, context, model, bank, whole=False))
        if parts is not None:
            return parts
    if not found.intents:
        return beyond(found, message, context, every, bank) or _after_taking_back(found, context, every[0]) or found
    page, left, first = settings(), left_to(found, every), every[0]
    if not {intent.name for intent in found.intents} <= {*(model or shipped()).names}:
        # A meaning that the model has not learned yet cannot be unlikely to it; but what was measured beside it can.
        talk = first.name == NOTHING and first.probability >= page["contradicted_by_talk"] and any(each.name.startswith("reading.") for each in found.intents)
        return found.model_copy(update={"intents": (), "unread": (text[:LONGEST_TEXT],)}) if talk else found
    harmless, others = first.name.startswith(HARMLESS), {each.name for each in found.intents} - {first.name}
    one = first.probability >= page["sure_single"] and share(every, SEVERAL) < page["hardly_several"]
    if found.unread and left < page["doubted_part"]:
        # A part of a message was read, as something that the whole of it is not.
        replaced = first.probability >= page["sure_whole"]
    elif len(found.intents) > 1 and others and first.name not in others:
        # What is told as done in a message read to its last word stays done: "18 g of fuggle are in set sixty minutes please".
        stays = first.name.startswith("recipe.") and not found.unread and any(each.name.startswith("done.") for each in found.intents)
        replaced = (one or (wants_the_figure(found) and first.probability >= page["sure_other"])) and not apart(found) and not stays
    else:
        replaced = left < page["doubted"] and harmless and first.probability >= page["sure_other"]
    if replaced and (other := beyond(found, message, context, every, bank)) is not None:
        return other
    if doubtful(found, first, every, left, context):
        return found.model_copy(update={"intents": (), "unread": (text[:LONGEST_TEXT],)})
    if not found.unread or (one and first.name in {each.name for each in found.intents}):
        return found
    return _with_parts(found, context, model, bank)


def _with_its_yeast(text: str, rest: str, yeast: Intent, context: Context, model: Model | None, bank: Bank) -> Understanding:
    """A message that names a yeast by its code: what is asked is answered, what is done is told with its name, and else nothing is guessed."""
    if not rest:
        return Understanding(text=text[:LONGEST_TEXT], intents=(yeast,))
    told = read(rest, context, model, bank)
    if told.unread or not told.intents or told.taken_for:
        return Understanding(text=text[:LONGEST_TEXT], unread=(text[:LONGEST_TEXT],))
    named = all(each.name == "done.pitched" for each in told.intents) and not asks_for_certain(text)
    answered = all(each.name.startswith("ask.") for each in told.intents)
    if not (named or answered):
        return Understanding(text=text[:LONGEST_TEXT], unread=(text[:LONGEST_TEXT],))
    return Understanding(text=text[:LONGEST_TEXT], intents=(yeast, *told.intents) if named else told.intents)


def _with_parts(found: Understanding, context: Context, model: Model | None, bank: Bank) -> Understanding:
    """What the parts of a message mean that were left unread beside others."""
    more: list[Understanding] = []
    for piece in found.unread[:_MOST_PARTS]:
        message = likeness(piece, context)
        every = likely(message, context, model)
        if len(message.words) + len(message.pieces) < 2 or every[0].probability < settings()["sure_part"]:
            continue
        told = beyond(Understanding(text=piece, unread=(piece,)), message, context, every, bank)
        # "One was flat, what do I do" asks for help.
        helped = told is not None and told.intents[0].name == "bottle.found" and all(each.name.startswith("ask.") for each in found.intents)
        # "Why 67 and not 65" puts nothing right.
        helped = helped or (told is not None and told.intents[0].name.startswith(("correct", "edit.")) and any(each.name.startswith("ask.") for each in found.intents))
        if told is not None and not helped and not any(each.name == told.intents[0].name for each in found.intents):
            more.append(told)
    if not more:
        return found
    every_one = sorted((*found.intents, *(each.intents[0] for each in more)), key=lambda each: found.text.find(each.text))
    unread = tuple(piece for piece in found.unread if all(each.text != piece for each in more))
    taken_for = "; ".join(each.taken_for for each in more)
    return found.model_copy(update={"intents": tuple(every_one), "unread": unread, "taken_for": taken_for})


def beyond(
    found: Understanding, message: Likeness, context: Context, every: tuple[Likely, ...], bank: Bank = wordings
) -> Understanding | None:
    """The message as what it most likely means, where that is sure enough and can be said with all that the message has."""
    first, harmless = every[0], every[0].name.startswith(HARMLESS)
    page, name = settings(), first.name
    if name in NO_INTENT or name.startswith((*page["not_done"], *AS_WRITTEN)):
        return None
    if first.probability < _least(name):
        return None
    may_be_answered = (first.probability < page["sure_asked"] or name in some("answered_by_words")) if harmless else (not message.pieces and name != "bottle.found")
    answer = find_answer(message.text, context.stage or "none") if may_be_answered else None
    if answer is not None and (harmless or answer.told):
        # Whoever tells of a mishap or asks in the words of an answer is given that.
        return None
    if not harmless and ((not message.pieces and _A_CHOICE.search(message.text)) or _is_talk(message, first) or (name.startswith("reading.") and _puts_right(message))):
        return _taken(found, _ordered(message, context, first))
    told = put(message, context, first.meaning, bank) or _asked_anyway(message, context, first, bank)
    if first.name.startswith("reading.") and says_only_where(found.text, context.stage):
        # "The little pan is at 80"
        return None
    if name == "ask.correct_mash" and context.stage not in (None, "mash"):
        # With the bag out there is no mash that water could warm: "do I heat it straight up now".
        return None
    if told is None or not _denied_alike(name, message.text, told[0]) or told_of_another(found.text, told[1]) or _cannot_be(told[1], found.text):
        return None
    return _taken(found, told)


def _cannot_be(intent: Intent, text: str) -> bool:
    """Whether a name is none, a clock would be of what is over, grain or ice would be too warm, or the pot itself was put into a pot: "put the chiller coil in the pot"."""
    if not has_its_word(intent.name, text):
        return True
    if intent.name == "brew.start" and (is_drunk(intent.slots) or begins_none(text)):
        return True
    if intent.name == "timeline.start" and word_set("at_work") & {*WORD.findall(text.lower())}:
        # "I start at 6 tomorrow at the hospital"
        return True
    if str(intent.slots.get("name", "")).lower() in some("no_names"):
        # "I opened the first one"
        return True
    if intent.name.startswith(("done.", "undo")) and _ORDERED_NOT.match(text):
        return True
    if intent.name.startswith("look.") and asks_what_to_expect(text):
        # "Should there be foam on top"
        return True
    if intent.name == "bottle.found":
        # "One bottle is chipped"
        return not_as_found(intent.slots.get("how"), text)
    if intent.name == "reading.mass" and _MORE_LIKE.search(text) is not None:
        # "It was more like 12 grams" puts something right, and weighs nothing.
        return True
    if intent.name == "timer.cancel":
        return long_named(intent)
    if intent.name == "ask.boil_down":
        # "How long will it take to cool to 20"
        return _COOLS.search(text) is not None
    if intent.name == "correct" and (has_question_word(text) or _WAITS.fullmatch(text)):
        # "12 g not 10 is what the recipe says", "hang on 5"
        return True
    if intent.name == "correct" and "was" not in intent.slots and _IS_NOT.search(text):
        # "no it's not 65"
        return True
    if intent.name == "timer.start":
        # "It dripped for ten minutes", "an hour ago I set a timer for the mash"
        return str(intent.slots.get("name", "")).endswith("ed") or _AGO.search(text) is not None
    if intent.name in _OF_THE_FERMENTER and {*WORD.findall(text.lower())} & some("beside_the_fermenter"):
        # "Wrapped the dog in a blanket"
        return True
    if intent.name == "ask.away":
        return _BUBBLES_AWAY.search(text) is not None
    if intent.name == "done.chilled" and _COOL_IT.match(text):
        # "cool it down" is an order, or a plan.
        return True
    if intent.name in _BEGINS_BADLY:
        # "Its cooling slow", "it's barely boiling"
        return _BEGINS_BADLY[intent.name].search(text) is not None
    if intent.name == "done.chilling":
        return _INTO_THE_POT.search(text) is not None
    # "Bring it to 72"
    return (intent.name.startswith("reading.") and says_what_is_wanted(text)) or too_warm(intent.name, intent.slots)


def _asked_anyway(message: Likeness, context: Context, first: Likely, bank: Bank) -> tuple[str, Intent] | None:
    """What is asked for sure, and how long something has been beside it, which the answer does not need: "stuck for 4 days now, what's up"."""
    sure = first.name.startswith("ask.") and first.probability >= settings()["sure_asked"]
    if not sure or not message.pieces or any(piece.kind not in ("duration", "time") for piece in message.pieces):
        return None
    for each in bank(first.meaning):
        read = understand(each.likeness.text, context) if not each.likeness.pieces else None
        if read is not None and not read.unread and [intent.name for intent in read.intents] == [first.name]:
            return each.likeness.text, read.intents[0]
    return None


def _taken(found: Understanding, told: tuple[str, Intent] | None) -> Understanding | None:
    if told is None:
        return None
    whole = told[1].model_copy(update={"text": found.text[:LONGEST_TEXT]})
    return found.model_copy(update={"intents": (whole,), "unread": (), "taken_for": told[0]})


def _after_taking_back(found: Understanding, context: Context, first: Likely) -> Understanding | None:
    """What is told behind "no okay" and the like, where the whole message most likely means the same: "give it a minute no okay it's at 71"."""
    behind = behind_what_is_taken_back(found.text)
    if behind is None or first.name in NO_INTENT or first.probability < _least(first.name):
        return None
    told = read(behind, context)
    if [each.name for each in told.intents] != [first.name] or told.unread:
        return None
    return told.model_copy(update={"text": found.text, "quantities": found.quantities})


def _ordered(message: Likeness, context: Context, first: Likely) -> tuple[str, Intent] | None:
    """An order that leads the message, where what stands behind only tells why: "pause the boil timer had to turn it down"."""
    page = settings()
    if not first.name.startswith(tuple(page["orders"])) or first.probability < page["sure_other"]:
        return None
    told = part(message, context, first.name, leading=True)
    if told is None or _is_talk(likeness(told[0], context), first) or sort_of(message.text).denies:
        return None
    behind = set(WORD.findall(message.text[len(told[0]) :].lower()))
    return None if behind & (word_set("subordinating") | some("at_a_time")) or has_question_word(message.text) else told


def _only_this(found: Understanding, every: tuple[Likely, ...]) -> bool:
    """Whether the one thing that was read is surely all that is meant: "grains at 14c, been in the workshop"."""
    # How much is brewed, and what, may stand apart from the beginning.
    single = [each.name for each in found.intents] == [every[0].name] != ["brew.start"] and every[0].probability >= settings()["sure_only"]
    return single and share(every, SEVERAL) < settings()["hardly_several"]


def _least(name: str) -> float:
    """How sure the model must be of an intent."""
    page = settings()
    if name.startswith(HARMLESS) and not name.startswith("look."):
        return float(page["sure_harmless"])
    if name.startswith(_TOLD):
        return float(page["sure_told"])
    near = name.startswith(tuple(page["only_near"])) and not name.startswith(("reading.", "done."))
    return float(page["sure_only_near" if near else "sure_records"])


@cache
def _remembered() -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(sorted(word_set("remembered"))) + r")\b")


def _is_talk(message: Likeness, first: Likely) -> bool:
    """Whether words of a message say that it tells of nothing that is so: asked, hoped for, somebody else's.

    A plan, an order or the kit may be told with words of what is to come ("i'll rinse with 2 litres"), if that is sure.
    """
    lower = without_openings(message.text).lower().replace("’", "'")
    words = frozenset(WORD.findall(lower))
    told, sure = first.name.startswith(_TOLD), first.probability >= settings()["sure_untold"]
    if (place := _STANDS_IN.search(lower)) is not None and first.name in _PUT_IN and place["place"] not in some("of_the_pot"):
        # "grain is in the shed"
        return True
    polite = not told and sure and is_polite(lower)
    # A recipe is spoken of where it is changed, and an instrument says what it reads.
    hearsay = word_set("by_hearsay") - (some("of_instruments") if told else some("of_plans"))
    # What is in stock lies in freezers and sheds, and is left from last time.
    stock = first.name in _IN_STOCK and sure
    if hearsay & words or (_remembered().search(lower) and (told or message.pieces) and not stock):
        return True
    # "summer is coming, could the bottles burst"
    wondered = told and any(wonders(piece) for piece in re.split("[,;.] ", lower)[1:])
    asks = sort_of(lower).asks or (told and asks_for_certain(lower)) or wondered or (has_question_word(lower) and not asks_politely(lower))
    clock = first.name.startswith(("timer.", "reminder."))
    elsewhere = word_set("elsewhere") | some("household") if (message.pieces or first.name == "bottle.found") and not (clock or stock) else frozenset()
    others = some("others") - (some("kitchen_things") if clock and sure else frozenset())
    persons = some("persons") if told and message.pieces else frozenset()
    if told and not message.pieces and words & {"she's", "he's", "shes", "hes"} and len(words) < _SHORT:
        # "She's cool" may be anybody.
        return True
    if first.name.startswith("recipe.") and words & _TOOK:
        # "The boil took 60 minutes"
        return True
    if _UNSURE.search(lower) or "about to" in lower or (told and "you said" in lower) or words & (some("doubting") | others | elsewhere | persons):
        return True
    if asks and not polite and (told or not sure or "?" in lower or sort_of(lower).asks):
        return True
    to_come = word_set("hoped_for") | word_set("subordinating") | (some("to_come") - {"into"})
    return bool(not_yet(lower) or words & to_come) and (told or not sure)


def _puts_right(message: Likeness) -> bool:
    """Whether a figure may put another one right: "rather 66.4"."""
    return bool((word_set("mistaken") | some("putting_right")) & set(WORD.findall(message.text.lower())))


def _denied_alike(name: str, text: str, wording: str) -> bool:
    """Whether what records is denied where its wording is, and nowhere else."""
    if name.startswith((*HARMLESS, *settings()["denied_too"])):
        return True
    return sort_of(text).denies == sort_of(wording).denies


@cache
def _of_greetings() -> frozenset[str]:
    return frozenset(map(counts_as, word_set("greetings") | word_set("greeted")))
