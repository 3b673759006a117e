"""Numbers that are no reading of the beer: of the weather, of somebody's body, of other things of the household."""

from __future__ import annotations

import re
from functools import cache

from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.understanding.closings import without_openings
from conversations.understanding.only_spoken_of import only_spoken_of
from conversations.understanding.rows import places_of
from conversations.understanding.unsure import only_thought
from conversations.understanding.words import Item, word_set

_BODY = re.compile(r"\b(my|his|her|your|their|\w+'s) (own |body )?(temp|temps|temperature)\b", re.IGNORECASE)
_SHE_IS = re.compile(r"\b(she|he)('s|’s|s| is) ", re.IGNORECASE)
_WEIGHS = re.compile(r"\b(i|he|she|we|(my|his|her|the) (wife|husband|son|daughter|mate|dog|cat|baby|kid))( only| now| just| still)? weigh(s|ed)?\b|\bmy weight\b", re.IGNORECASE)
_OWNED = re.compile(r"\b(mash|wort|water|beer|batch|fermenter|bucket|pot|kettle|yeast|strike|today|yesterday|brew)'s\b", re.IGNORECASE)
_OF_A_BODY = (34.5, 43.0)
"""Degrees Celsius that a clinical thermometer shows."""
_GOODS = frozenset({"of", "malt", "grain", "hops", "sugar", "yeast", "pot", "bag", "it", "out"})
_MORE_THINGS = frozenset({"hydrometer", "gravity", "strike", "fermentation", "hop", "hops", "yeast", "malt", "stick", "sparge"})


@cache
def _phrases() -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(sorted(word_set("elsewhere_phrases"))) + r")(?!\w)", re.IGNORECASE)


@cache
def _things() -> frozenset[str]:
    """What is named in a kitchen where beer is brewed; "before" and the like name nothing."""
    return (word_set("about") | _MORE_THINGS) - {"before", "after", "pre", "post", "water", "grain"}


def speaks_of_elsewhere(text: str, items: list[Item]) -> bool:
    """Whether a message has words of the weather, of a body or of another thing of the household."""
    return any(item.word in word_set("elsewhere") for item in items) or _phrases().search(text) is not None


def of_a_body(text: str, intent: Intent) -> bool:
    """ "my temperature is 38": whose it is, and as warm as people are.

    >>> of_a_body("my temperature is 66", Intent(name="reading.temperature", slots={"temperature": Measured(value=66, unit="degC")}))
    False
    """
    measured = intent.slots.get("temperature")
    if intent.name != "reading.temperature" or not isinstance(measured, Measured):
        return False
    if not _BODY.search(_OWNED.sub("", text)) and not _SHE_IS.search(text):
        return False
    celsius = float(quantity(measured.value, measured.unit).to("degC").magnitude)
    return _OF_A_BODY[0] <= celsius <= _OF_A_BODY[1]


def weighs_a_person(text: str) -> bool:
    """Whether it is told what somebody weighs, which no pot does.

    >>> weighs_a_person("I weigh 80 kilos"), weighs_a_person("the pot weighs 1.2 kg"), weighs_a_person("I weighed 80 g of malt")
    (True, False, False)
    """
    return _WEIGHS.search(text) is not None and not any(word in _GOODS for word in re.findall(r"\w+", text.lower()))


def names_a_thing(clause: list[Item]) -> bool:
    """Whether a clause names what belongs to the brewing, so that its number is of that."""
    return any(item.word in _things() for item in clause)


@cache
def _any_of(name: str) -> re.Pattern[str]:
    return re.compile(r"(?<!\w)(" + "|".join(sorted(map(re.escape, word_set(name)), key=len, reverse=True)) + r")(?!\w)", re.IGNORECASE)


_OF_THE_SAMPLE = re.compile(r"\b(sample|test|trial|hydrometer) (jar|tube|glass)\b", re.IGNORECASE)
_COMPARED = re.compile(r"\W*(much |(a )?lot |way |even |far )?(better|worse|nicer|different|stronger|sweeter|fresher)\b", re.IGNORECASE)
_ANOTHERS_BEER = re.compile(
    r"\b(his|her|their|(mate|friend|neighbou?r|colleague|boss|cousin|uncle|aunt|bloke|chap|lad|pub|shop|landlord|teacher|in[- ]laws?)(s|'s|’s|s'|s’)) (own |very |last |first |new |latest |old |homemade |other |next )*"
    r"(one|ones|beer|brew|batch|bottle|ale|stout|porter|bitter|lager|ipa|cider|stuff)s? (had |always |just |really |only |all )*(tast|had a taste|smell)",
    re.IGNORECASE,
)
"""A beer that is somebody else's: "my mate's last one tasted like wet wool"."""
_OF_WHAT = re.compile(r"\b(?:on(?! in\b)|with|from|about|over|regarding|in|at) (?:(?:the|my|our|his|her|their|that|this|your) )?(\w+)", re.IGNORECASE)
_OF_SOMEBODYS = re.compile(r"\W*((my|me|our|his|her|their|the) )?(his|hers|theirs|(father|dad|grandad|grandfather|uncle|brother|mate|neighbour|friend|cousin|boss|brother-in-law|mother|mum|nan|landlord|aunt)('s|’s|s)) .*\btasted\b", re.IGNORECASE)
_BREWED_BY_ANOTHER = re.compile(
    r"\b(?:my|me|our|his|her|their|the|a|an|one|this|some)\b(?: \w+){0,2} (?:\w*mate|father|dad|grandad|grandfather|uncle|brother|sister|neighbou?r|friend|cousin|boss|mother|mum|nan|landlord|aunt|kid|lad|lass|bloke|chap|guy|man|woman|fella|colleague|son|daughter|student|teacher)"
    r"(?: (?:at|from|in|down) \w+(?: \w+)?| next door)? (?:once |always |used to |had |has )*(?:brews?|brewed|makes?|made|bought|orders?|ordered|did) .*\b(?:tast|smell)",
    re.IGNORECASE,
)
"""What somebody else brewed or bought: "my college roommate brewed five gallons in a bin and it tasted like one"."""
_WATER_TO_COME = re.compile(
    r"\b(?:should|shall|can|could|may|must|do|would|i['’]?ll|we['’]?ll|i will|we will|going to|gonna|about to|want to|need to|have to|let me|let['’]?s|ought to|if) (?:\w+ ){0,4}(?:put|add|adding|pour|tip|chuck|splash|bung|throw|top)\b[^.!?]*?\bwater\b(?: \w+){0,3}\W+(?:about |maybe |say |some |another )?$",
    re.IGNORECASE,
)
"""Water that is not in yet: its litres are not the pot's ("should I put boiling water in, half a litre")."""
_IS_SO_STRONG = re.compile(r"(\b(is|was|are|were|its|been)|'s|’s) (only |just |about |around |a |at )*[\d.]+ ?(%|percent|per cent|abv)", re.IGNORECASE)
_WISHED = re.compile(r"\b(enough|plenty|fine|do|want|like|make|aim|should|must|go|target|rather|plan|happy)\b", re.IGNORECASE)
_IN_HAND = re.compile(r"\b(i|we)('ve|’ve|ve)? (only|just) (have|got|had|ve got|have got)\b", re.IGNORECASE)
_ANOTHER_TIME = re.compile(r"\b(was|were|had|used|did|went|put) .*\blast (time|year|month|batch|brew)\b|\blast (time|year|month|batch|brew) (it |we |i )?(was|were|had|used|did|went|put)\b", re.IGNORECASE)
_ONLY_SO_MUCH = re.compile(r"\W*(but |and |just |there['’]?s |there is |we['’]?ve |i['’]?ve |got )*only\b", re.IGNORECASE)
_OF_THE_POT = re.compile(r"\b(pot|mash|wort|kettle|fermenter|water|bucket|room)('s|’s)? (is|was|at|says|reads|now)\b", re.IGNORECASE)
_SOMEBODY_GUSHED = re.compile(r"\b(i|he|she|they|we|you|everybody|everyone|people|who|mum|dad|(my|his|her|our) (?!bottle|beer|batch|one|first|last)\w+)( \w+ly| just| really| all)? gush(es|ed|ing)?\b", re.IGNORECASE)
_NOT_MY_BOTTLE = re.compile(
    r"\b(what|as|even|only) if\b|\bif (i|we|you|it|one|a bottle|they)\b|\bof (his|hers|theirs)\b|\b(his|her|their) (own )?(bottles?|beers?|brew|batch|cider|stout|ale|lager)\b"
    r"|\b(door|window|gate|cat|dog|letter|parcel|envelope|lemonade|cola|champagne|prosecco|fizzy water|oven|microwave|washing machine|tap|pipe|hose)\b",
    re.IGNORECASE,
)
_PUT_AWAY = re.compile(r"\byeast (away|back|aside|to one side)\b(?! in\b)", re.IGNORECASE)
_IS_COLD_THERE = re.compile(r"\bcold (out|in) (here|there)\b|\bcold (outside|upstairs|downstairs|tonight|these days)\b|\b(tea|coffee|dinner|soup|food|feet|hands|toes)('s|’s| is| has| have| are| was)? (gone|got|went|become|turned|getting)\b", re.IGNORECASE)
_CUT_OFF = re.compile(r"\b(gas|power|heat)\b.*\b(last (night|week|month|year|winter|summer|time)|in the (whole |entire )?(street|house|block|building)|at work|by the (landlord|council|supplier))\b", re.IGNORECASE)
_LAST_TIME = re.compile(r"\W*(last|the other) (time|year|month|week|batch|brew|day)\b", re.IGNORECASE)
_DREGS = r"(gunk|sludge|trub|sediment|crud|dregs|gloop|gloopy stuff|slurry|hop (bits|mush|debris|sludge|gunk)|muck|mud|(green|brown) stuff)"
_SO_MUCH_DREGS = re.compile(
    rf"\b{_DREGS}\b.*\b(litres?|liters?|l|ml|mils?|pints?|cups?)( or so| maybe)? (of|worth of) (it|that|this|them)\b(?! (in|into) (the |my )?(fermenter|bucket|fv))"
    rf"|\b(litres?|liters?|l|ml|mils?|pints?|cups?)( or so| maybe)? (of|worth of) (the |that |this )?(green |brown |hop |nasty |yeasty )?{_DREGS}\b",
    re.IGNORECASE,
)
_LIGHTS = re.compile(r"\b(lights?|lamps?|telly|tv|radio|music|phone|computer|laptop|heating|radiator|boiler|alarm|fan|extractor)((['’]?s| is| are| was| now| all)*) (switched |turned )?(off|out)\b|\b(switch(ed)?|turn(ed)?) off (the |my |that |your )?(lights?|lamps?|telly|tv|radio|music|fan|extractor)\b", re.IGNORECASE)
_NOT_FILLED = re.compile(r"\b(dropped|smashed|broke|broken|shattered|washed|rinsed|soaked|drank|drunk|drinking|sold|gave away|given away)\b", re.IGNORECASE)
_FILLED = re.compile(r"\b(filled|bottled|capped|corked)\b", re.IGNORECASE)
_IN_THE_SHOP = re.compile(r"\b(is|are|costs|now|they['’]re|it['’]s|for sale)\b.*\b((in|at) (the |my |our )?\w*(shop|store|supermarket)|online|on the internet|on offer)\b", re.IGNORECASE)
_BOUGHT = re.compile(r"\b(bought|got|paid|spent|ordered|picked up|purchased)\b", re.IGNORECASE)
_NOT_WORT = re.compile(r"\b(thermometer|hydrometer|airlock|probe|sensor|spoon|hops?|water|saniti[sz]er|steriliser|sugar|stick|dipstick|tube|sample|heater)((['’]?s| is| are| was| has| gone| been| went| still| now| all)*) (in|into|inside) (the |my |our )?(fermenter|bucket|fv)\b", re.IGNORECASE)
"""What else may be in a fermenter."""
_IN_A_ROOM = re.compile(r"\b(beer|ale|fermenter|bucket|wort|mash|pot|kettle|water|bottles|sample|demijohn|carboy|ferment|fermentation|fermenting|grain|malt|yeast|strike|stout|porter|bitter|lager)\b", re.IGNORECASE)
_BREATH = re.compile(r"[,.;!?]| and | but ")
_BEER_NAMED = re.compile(r"\b(bag|grain|mash|wort|malt|squeezed)\b", re.IGNORECASE)


def of_the_dregs(text: str) -> bool:
    """Whether so many litres are told of what settled, and not of the wort.

    >>> [of_the_dregs(text) for text in ("leave the gunk in, there's half a litre of it", "left the gunk behind, 6 litres of it in the fermenter", "6 litres, some gunk")]
    [True, False, False]
    """
    return _SO_MUCH_DREGS.search(text) is not None


@cache
def _rooms() -> tuple[re.Pattern[str], re.Pattern[str]]:
    rooms = "(" + "|".join(sorted(map(re.escape, word_set("rooms")), key=len, reverse=True)) + ")"
    links = r"(?:(?: |'s |’s )(?:temperature|temp|is|was|were|at|says|reads|shows|now|only|still|about|hit|reached|gets?|got|goes|went|up|down|to|drops|dropped|falls|fell|dips|around|nearly|almost|just))*"
    before = re.compile(rf"\b(?:in |of |on |inside )?(?:the |my |our |this )?{rooms}{links}[ ,]*$", re.IGNORECASE)
    behind = re.compile(rf"[^,.;]{{0,12}}\b(?:in|inside) (?:the |my |our |this )?{rooms}\b", re.IGNORECASE)
    return before, behind


def of_a_room(text: str, intent: Intent) -> bool:
    """Whether degrees are told of a room or a cupboard and of nothing in it.

    >>> of_a_room("the cupboard is 23 degrees", Intent(name="reading.temperature", text="23 degrees"))
    True
    >>> of_a_room("fermenter in the cupboard is 23 degrees", Intent(name="reading.temperature", text="23 degrees"))
    False
    """
    if _IN_A_ROOM.search(text) is not None or intent.slots.get("what"):
        return False
    before, behind = _rooms()
    found = [figure.start() for figure in re.finditer(r"\d+([.,]\d+)?|\b(?:sixteen|seventeen|eighteen|nineteen|twenty|thirty)\b", text)]
    return any(before.search(text[:place]) is not None or behind.match(text[place:]) is not None for place in found)


@cache
def _vessel_holds() -> re.Pattern[str]:
    """ "The jug holds 2 litres", but not "the pot can hold 12"."""
    return re.compile(rf"\b(?!can (hold|fit|take)\b)({'|'.join(sorted(word_set('vessels')))})s? (only |just |can |will )?({'|'.join(sorted(word_set('holds_so_much')))})\b", re.IGNORECASE)


def told_of_another(text: str, intent: Intent, stage: str | None = None) -> bool:
    """Whether what was found is told of something else than the brew, by what else the message says.

    >>> told_of_another("drained, i need a nap", Intent(name="done.bag_out", text="drained"))
    True
    >>> told_of_another("no movement in the airlock", Intent(name="look.quiet", text="no movement"))
    False
    """
    if only_thought(text, intent) or only_spoken_of(text, intent):
        return True
    match intent.name:
        case "done.bag_out":
            return not _BEER_NAMED.search(text) and _any_of("weary").search(text) is not None
        case "done.hops" | "done.hops_late" | "done.grain_in" | "done.pitched":
            if intent.name == "done.pitched" and _PUT_AWAY.search(text) is not None:
                return True
            # "yeast is in, the fermenter's in the cupboard": only what is said of it in one breath.
            piece = next((each for each in _BREATH.split(text) if intent.text in each), text)
            return _any_of("in_the_post").search(piece) is not None
        case "correct":
            # Guessed from "misread that, pot is at 70 degrees": those are not what the sample was read at.
            return intent.text not in text and intent.slots.get("unit") in ("degC", "degF") and _OF_THE_POT.search(text) is not None
        case "done.chilling":
            # "the milk is in the sink with cold water"
            return _any_of("also_cooled").search(text) is not None
        case "done.chilled":
            return _IS_COLD_THERE.search(text) is not None
        case "steer.water":
            return _ANOTHER_TIME.search(text) is not None or _LAST_TIME.match(text) is not None
        case "done.transferred":
            return _NOT_WORT.search(text) is not None
        case "done.flame_out":
            return _LIGHTS.search(text) is not None or _CUT_OFF.search(text) is not None
        case "bottle.found":
            return _SOMEBODY_GUSHED.search(text) is not None or _NOT_MY_BOTTLE.search(text) is not None
        case "bottle.type":
            return _OF_THE_SAMPLE.search(text) is not None
        case "bottle.count" | "bottle.unsized":
            return _NOT_FILLED.search(text) is not None and _FILLED.search(text) is None
        case "stock.bought":
            # "5 kg of pale malt is £12 in the shop" is what it would cost.
            return _IN_THE_SHOP.search(text) is not None and _BOUGHT.search(text) is None
        case "recipe.swap":
            # "could you use one of them copper coils instead of the sink"
            things = word_set("vessels") | word_set("tools")
            return any(word in things for each in ("old", "new") for word in str(intent.slots.get(each, "")).lower().split())
        case "tasting.begin":
            said = str(intent.slots.get("text", ""))
            if _ANOTHERS_BEER.search(text) is not None or _BREWED_BY_ANOTHER.search(text) is not None or _OF_SOMEBODYS.match(without_openings(text)) is not None:
                # "me father's was always 6 percent and tasted of pennies"
                return True
            return _COMPARED.match(said) is not None and _any_of("tasted_elsewhere").search(said) is not None
        case "reading.temperature":
            return of_a_room(text, intent)
        case "kit.pot_capacity":
            return _vessel_holds().search(text) is not None
        case "reading.volume":
            if _WATER_TO_COME.search(text[: max(text.find(intent.text), 0)]) is not None:
                return True
            if of_the_dregs(text):
                return True
            # "I only have 9 litres" before there is any wort: of water, of room, of bottles, who knows.
            return _vessel_holds().search(text) is not None or (stage in ("plan", "prepare") and (_IN_HAND.search(text) is not None or _ONLY_SO_MUCH.match(text) is not None))
        case "recipe.grain" | "recipe.hop" | "recipe.yeast":
            # "the recipe was 500 g of pale malt last time"
            return _ANOTHER_TIME.search(text) is not None
        case "recipe.scale" | "recipe.volume" | "recipe.size":
            return _IN_HAND.search(text) is not None
        case "recipe.strength":
            # "this beer is only 4.5 percent" tells of one that there is.
            return _IS_SO_STRONG.search(text) is not None and _WISHED.search(text) is None
        case "look.quiet":
            if stage in ("plan", "prepare", "heat"):
                # "nothing moving here all night": there is nothing yet that could ferment.
                return True
            return any(word.lower() not in word_set("may_be_quiet") and not word.isdigit() for word in _OF_WHAT.findall(text))
    return False


def counts_things(items: list[Item], places: list[int], i: int) -> bool:
    """Whether a whole number without a unit counts things: "bottled 13", "I have 14 left", "13 of them"."""
    if items[i].kind != "num" or items[i].value != int(items[i].value) or "." in items[i].raw:
        return False
    before = {items[k].word for k in places if k < i}
    behind = [items[k].word for k in places if k > i][:2]
    return bool(before.union(behind) & word_set("counted_by")) or behind[:1] == ["of"]


def of_the_beer(
    text: str, items: list[Item], clause: list[int], found: list[tuple[int, Intent]], stage: str | None = None
) -> tuple[list[tuple[int, Intent]], set[int]]:
    """What was found without the readings that are of something else, and the clauses of those."""
    away = speaks_of_elsewhere(text, items)
    astray = {
        place
        for place, each in found
        if told_of_another(text, each, stage)
        or ((each.name.startswith("reading.") or each.name == "unclear.range")
        and (of_a_body(text, each) or (away and not names_a_thing([items[k] for k in places_of(clause, clause[place])]))))
    }
    return [pair for pair in found if pair[0] not in astray], {clause[place] for place in astray}
