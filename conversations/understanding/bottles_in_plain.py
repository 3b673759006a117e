"""Bottles as they are told among other words, put as the sentences read them: of which size they are, how many are left, which are full.

"Got 17 bottles, brown ones, half litre" tells of 17 of half a litre, and of no half litre of beer. What asks, wishes or is of
others does not begin so, and is left as it was said.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.bottle_sizes import LARGEST_L, LOOKS
from conversations.understanding.words import LONGEST_TEXT

_WITH_BEER = ("ferment", "bottle", "condition")
_WORDS = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen",
    "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
)  # fmt: skip
PRINTED_ML = "250|275|300|330|341|355|375|440|473|500|550|568|600|650|660|750"
"""Sizes that stand on bottles, often told without their millilitres."""
NUMBER = rf"(?:\d{{1,3}}|{'|'.join(sorted(_WORDS, key=len, reverse=True))})"
BOTTLE_SIZE = r"(?:\d{3,4} ?(?:ml|mls|millilit(?:re|er)s?)|\d\d ?cl|(?:a )?half[- ](?:a )?lit(?:re|er)|0\.\d+ ?l(?:it(?:re|er)s?)?|[12] lit(?:re|er)|\d\d ?(?:oz|ounce))"
_LOOKS = "|".join(sorted(LOOKS, key=len, reverse=True))
_STOP = r"[\s,.;:–—-]+"
_HAVE = r"(?:(?:i|we|i've|we've|ive|weve) )?(?:(?:have|got|have got|found|collected|saved|there(?:'s| are)|here are) )*"
_OF_A_SIZE = re.compile(
    rf"\W*(?:(?:ok|okay|so|right|well|yes|yeah)\W+)*(?P<have>{_HAVE})(?P<count>{NUMBER}) (?:(?:{_LOOKS}) )*bottles?(?P<looks>(?:{_STOP}(?:{_LOOKS}))*){_STOP}(?P<size>{BOTTLE_SIZE})(?:[\s-](?:each|ones|one|size|bottles|all|of them|glass))*\W*",
    re.IGNORECASE,
)
_KINDS = re.compile(r"\b(swing|flip|screw|crown|plastic|pet)[\s-]*(tops?|caps?)?\b", re.IGNORECASE)
_LOST = (
    r"(?:is |are |was |were |has a |got a |'s |s |'s got a |of (?:them|those|these) )*(?:is |are |has a |got a )?(?:badly |a bit |slightly )?(?:chip(?:ped)?|crack(?:ed)?|broken?|smashed|dirty|mouldy|no good|useless|missing|scratched|dropped)"
    r"(?: (?:on|at|in|round|around) (?:the )?(?:lip|neck|rim|top|bottom|base|mouth|side|edge))?"
)
_FEWER = re.compile(
    rf"\W*(?P<have>{_HAVE})(?P<count>{NUMBER}) ?(?:x |bottles of |of |)(?P<size>{BOTTLE_SIZE})(?: (?:bottles|ones|each))?{_STOP}(?:and |but |though |although |only )*"
    rf"(?:(?:minus|less|without) (?P<off>{NUMBER})(?: that(?:'s)?)?(?: {_LOST})?|(?P<lost>{NUMBER})(?: |(?=')){_LOST}|(?:i |we )?(?:dropped|broke|chipped|smashed|cracked) (?P<broke>{NUMBER}))"
    rf"(?:{_STOP}(?:so |and |that |that's |thats |which |it's |its |only |just |makes |make |leaves |leaving |call |it |is )*(?P<left>{NUMBER})(?: (?:left|then|bottles|in all|of them|ones|good ones))*)?\W*",
    re.IGNORECASE,
)
_PART = (
    rf"(?:{_STOP}|\s)(?:and |plus |with )*(?:(?:then|also|another|a|one|the last|the last one|the rest) )*(?:(?:one|a|the last|last one) )?(?:is |was |only |about |just |nearly )*"
    r"(?:half[- ](?:full|filled|empty|one|bottle)|a half|half|a bit|a bit in the last(?: one)?|part[- ]filled(?: one)?|partly full)(?: one| bottle| left over)?"
)
_FULL = re.compile(
    rf"\W*(?P<done>(?:(?:all|it's all|its all|it's|its|i|we|i've|we've|everything's|have|done|finished|now|just) )*(?:bottled|bottling|capped)(?: (?:it|all|up|them|everything|now|today|done))*)(?:{_STOP})"
    rf"(?:(?:got|i got|we got|have|filled|only filled|i filled|we filled|ended up with|made|came to|it came to|only|that's|thats|it's|its|just|managed) )*(?P<count>{NUMBER})"
    rf"(?: (?:full|filled|whole|of them|good|ones|one|bottles|bottle|in all|altogether|in total))*(?P<part>{_PART})?\W*",
    re.IGNORECASE,
)
_MEANT = re.compile(
    rf"\W*(?:(?:no|nope|nah|sorry|oh|wait|ah)\W+)+(?:(?:i mean|i meant|meant|it's|its|that's|make that) )?(?P<said>{NUMBER} (?:x|of|bottles of|bottles at) {BOTTLE_SIZE}(?: bottles| ones| each)?)(?:,? (?:i mean|i meant|that is|sorry))?"
    rf"(?P<forget>{_STOP}(?:and )?(?:forget|ignore|scrap|drop|delete|never mind|not) (?:(?:about|that|the|just) )*{BOTTLE_SIZE}(?: (?:on its own|by itself|alone|before|bit|there|thing|reading))*)?\W*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Plain:
    """What bottles were told, in words that the sentences read; no words where two figures do not agree."""

    said: str
    part: bool = False
    """Whether one more is only part full."""
    forget: bool = False
    """Whether a volume told by itself is taken back beside."""


def number_said(number: str) -> int:
    """The number that a figure or a word is."""
    return int(number) if number.isdigit() else _WORDS.index(number.lower()) + 1


def bottles_in_plain(text: str, stage: str | None) -> Plain | None:
    """The bottles of a message in plain words, None where it tells of none in such a way.

    >>> bottles_in_plain("got 17 bottles, brown ones, half litre", "ferment").said
    'i have 17 bottles of half litre'
    >>> bottles_in_plain("17 of 500 ml but one's chipped on the lip so sixteen", "ferment").said
    '16 bottles of 500 ml'
    >>> bottles_in_plain("bottled, 10 full ones and one half full", "bottle")
    Plain(said='bottled 10', part=True, forget=False)
    >>> bottles_in_plain("i need 17 bottles, brown ones, half litre", "ferment")
    """
    if "bottl" not in text.lower() and " of " not in text and "ml" not in text.lower() and "capped" not in text.lower():
        return None
    asked = "?" in text or asks(text) or has_question_word(text)
    if (fewer := _FEWER.fullmatch(text)) is not None and asked:
        return Plain("")
    if asked:
        return None
    if fewer is not None:
        whole, lost = number_said(fewer["count"]), number_said(fewer["off"] or fewer["lost"] or fewer["broke"])
        left = number_said(fewer["left"]) if fewer["left"] else whole - lost
        return Plain(f"{'i have ' if fewer['have'] else ''}{left} bottles of {fewer['size']}" if left == whole - lost > 0 else "")
    if (sized := _OF_A_SIZE.fullmatch(text)) is not None:
        kind = _KINDS.search(sized["looks"])
        # What somebody has is not filled yet.
        lead = "i have " if sized["have"] else ""
        return Plain(f"{lead}{sized['count']} bottles of {sized['size']}" + (f", {kind.group()}" if kind else ""))
    if stage in _WITH_BEER and (full := _FULL.fullmatch(text)) is not None:
        return Plain(f"bottled {full['count']}", part=full["part"] is not None)
    if (meant := _MEANT.fullmatch(text)) is not None:
        return Plain(meant["said"], forget=meant["forget"] is not None)
    return None


def bottles_told(text: str, context: Context, understand: Callable[[str, Context], Understanding]) -> Understanding | None:
    """What a message tells of bottles in such a way, unread where it is not sure; None where it tells of none."""
    bottles = bottles_in_plain(text, context.stage)
    if bottles is None:
        return None
    told = understand(bottles.said, context) if bottles.said else Understanding(text=text)
    # A volume by itself is taken back only where it was the last that was told; one that is asked about was not kept.
    lone = context.last is not None and context.last.name == "reading.volume" and Measured.model_validate(context.last.slots["volume"]).in_unit("litre") <= LARGEST_L
    asked = context.expects == "yes_no"
    if told.unread or not told.intents or (bottles.forget and not lone and not asked):
        return Understanding(text=text[:LONGEST_TEXT], unread=(text[:LONGEST_TEXT],))
    taken_back = (Intent(name="undo"),) if bottles.forget and lone else ()
    counted = (each.model_copy(update={"slots": {**each.slots, "part": "yes"}}) if bottles.part and each.name == "bottle.unsized" else each for each in told.intents)
    return Understanding(text=text[:LONGEST_TEXT], intents=(*taken_back, *counted))
