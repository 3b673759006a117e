"""A brew that is begun in any words: "keen to do a saison, 9 litres", "a stout I'd like to brew, 6 litres please".

The message has the name of a beer, one volume and nothing else but words of beginning and wishing (data/begun.toml); what
stands before it with a stop behind ("off shift finally,") is talk and may be anything that turns nothing round.
"""

from __future__ import annotations

import re
from functools import cache, partial

from calc.units import quantity
from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.closings import without_surroundings
from conversations.understanding.quantities import KINDS
from conversations.understanding.rows import row_of
from conversations.understanding.slots import Slots
from conversations.understanding.words import LONGEST_TEXT, Item, listed, word_set

_STAGES = frozenset({None, "none", "plan", "prepare", "condition"})
_LONGEST = 160
_LONGEST_NAME = 4
_LONGEST_LEAD = 9
_LEAST_LITRES, _MOST_LITRES = 1.0, 100.0
_QUESTION = r"why|who|whose|how (?!about\b)\w+|what (?!i\b|we\b|about\b|i'|we')\w+|which|where"
_TURNS_LEAD = rf"(are|should|do|does|did|is|was|were|have|has) (i|we|you|they|he|she|it)|if|unless|when|whether|not|without|instead|cancel\w*|forget|stop\w*|undo|delete|recipe|forum|book|says|said|{_QUESTION}|(do|did|does|is|was|are|wo|ca|could|would|should)n['’]?t"
_LEAD_TURNS = re.compile(rf"\b({_TURNS_LEAD})\b", re.IGNORECASE)
_TURNS = re.compile(
    rf"\b({_TURNS_LEAD}|no|never|none|but|except|or|last|ago|yesterday|were|had|might|because|wish(?! to\b)|was (?!thinking|hoping|planning|wondering|going to say)\w+"
    r"|(would|could|should|must|may|'d)( of|'ve| have)|have (made|brewed|done|had|drunk)|used to|too|\w+n['’]t|(have|has|had)nt|cannot|nor|than|tasted|drank|drunk|drink\w*|bought|sold|buy\w*|order\w*|asks|wants|likes|makes|brews)\b",
    re.IGNORECASE,
)
_FINALLY = re.compile(r"\bat (long )?last\b|\blast (free )?(day|shift|night)\b|\b(no|not) (work|school|job|shift|kids)( today| tonight)?\b", re.IGNORECASE)
"""Turn nothing round: "brew day at last"."""
_ASKS_LEAVE = re.compile(r"\b(can|could|shall|may) (i|we|you)\b|\b(how|what) about\b", re.IGNORECASE)
_HOW_ABOUT = re.compile(r"^\W*(how|what) about\b|\bis (what|one|the one) (?=(i|we)\b)", re.IGNORECASE)
_ASKED = re.compile(rf"\W*(and |so |but |then )?({_QUESTION})\b|.*\b(explain|tell|show|teach|learn|know|read|remember)\b.*\b(how to|how (i|we|you)|the recipe)\b", re.IGNORECASE)
_SO = re.compile(r"(?<!\s)\s++(so|and so|but)\s+", re.IGNORECASE)
_CALLED_TO = re.compile(r"\W*+(?:(?:right|okay|ok|now|hey|hi|hello|ey up|ay up|come on|well|so|good|morning|evening|afternoon|alright)\W++){0,3}(?P<who>\w[\w']*)\b", re.IGNORECASE)
_IT_IS = re.compile(r"\W*(it is|it['’]s going to be|it shall be|it will be|it['’]ll be|is it)\b", re.IGNORECASE)
_WAS_TO_BE = re.compile(r"\b((were|was) (going|gonna|meant|supposed|about|planning|hoping) to|had (planned|wanted|hoped|meant) to|(would|'d) have)\b.*\b(but|only|until|till)\b", re.IGNORECASE)
"""Tells of a brew that came to nothing."""
_NAMED = frozenset({"called", "named", "name"})
_ENDS_A_LEAD = frozenset({"so", "and", "then", "now"})
_NO_NAME_BEGINS = frozenset({"beer", "ale", "beers"})
"""Before a name these are what is begun: "a new beer, blonde ale"."""

_some = partial(listed, "begun")


@cache
def _a_beer() -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(sorted(_some("beers_alone"))) + r"|beer|wine|call|called|named)\b", re.IGNORECASE)


def _carries(item: Item) -> bool:
    return item.kind == "sep" or item.said == "one" or item.word in _some("carries") | _some("begins")


def _beer(items: list[Item], text: str) -> tuple[int, int] | None:
    """Where the one name of a beer stands."""
    found: list[tuple[int, int]] = []
    i = 0
    while i < len(items):
        if items[i].word in _NAMED and found == []:
            end = next((k for k in range(i + 1, len(items)) if items[k].kind != "word"), len(items))
            if 0 < end - i - 1 <= _LONGEST_NAME:
                return i + 1, end
        last = i
        while last < len(items) and items[last].kind == "word" and (not _carries(items[last]) or items[last].word in _some("beers")):
            last += 1
            if last < len(items) and ":" in text[items[last - 1].end : items[last].start]:
                # "For the wedding: golden ale"
                break
        begin = last if last == i else max(i + 1, last)
        # "Oatmeal stout today": what follows the last word of a beer is no part of its name.
        while last > i and items[last - 1].word not in _some("beers"):
            last -= 1
        while last - i > 2 and items[i].word in _NO_NAME_BEGINS:
            i += 1
        words = [item.word for item in items[i:last]]
        if words and (set(words) & _some("beers_alone") or (len(words) > 1 and words[-1] in ("beer", "ale", "wine"))):
            found.append((i, last))
        i = max(begin, last, i + 1)
    return found[0] if len(found) == 1 and found[0][1] - found[0][0] <= _LONGEST_NAME else None


def _lead(items: list[Item], before: int) -> int:
    """How many items stand before what is begun and are talk: clauses that a stop ends, of few words and without a figure."""
    end = 0
    for k in range(before):
        if items[k].kind == "sep" or (items[k].word in _ENDS_A_LEAD and k):
            if all(map(_carries, items[end:k])):
                break
            end = k + 1
    talk = [item for item in items[:end] if item.kind != "sep"]
    # "Got an hour so"
    return end if len(talk) <= _LONGEST_LEAD and all(item.kind in ("word", "dur") or item.said == "one" for item in talk) else 0


def _without_whom(text: str) -> str:
    """The message without whom it is called to: "right lad, lets get a bitter on"."""
    called = _CALLED_TO.match(text)
    return text[called.end() :] if called and called["who"].lower() in _some("called") else text


def _figures(items: list[Item], lead: int) -> list[int]:
    return [k for k, item in enumerate(items) if k >= lead and item.kind in ("num", "qty", "dur", "clock") and item.said != "one"]


def _volume(items: list[Item], lead: int) -> int | None:
    """Where the one figure stands, if it is of so much beer."""
    figures = _figures(items, lead)
    if len(figures) != 1 or KINDS.get(items[figures[0]].unit) != "volume":
        return None
    return figures[0] if _LEAST_LITRES <= quantity(items[figures[0]].value, items[figures[0]].unit).to("litre").magnitude <= _MOST_LITRES else None


def begins_none(text: str) -> bool:
    """Whether a message tells of a brew that came to nothing, or only asks how one is done.

    >>> begins_none("can you explain how to brew a stout"), begins_none("can we brew a stout")
    (True, False)
    """
    return _WAS_TO_BE.search(text) is not None or _ASKED.match(text) is not None or _ASKED.match(without_surroundings(text)) is not None


def brew_begun(text: str, found: Understanding, context: Context) -> Understanding | None:
    """The message as a brew that is begun, where it is one and the sentences did not read it as one with its name and volume.

    What the sentences took for one that came to nothing, or is only asked of, is left unread.
    """
    begins = any(each.name == "brew.start" for each in found.intents)
    if begins and begins_none(text):
        return Understanding(text=text[:LONGEST_TEXT], quantities=found.quantities, unread=(text[:LONGEST_TEXT],))
    if context.stage not in _STAGES or context.expects is not None or len(text) > _LONGEST or _a_beer().search(text) is None:
        return None
    if not found.unread and [each.name for each in found.intents] == ["brew.start"] and {"name", "volume"} <= found.intents[0].slots.keys():
        return None
    said = _SO.sub(", ", _HOW_ABOUT.sub(" fancy ", _without_whom(without_surroundings(text))))
    items, spans = row_of(said, context)
    if (named := _beer(items, said)) is None:
        return None
    lead = _lead(items, named[0])
    at = _volume(items, lead)
    on_a_day = any(item.word in _some("weekdays") for item in items[lead:])
    if (at is None and (not on_a_day or _figures(items, lead))) or (at is not None and named[0] <= at < named[1]):
        return None
    cut = items[lead - 1].end if lead else 0
    before, behind = said[:cut], said[cut:]
    asks = any(item.question for item in items[lead:]) and not _ASKS_LEAVE.search(text)
    if asks or _LEAD_TURNS.search(before) or _TURNS.search(_FINALLY.sub("", behind)):
        return None
    rest = [item for k, item in enumerate(items) if k >= lead and not named[0] <= k < named[1] and k != at and item.kind != "sep"]
    words = {item.word for item in rest} - {"", "one"}
    who = _some("with_me") if {"and"} <= words and words & {"me", "i"} else frozenset()
    what_for = _some("occasions") | _some("with_me") if "for" in words else frozenset()
    it_is = _IT_IS.match(said, items[named[1] - 1].end) is not None or (at is not None and [item.word for item in items[at + 1 : at + 2]] == ["batch"])
    when = _some("weekdays") if on_a_day and not words & _some("over") else frozenset()
    if at is None and not words & _some("brews"):
        return None
    if not words <= _some("carries") | _some("begins") | who | what_for | when or not (it_is or words & _some("begins")):
        return None
    of_what_is_there = re.search(r"\bthe\s*$", said[: items[named[0]].start], re.IGNORECASE) is not None or (at is not None and "pint" in items[at].unit)
    if of_what_is_there and not (words & _some("begins_surely")):
        return None
    volume = {} if at is None else {"volume": Measured(value=items[at].value, unit=items[at].unit)}
    name = Slots(said, items, context).name_of(*named)
    if set(name.lower().split()) & (word_set("denials") | word_set("no_beer") - {"wine"}):
        return None
    begun = Intent(name="brew.start", slots={"name": name, **volume}, text=text[:LONGEST_TEXT])
    return Understanding(text=text[:LONGEST_TEXT], quantities=found.quantities or tuple(spans), intents=(begun,))
