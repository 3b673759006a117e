"""A figure that is put right in the message that tells it ("sixty seven no hang on sixty six point five"): the last one counts.

The message is read as if it had been said right at once, so that a question or a wish stays one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from conversations.intents import Context, Span
from conversations.understanding.quantities import KINDS
from conversations.understanding.rows import row_of
from conversations.understanding.words import LONGEST_TEXT, vocabulary, word_set

_LONGEST = 240
_WORDS_BETWEEN = 4
"""So many words of the first may stand before it is put right: "a ten minute timer please, no, twelve"."""
_CARRIES = frozenset(["it", "its", "it's", "that", "that's", "thats", "is", "was", "now", "say", "at", "the", "a", "more", "like", "we", "i", "i've", "we've", "got", "have", "to", "for", "of"])
"""May lead to the second figure beside the words that led to the first."""
_WORD = re.compile(r"[^\W_]+(?:['’][^\W\d_]+)*")
_A_MOMENT = re.compile(r"\b(hang on|hold on|wait|hang about)( for)? (a|one|two|half a|just a) (minute|min|mo|moment|second|sec|tick)s?\b", re.IGNORECASE)
_STOP = re.compile(r"[,.;–—-]\s*$")
_GRAVITY = (0.95, 1.2)
_ONE_OF_A_KIND = 2.0
"""How far apart two figures may be of which one has no unit, to be of one thing."""


@dataclass(frozen=True, slots=True)
class _Figure:
    start: int
    end: int
    text: str
    value: float
    kind: str
    """Of its unit, or "gravity" by its shape; empty for a bare figure."""


@cache
def taken_back() -> re.Pattern[str]:
    """Words that take back what stands before them, among others that only go with them."""
    page: dict[str, list[str]] = vocabulary()["taken_back"]
    strong, weak = ("|".join(sorted((re.escape(each) for each in page[key]), key=len, reverse=True)) for key in ("by", "beside"))
    return re.compile(rf"(?<!\w)(?:(?:{weak})\W+){{0,4}}(?P<by>{strong})(?!\w)(?:\W+(?:{strong}|{weak})(?!\w)){{0,4}}\W*", re.IGNORECASE)


def _figure(span: Span) -> _Figure:
    kind = "time" if span.unit == "second" else KINDS.get(span.unit, span.unit)
    if span.unit == "dimensionless":
        thousandths = span.value / 1000 if span.value > 900 else span.value
        kind = "gravity" if _GRAVITY[0] <= thousandths <= _GRAVITY[1] and span.value != 1 else ""
    return _Figure(span.start, span.end, span.text, span.value, kind)


def _of_one_thing(first: _Figure, second: _Figure) -> bool:
    if first.kind == second.kind != "":
        return True
    if (first.kind and second.kind) or "gravity" in (first.kind, second.kind):
        return False
    if "time" in (first.kind, second.kind):
        # "for ten, no, make that fifteen minutes"
        return True
    low, high = sorted((abs(first.value), abs(second.value)))
    return low > 0 and high / low <= _ONE_OF_A_KIND


def _unit(figure: _Figure) -> str:
    """The unit as it was said: of "ten minute" and "10min" the minute."""
    last = figure.text.split()[-1].lstrip("0123456789.,½¼¾")
    return last if figure.kind not in ("", "gravity") or figure.text[-1:].isalpha() else ""


def _leads(words: list[str], before: str) -> bool:
    """Whether words only lead to the second figure as others led to the first."""
    said = {word.lower() for word in _WORD.findall(before)} | _CARRIES
    return all(word.lower() in said for word in words)


def _put_right(text: str, first: _Figure, second: _Figure) -> str | None:
    """The message with the second figure in the place of the first, where the words between take the first back."""
    between = text[first.end : second.start]
    taken = next((each for each in taken_back().finditer(between) if each.end() == len(between) or _leads(_WORD.findall(between[each.end() :]), text[: first.start])), None)
    if taken is None or not _of_one_thing(first, second):
        return None
    kept = between[: taken.start()].rstrip(" ,;.!?-–—…")
    if "?" in between or len(_WORD.findall(kept)) > _WORDS_BETWEEN:
        return None
    if taken["by"].lower() == "no" and len(_WORD.findall(taken.group())) == 1 and (
        (kept.strip() and second.text[0].isdigit() and not _STOP.search(between[: taken.start()])) or (first.kind and second.kind and _unit(first) != _unit(second))
    ):
        # "thermometer no 2" is its number, and "12 litres, no 500 ml bottles" denies.
        return None
    said = second.text
    if first.kind not in ("", "gravity") and not second.kind:
        said = f"{said} {_unit(first)}"
    behind = text[second.end :]
    if kept.strip() and behind.lower().lstrip().startswith(kept.lower().strip()):
        # "twelve bottles no thirteen bottles"
        behind = behind.lstrip()[len(kept.strip()) :]
    return f"{text[: first.start]}{said}{kept}{behind}"


def put_right_within(text: str, context: Context) -> str | None:
    """The message with the last figure of each that is put right in it; None where none is.

    >>> from datetime import UTC, datetime
    >>> here = Context(now=datetime(2026, 1, 15, 12, tzinfo=UTC))
    >>> put_right_within("gravity is one oh five two no sorry one oh five three", here)
    'gravity is one oh five three'
    >>> put_right_within("ten minute timer please no make that twelve", here)
    'twelve minute timer'
    >>> put_right_within("66 in the mash and no 2 on the list", here)
    """
    if len(text) > _LONGEST or taken_back().search(text) is None:
        return None
    # "hang on a minute" is no length of time.
    said = begun = _A_MOMENT.sub("hang on", text[:LONGEST_TEXT])
    for _ in range(3):
        figures = [_figure(span) for span in row_of(said, context)[1]]
        pairs = pairwise(figures)
        mended = next((found for first, second in pairs if (found := _put_right(said, first, second)) is not None), None)
        if mended is None:
            break
        said = mended
    return None if said == begun else said


_NAMED_ANEW = re.compile(
    r"\W*(?:(?:oh|sorry|wait|argh|oops|ah)\W+)*(?:no|nope|nah|naw)\W+(?:(?:sorry|wait)\W+)*(?:the |my |that )?(?P<kind>gravity|temperature|temp|volume|weight|depth)(?:['’]?s)?(?: (?:is|was|says|reads|should be))?\W+(?P<figure>\w.*)",
    re.IGNORECASE,
)
_NOT_NAMED = frozenset({"more", "left", "less", "bag", "bags", "packet", "packets", "yet", "needed", "in"})
_SPOKEN_OF = {"gravity": "gravity", "temperature": "temperature", "temp": "temperature", "volume": "volume", "weight": "mass", "depth": "depth"}


def named_anew(text: str, context: Context) -> str | None:
    """ "No, gravity 1.044" behind a reading of that kind, and "no, 200 g brown malt" while planning, in plainer words; None for anything else."""
    if (ingredient := ingredient_anew(text, context)) is not None:
        return ingredient
    found = _NAMED_ANEW.fullmatch(text) if context.last is not None and len(text) <= _LONGEST else None
    if found is None or context.last is None or context.last.name != f"reading.{_SPOKEN_OF[found['kind'].lower()]}":
        return None
    return f"no it was {found['figure']}" if len(row_of(found["figure"], context)[1]) == 1 else None


_NO = r"\W{0,4}(?:(?:oh|wait|argh|oops|ah|sorry|hang on)\W{1,4}){0,3}(?:(?:no|nope|nah)(?:,|;|\.| -| –)? ?(?:(?:sorry|wait|make that|make it|it was|it's|its|i meant|i mean)\W{1,4}){0,3})"
_MASS = r"(?P<mass>\d+(?:[.,]\d+)? ?(?:kg|kilos?|g|gr|grams?|grammes?|oz|ounces?|lbs?|pounds?))"
_OF = r"(?P<name>[a-z]+(?: [a-z]+)?(?: malt| sugar| hops?| extract)?(?: \d{2,3}(?= ))?)"
_INGREDIENT_ANEW = (
    re.compile(rf"{_NO}{_MASS} (?:of )?(?:the )?{_OF}(?P<at> at \d+(?: min(?:utes|s)?)?)?(?: please| pls| instead| then)?(?P<rest>\W*$|[,;.] ?(?:and |then ).*)", re.IGNORECASE),
    re.compile(rf"{_NO}(?:the )?{_OF}(?: is| was| at| to be| should be)? {_MASS}(?P<at> at \d+(?: min(?:utes|s)?)?)?(?: please| pls| instead| then)?(?P<rest>\W*$|[,;.] ?(?:and |then ).*)", re.IGNORECASE),
)
"""What comes behind "no": it puts an ingredient right, and never takes it out ("no, brown malt 160 g")."""


def ingredient_anew(text: str, context: Context) -> str | None:
    """ "No, 200 g brown malt please" while planning, as it would be said of the recipe; None for anything else.

    >>> from datetime import UTC, datetime
    >>> here = Context(now=datetime(2026, 1, 15, 12, tzinfo=UTC), stage="plan")
    >>> ingredient_anew("no, 200 g brown malt please, and take out the wheat", here)
    'make the brown malt 200 g, and take out the wheat'
    >>> ingredient_anew("no 500 g bags left", here)
    """
    if context.stage not in ("plan", "prepare", "heat") or len(text) > _LONGEST or "?" in text:
        return None
    found = next((said for each in _INGREDIENT_ANEW if (said := each.fullmatch(text)) is not None), None)
    if found is None:
        return None
    named = set(_WORD.findall(found["name"].lower()))
    if not named & (word_set("grain") | word_set("hops")) or named & (word_set("denials") | _NOT_NAMED):
        return None
    return f"make the {found['name']}{found['at'] or ''} {found['mass']}{found['rest']}"


def behind_what_is_taken_back(text: str) -> str | None:
    """What stands behind "no okay", "no hang on" and the like, where what stands before is taken back as a whole.

    >>> behind_what_is_taken_back("give it a minute no okay it's up to 71 now")
    "it's up to 71 now"
    """
    if len(text) > _LONGEST:
        return None
    found = [each for each in taken_back().finditer(text) if len(_WORD.findall(each.group())) > 1 and each.end() < len(text)]
    return text[found[-1].end() :] if found else None
