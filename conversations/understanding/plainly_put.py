"""Chatty ways of telling a figure, put as the sentences know them: what a gravity was read at, what went in after all.

"1.040 but its about 60 degrees hot" is "1.040 at 60 degrees", "1 0 5 0" is 1050, and behind hops that went in "shoot it was more
like 12 grams, scale was wobbly" is what was put in.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Context, Understanding

_LONGEST = 120
_OF_WORT = frozenset({"drain", "top_up", "boil", "steep", "chill", "transfer", "pitch"})
"""In the mash, and while it ferments, "and it's 66" may be the mash or the beer."""
_BOILED = frozenset({"boil", "steep"})
_ONE_BY_ONE = re.compile(r"(?<![\d.,])(?:1 [01] \d \d|0 9 9 \d)(?![\d.,])(?! \d)")
_TENS = "twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety"
_FIGURE = rf"(?:\d\d(?:[.,]\d)?|(?:fifteen|sixteen|seventeen|eighteen|nineteen)|(?:{_TENS})(?:[ -](?:one|two|three|four|five|six|seven|eight|nine))?)"
_GRAVITY = r"(?:1[.,][01]\d\d|1[01]\d\d|ten (?:oh |o )?\w+(?:[ -]\w+)?|one point oh \w+(?:[ -]\w+)?)"
_SAMPLE = r"(?:(?:the |my )?(?:sample|wort in (?:the )?(?:jar|tube)|(?:hydrometer|test|trial|sample) (?:jar|tube)|jar|tube))"
_READ_AT = re.compile(
    rf"(?P<told>.*\b{_GRAVITY})(?:,| -)? (?:but|and|though|although|mind you|only|with)? ?(?:(?:it|that)['’]?s|(?:it|that) (?:is|was)|{_SAMPLE}(?:['’]?s| is| was| at)|(?:read|taken|measured) at)"
    rf"(?: (?:still|about|around|roughly|at|only|like|maybe|say|nearly|sitting at|a hot|warm at))* (?P<at>{_FIGURE})(?P<unit> ?(?:°? ?[CF]\b|degrees?(?: [CF]| celsius| fahrenheit)?|deg))?"
    r"(?: (?:hot|warm|still|or so|ish|in there|in the (?:jar|tube)))*\W*",
    re.IGNORECASE,
)
_AFTER_ALL = re.compile(
    r"(?:(?:oh|ah|shoot|damn|oops|whoops|sorry|no|wait|hang on|hold on|actually|bugger|crap|hmm|well|and|correction|my bad|turns out)[,. ]+)*"
    r"(?:(?:it|that|they|those|there|(?:the |them |those )?hops) ?(?:was|were|['’]s)|i (?:think |reckon )?(?:it|that|they) (?:was|were)) (?:actually |really |probably |in fact )*"
    r"(?:more like|nearer(?: to)?|closer to|actually|really|in fact|meant to be) (?P<mass>\d+(?:[.,]\d+)? ?(?:g|grams?|gr|oz|ounces?)|\w+(?:[ -]\w+)? grams?)\b(?: (?:that )?(?:of (?:it|them|hops)|went in|i put in|in there|in|now i look|actually|really|in fact|then))*"
    r"(?:[,.;]? ?(?:and |but |cos |because |as |since )?(?P<why>[^?\d]*))?[.! ]*",
    re.IGNORECASE,
)
_SCALES = re.compile(r"\W*(?:$|.*\b(?:scales?|balance|batter(?:y|ies)|wobbl\w+|mis-?read|mis-?weighed|wrong|sorry|display|zeroed|tared?|not \w+)\b)", re.IGNORECASE)
_OTHER = re.compile(r"\b(?:sugar|grain|malt|yeast|salt|gypsum|moss|extract|dme|recipe|last time|should|supposed|wish|would|if|next|planned)\b", re.IGNORECASE)

_RUNS_ON = re.compile(rf"(?<![\d.,])(\d\d?(?:[.,]\d)?) (?=(?:og|sg|fg|gravity)(?: (?:is|was|of|at))? {_GRAVITY}(?![\d.,]\d))", re.IGNORECASE)
"""A figure that stands before the name of a gravity whose own figure follows: "19 og 1.048"."""
_PITCHED_AT = re.compile(
    r"(?P<told>\b(?:pitched(?: \d+(?:[.,]\d+)? ?g(?:r|rams?)?(?: of)?)?(?: (?:the |my |its )?(?:dry |ale |lager )?yeast| it)?|(?:the |my )?yeast (?:is |was |went |got )?(?:in|pitched)))(?: at| @)? (?P<at>\d\d(?:[.,]\d)?)"
    r"(?=\W*$|, |; | and | (?:og|sg|gravity|with|into|1[.,]?[01]\d\d)\b)",
    re.IGNORECASE,
)
_PITCHES = {"metric": (8.0, 32.0), "imperial": (50.0, 90.0), "us": (50.0, 90.0)}
"""Degrees, in the unit of the setting, at which somebody may pitch a yeast."""
_MOVED = re.compile(
    r"(?:(?:it['’]?s|its|it is|all|now|poured|transferred|moved)(?: all)? )?(?:in|into|over into) (?:the |my )?(?P<where>bucket|fermenter|fermentor|demijohn|carboy|tub)(?: now)?[,:]? (?P<figure>\d{1,2}(?:[.,]\d{1,2})?)(?P<rest>\W*|[,;] .*)",
    re.IGNORECASE,
)
_FERMENTER_L, _BUCKET_L = 14.0, 10.0
"""Litres up to which a bare figure behind "in the fermenter" is one of litres; a bucket may be the cold bath with its degrees."""


def _pitched_at(text: str, context: Context) -> str:
    """ "Pitched the yeast at 19" with its degrees, in whatever stage it is told: no gravity is as short behind it."""
    said = _PITCHED_AT.search(text)
    low, high = _PITCHES[context.units]
    if said is None or not low <= float(said["at"].replace(",", ".")) <= high:
        return text
    return f"{text[: said.start()]}{said['told']} at {said['at']} degrees{text[said.end() :]}"


def plainly_put(text: str, context: Context) -> str | None:
    """The message in plainer words; None where there are none.

    >>> from datetime import UTC, datetime
    >>> here = Context(now=datetime(2026, 1, 15, 12, tzinfo=UTC), stage="drain")
    >>> plainly_put("1.040 but its about 60 degrees hot", here), plainly_put("hydrometer says 1 0 5 0 and its 22", here)
    ('1.040 at 60 degrees', 'hydrometer says 1050 at 22 degrees')
    >>> plainly_put("pitched at 19 og 1.048", here)
    'pitched at 19 degrees, og 1.048'
    >>> plainly_put("1.040 and the pot's at 60", here) is None
    True
    """
    if len(text) > _LONGEST or "?" in text:
        return None
    joined = _pitched_at(_RUNS_ON.sub(r"\1, ", _ONE_BY_ONE.sub(lambda found: found.group().replace(" ", ""), text)), context)
    if (moved := _MOVED.fullmatch(joined)) is not None and context.stage in ("steep", "chill", "transfer") and context.units == "metric":
        litres, bath = float(moved["figure"].replace(",", ".")), moved["where"].lower() in ("bucket", "tub")
        if 0.5 <= litres <= (_BUCKET_L if bath else _FERMENTER_L):
            return f"transferred, {moved['figure']} litres{moved['rest']}"
    if context.stage in _OF_WORT and (read := _READ_AT.fullmatch(joined)) is not None:
        return f"{read['told']} at {read['at']}{read['unit'] or ' degrees'}"
    return joined if joined != text else None


def put_in_after_all(text: str, context: Context, understand: Callable[[str, Context], Understanding]) -> Understanding | None:
    """The amount of hops that went in, where a message only says that it was more like so much; None for any other message."""
    if context.stage not in _BOILED or len(text) > _LONGEST or (said := _AFTER_ALL.fullmatch(text)) is None:
        return None
    if "?" in text or not _SCALES.match(said["why"] or "") or _OTHER.search(text):
        return None
    told = understand(f"I only put in {said['mass']}", context)
    if [each.name for each in told.intents] != ["done.put_in"] or told.unread:
        return None
    only = told.intents[0]
    # It puts right what is in, and so tells of no addition that is still to come.
    return Understanding(text=text, intents=(only.model_copy(update={"slots": {**only.slots, "told": ["corrects"]}, "text": text}),))
