"""What stands in a recipe's text and is no ingredient of it: struck words, money, last time's amounts, bottling sugar."""

from __future__ import annotations

import re
from functools import cache

from conversations.recipe.bought import only_used
from conversations.recipe.shop_and_larder import without_larder
from conversations.recipe.shorthand import written_out
from conversations.recipe.words import recipe_words

_BRACKETED = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_AMOUNT = r"\d{1,7}(?:[.,]\d{1,4})?(?:\s*\d/\d)?\s*(?:kg|g|gr|grams?|kilos?|lbs?|pounds?|oz|ounces?|%|minutes?|mins?|l|litres?)\b"
_INSTEAD = re.compile(
    rf"\((?:was|were|used to be|formerly|before it was|down from|up from)\s(?:the\s)?{_AMOUNT}[^()]{{0,80}}\)|"
    rf"\b(?:instead of|rather than|in place of|not)\s+(?:the\s+)?(?:usual\s+)?{_AMOUNT}|"
    r"\b(?:instead of|rather than|in place of)\b(?:(?!\s+(?:at|for|with)\s+\d|\s*@)[^,.;()])*",
    re.IGNORECASE,
)
"""What was replaced; the time or the alpha acids behind it are those of what stands there now."""
_STRUCK = re.compile(r"~~.*?~~|<(s|del|strike)>.*?</\1>", re.IGNORECASE)
_STRUCK_ALL = re.compile(r"^[\s\-*•\d.)]*(?:~~[^~]+~~|<(s|del|strike)>.*</\1>)\W*(?:(?:none|not|no|out|sold|gone|left|skip)\b.*)?$", re.IGNORECASE)
_AS_BEFORE = re.compile(
    r",?(?:(?<!\s)\s++)?\b(?:(?:the\s+)?(?:same|just|much|exactly)\s+)?(?:as|like)\s+(?:(?:the\s+)?(?:last|first|previous)\s+(?:time|year|batch)|always|usual|before)\b",
    re.IGNORECASE,
)
"""A comparison that only confirms."""
_MONEY = re.compile(
    r"[£€$]\s*\d+(?:[.,]\d{1,2})?|"
    r"\b\d+(?:[.,]\d\d)?\s*(?:euros?|quid|dollars?|pence|cents?|EUR|GBP|USD)\b|"
    r"\b\d+\s+pounds?\s+(?:and\s+)?\d\d(?:\s*p\b|(?=\s+(?:from|at|for|in|with|all|each|on|the|a)\b|\s*[,.;)]|\s*$))|"
    r"\b\d+\s+for\s+\d+\s+pounds?\b|"
    r"\b(?:cost|costs|costing|paid|pay|price[ds]?|for only|came to|worth)\s+(?:(?:me|us|him|her)\s+)?(?:about\s+)?\d+(?:[.,]\d\d?)?\s*(?:pounds?\b)?",
    re.IGNORECASE,
)
_HOURS = re.compile(
    r"\b(?P<h>\d|an?|one|two)\s*(?:h|hr|hrs|hour|hours)\.?\s*(?P<m>[0-5]\d)(?=\s*(?:[,.;)]|$))(?![.,]\d)", re.IGNORECASE
)
_LEFT_OUT = re.compile(
    r"\((?:or|alternatively|otherwise|else)\b[^()]*\)|"
    rf"(?<!\s),?\s*\(?(?<![\d½¼¾] )(?<!\d)\bor\s+(?:use\s+|take\s+|about\s+)*{_AMOUNT}\s+(?:of\s+)?(?!(?:at|for|if|so)\b)[^\W\d_][^,;.()]*\)?|"
    r"\b(?:don[’']?t|do not|never|without|no more than)\s+(?:(?:use|add|put|exceed|take|go)\s+)?[^,;.()]*?\d[^,;()]*",
    re.IGNORECASE,
)
"""Another way to make it, and what should not be done: said, but no amount of this recipe."""
_PACKS = "bags?|packs?|packets?|sachets?|tins?|cans?|boxes|x"
_REST_OF = re.compile(rf"\b(?:the\s+)?rest of (?:the|a|an|my|that)\s+{_AMOUNT}(?:\s*(?:{_PACKS})\b)?", re.IGNORECASE)
"""Nobody says how much that is: it is asked."""
_WEIGHT = r"(?<![\d.,])\d{1,6}(?:[.,]\d{1,4})?\s?(?:kg|g|grams?|oz|ounces?|lbs?|pounds?)\b"
_OUT_OF_PACK = re.compile(rf"({_WEIGHT})\s{{1,3}}(?:out\s)?(?:of|from)\s(?:an?|one|my|the)\s{_WEIGHT}[ -]?(?:{_PACKS})\b", re.IGNORECASE)
""" "30 g of a 100 g pack of Fuggle": the pack is what was bought."""
_IN_ALL = re.compile(r"\([^()]*\b(?:in all|in total|total|altogether|together)\b[^()]*\)", re.IGNORECASE)
_CUT_SHORT = re.compile(r"\b([^\W\d]{2,5})\.\s?(?=(?:malt|barley|oats|wheat|hops)\b)|\b((?i:choc|crys|cryst|cara|caram|pils|mun|torr|roast|roas|amb|brn|blk|dk|lt))\.\s(?=[^\W\d])")
""" "choc. malt": the stop ends no sentence."""
_THE_REST = re.compile(r"\b(?:the|what(?:['’]s| is)) (?:rest|remainder|left(?: over)?)\b(?=\s+(?:goes |go |of it |of them )*(?:in )?(?:(?:at|with|for)\s+(?:\d+\s*(?:min|m\b)|[^\W\d])|when|once|as|after|near))", re.IGNORECASE)
""" "the rest at flame-out" is no rest of the mash."""
_UNITS = "one|two|three|four|five|six|seven|eight|nine"
_DEGREES_UNSAID = re.compile(
    rf"\b(mash\w*\s+(?:it\s+|at\s+|is\s+|in\s+){{0,2}})((?:fifty|sixty|seventy)(?:[ -](?:{_UNITS}))?)\s+(?=(?:for\s+)?(?:thirty|forty|fifty|sixty|seventy|eighty|ninety|an\s+hour|one\s+hour)\b)",
    re.IGNORECASE,
)
""" "mash sixty seven sixty minutes": degrees, then minutes."""
_COUNTED = frozenset(f"zero nought oh {_UNITS.replace('|', ' ')} ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred".split())
_POINT_FIRST = re.compile(rf"(?P<lead>(?:(?P<before>(?<![^\W\d])[^\W\d]++|(?<!\d)\d++)\W{{1,3}}|^\s*))(?P<point>point\s+(?:{_UNITS}|zero|nought|oh|\d)\b)", re.IGNORECASE)
""" "point two kilos": a fifth of one, and not two."""
_TOLD = re.compile(r"(?:in all|in total|altogether|all told|overall)\b", re.IGNORECASE)
_ALL_TOLD = re.compile(
    r"\b(?:\d+(?:[.,]\d+)?|(?:(?:an?|one|two|three|four|five|six|seven|eight|nine|ten|twenty|thirty|forty|fifty|sixty|hundred|half|and)\s+){1,5})\s?(?:g|grams?|grammes?|oz|ounces?)\s+"
    rf"{_TOLD.pattern}(?=[^%]{{0,80}}?(?:\d|\b[^\W\d]+)\s?(?:g|grams?|oz|ounces?)\b)",
    re.IGNORECASE,
)
""" "five ounces in all: three ounces at sixty minutes and two at ten"."""
_SAME_OF = re.compile(
    r"(?P<mass>\b\d{1,5}(?:[.,]\d{1,3})?\s{0,2}(?:kg|g|grams?|kilos?|lbs?|pounds?|oz|ounces?))\s(?:of\s)?(?P<name>[^,;.()\d]{2,40}?),?\s(?:and|plus)\s(?:the\s)?same\s(?:amount\s|weight\s|again\s)?of\s",
    re.IGNORECASE,
)
""" "1.3 kg wheat malt and the same of Pilsner"."""
_ARROW = re.compile(rf"(?<!\d){_AMOUNT}\s{{0,2}}(?:[-=]+>|→|⇒)\s{{0,2}}(?={_AMOUNT})", re.IGNORECASE)
""" "25 g -> 30 g": what it was, and what it is now."""
_ALPHAS = re.compile(r"^\W*(?:alpha(?:[ -]acids?)?|alphas|aa|a\.a\.)\s*%?\s*[:=]", re.IGNORECASE)
"""A label that says what the figures behind it are percents of."""
_SHORT = re.compile(
    r"(?<![^\W\d_])((?:(?<!\s)\s++)?(?:kg|g|grams?|kilos?|lbs?|pounds?|oz|ounces?)\s+(?:of\s+)?)(\w+)\b(?!\s+(?:malt|barley|treacle|patent|pepper|tea|rice|wheat|cherr)|[-’'])",
    re.IGNORECASE,
)


_WHOSE = ("in his", "in hers", "in theirs")
_IN_HIS = re.compile(rf"\b(?:{'|'.join(_WHOSE)})\W*$")
_OUT_OF = re.compile(r"\b(?:from|of|off|out of|left over from) (?:the |my |our )?(?:last|previous) (?:time|batch|brew)\b")
"""Where a yeast or a leftover comes from."""


_INTRODUCED = re.compile(
    r"\b(?:this|here|it|that|these)(?:['’]?s| is| are| was)\b(?:(?!\b(?:kilos?|kg|grams?|g|pounds?|lbs?|ounces?|oz|lit(?:re|er)s?|minutes?|min)\b)[^\d,;.!?]){0,90}?"
    r"\b(?:used to (?:make|brew|do)|last (?:year|month|summer|winter|spring|autumn|time|batch)|first time)\b"
)
"""The opening that says whose recipe it is or when it was brewed, before any amount."""


def about_another_time(sentence: str) -> bool:
    """Whether a sentence tells of an earlier or a later batch; "this is the ale I did last month" tells which recipe it is.

    >>> about_another_time("last time I used 2 kg"), about_another_time("this is the stout my father used to make, 2 kg pale malt")
    (True, False)
    """
    low = _INTRODUCED.sub("", _OUT_OF.sub("", " ".join(sentence.casefold().split())))
    return _other_times().search(low) is not None or _IN_HIS.search(low) is not None


@cache
def _other_times() -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, recipe_words()['another_time']))})\b")


_NOW = re.compile(r"(?:(?:but|and|so)\s+)?(?:this (?:time|one|year|batch|round)|now\b|today)", re.IGNORECASE)


def this_time(sentence: str) -> tuple[str, str]:
    """The sentence up to where it begins to tell of another batch, and the rest.

    >>> this_time("I used 2 kg pale malt, but next time I would use 2.2 kg.")
    ('I used 2 kg pale malt', 'but next time I would use 2.2 kg.')
    """
    low = " ".join(sentence.casefold().split())
    if _other_times().search(low) is None and not any(whose in low for whose in _WHOSE):
        return sentence, ""
    pieces = [piece.strip() for piece in re.split(r"[,;]|\s[-–—]\s|(?=\bbut\b)", sentence)]
    told = next((i for i, piece in enumerate(pieces) if about_another_time(piece)), None)
    if told is None:
        return sentence, ""
    again = next((i for i in range(told + 1, len(pieces)) if _NOW.match(pieces[i])), len(pieces))
    first, rest = ([piece for piece in part if piece] for part in (pieces[:told] + pieces[again:], pieces[told:again]))
    return ", ".join(first), ", ".join(rest)


def left_out(row: str) -> tuple[str, list[str]]:
    """The line without alternatives and warnings, and those that had an amount.

    >>> left_out("2 kg pale malt, or 1.3 kg dry malt extract")
    ('2 kg pale malt', ['or 1.3 kg dry malt extract'])
    """
    cut = [found[0].strip(" ,()") for found in _LEFT_OUT.finditer(row)]
    return (_LEFT_OUT.sub("", row), cut) if cut else (row, [])


def _straight(row: str) -> str:
    """Figures and words written so that each is one: "1-1/2 lb", "@60/10 g", "2 100 g", "pale_malt"."""
    for picture, words in recipe_words()["pictures"].items():
        row = row.replace(picture, f"{words} ")
    row = re.sub(r"(?<=[^\W\d])_(?=[^\W_])|(?<=\d)_(?=[^\W\d])", " ", row)
    row = re.sub(r"\b(\d+)-(\d/\d)", r"\1 \2", row)
    row = re.sub(r"(@\s*\d+)\s*/\s*(?=\d)", r"\1, ", row)
    row = re.sub(r"([@/]\s*\d{1,3}),(?=\d+(?:\.\d+)?\s*(?:kg|g|oz|lbs?)\b)", r"\1, ", row)
    row = re.sub(r"(?<=\d[CF])/(\d{1,3})(?=\s*(?:[,;)]|$))", r" for \1 min", row)
    row = re.sub(r"(?<=[^\W\d])/(\d{1,3})(?=\s*(?:[,;)]|$))", r" for \1 min", row)
    row = re.sub(r"(?<![\d.,])(\d{1,3}),(\d{3})(?=\s*(?:g|grams?)\b)", r"\1\2", row)
    row = re.sub(r"\bt\s*=\s*(\d{1,3})\s*:?", r"\1 min: ", row, flags=re.IGNORECASE)
    row = re.sub(r"^\s*dry\s*:", "dry hop:", row, flags=re.IGNORECASE)
    row = re.sub(rf"(^|[,;:|(]\s*)(\d{{1,2}})[ \u00a0\u202f](\d{{3}})(?=\s*(?:g|grams?)\b(?!\s*(?:{_PACKS})))", r"\1\2\3", row)
    row = _CUT_SHORT.sub(lambda found: f"{found[1] or found[2]} ", row)
    row = re.sub(r"\b([OFof])\.\s?([Gg])\.(?=\W)", r"\1\2", row)
    if _ALPHAS.match(row):
        row = re.sub(r"(?<![\d.,])(\d{1,2}(?:[.,]\d{1,2})?)(?!\d|[.,]\d|\s*(?:%|per\s?cent|g\b|min))", r"\1 %", row)
    row = re.sub(r"\b(mash(?:ed|ing)?\b[^\d\n]{0,12})(\d{2,3}(?:[.,]\d)?)\s?/\s?(\d{2,3})(?!\d|[.,]\d|/)", r"\1\2 for \3 min", row, flags=re.IGNORECASE)
    row = re.sub(r"\band (half (?:that|as much|the amount))\b", r", \1", row, flags=re.IGNORECASE)
    row = _DEGREES_UNSAID.sub(r"\1\2 degrees ", row)
    if "point" in row.casefold():
        row = _POINT_FIRST.sub(lambda found: found[0] if found["before"] and found["before"].casefold() in _COUNTED else f"{found['lead']}zero {found['point']}", row)
    row = re.sub(r"\bimp\.?\s+gal(?:s|lons?)?\b", "imperial gallons", row, flags=re.IGNORECASE)
    row = re.sub(r"\b(boil\s?:?\s?\d{2,3})\s?:(?=\s)", r"\1 min:", row, flags=re.IGNORECASE)
    row = re.sub(r"\btarget (?=gravity\b|og\b)", "original ", row, flags=re.IGNORECASE)
    row = re.sub(r"\bMO\b", "maris otter", row)
    row = re.sub(r"(?<=\d)((?:\s?(?:g|gr|kg|oz|%)))\s[-–](\d{1,2})(?=\s*(?:[;,]|$))", r"\1 at \2 min", row)
    row = re.sub(r"\bt\s?[-–]\s?(\d{1,3})(?=\s[^\W\d]{2})", r"\1 min: ", row, flags=re.IGNORECASE)
    row = re.sub(r"\b(?:UK|British)\s+(?=(?:gal|gals|gallons?|pints?|quarts?)\b)", "imperial ", row, flags=re.IGNORECASE)
    row = re.sub(r"\bAmerican\s+(?=(?:gal|gals|gallons?|pints?|quarts?)\b)", "US ", row, flags=re.IGNORECASE)
    row = re.sub(r"(?<=\d)\s?#(?=\s)", " lb", row)
    row = _SAME_OF.sub(r"\g<mass> \g<name> and \g<mass> ", row)
    row = _THE_REST.sub("some", row)
    row = _ARROW.sub("", row)
    row = _REST_OF.sub("some", row)
    row = _OUT_OF_PACK.sub(r"\1", row)
    row = _IN_ALL.sub("", row)
    return _ALL_TOLD.sub("", row) if _TOLD.search(row) else row


def without_asides(row: str) -> str:
    """The line without brackets about another batch and without what was replaced; short names written out.

    >>> without_asides("20 g Fuggle at 60 (last time 25 g), 3 kg MO")
    '20 g Fuggle at 60 , 3 kg maris otter'
    """
    row = "" if _STRUCK_ALL.match(row) else _STRUCK.sub(" ", row)
    row = written_out(without_larder(only_used(row)))
    row = _straight(row)
    row = _HOURS.sub(r"\g<h> hour and \g<m> minutes", _MONEY.sub("", _AS_BEFORE.sub("", row)))
    row = _BRACKETED.sub(lambda found: "" if about_another_time(found[0]) else found[0], row)
    row = _INSTEAD.sub("", row)
    short = recipe_words()["short"]
    return _SHORT.sub(lambda found: found[1] + short.get(found[2].casefold(), found[2]), row)
