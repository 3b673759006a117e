"""What somebody else did on this brew: "uncle stirred it", "my mate took the reading, 1.012" are told as if by the brewer.

Only where the object is what is brewed here; of a beer of their own nothing is taken.
"""

from __future__ import annotations

import re

_HELPERS = (
    "uncle|aunt|auntie|dad|mum|mom|father|mother|brother|sister|son|daughter|wife|husband|girlfriend|boyfriend|partner|cousin|grandad|grandpa|nan|gran|grandma|flatmate|housemate|roommate"
    "|mate|friend|neighbour|neighbor|kids?|nephew|niece|missus"
)
_VERBS = (
    "stirred|took|measured|read|checked|added|put|pitched|lifted|pulled|squeezed|chilled|transferred|siphoned|capped|bottled|filled|topped|turned|dropped|threw|chucked|sprinkled|weighed|poured|drained|covered"
)
_HELPED = re.compile(
    rf"\s*(?:(?:my|our|the) )?(?:{_HELPERS})(?: (?:has|have|had|just|already|kindly|also|then))* (?P<verb>{_VERBS}) (?P<rest>(?:up |in |out |off )?(?:it|them|the|this|that|our|a (?:gravity|reading|sample|temperature)|another (?:gravity|reading))\b.*)",
    re.IGNORECASE | re.DOTALL,
)
_THEIR_OWN = re.compile(
    r"\b(his|her|hers|their|theirs|own|him|himself|herself|themselves|once|last (week|month|year|time)|years? ago|used to|always|never|once|wrong|stopped|without|says?|said|reckons?|thinks?|told|if|when|would|should|could|tea|dinner|dog|baby|bin|bins|car"
    r"|kettle on|oven|washing|bath|shower|bus|train|exam|place|house|stout of|cider|wine|mead|kombucha|next door|round the corner|at work|in the pub)\b|\?",
    re.IGNORECASE,
)


_MAKES_IT = re.compile(
    rf"\s*(?:(?:my|our|the) )?(?:{_HELPERS}|lad|lass|missis|hubby|old man|other half|better half)(?: (?:here|just|now))? (?:makes|made|reads|read|has|gets|got|measures|measured|calls) it(?: as| at| to be| out to be)? (?P<rest>(?:[\w.,-]+ ?){{1,7}}(?: now)?)[.! ]*",
    re.IGNORECASE,
)
_FIGURE_FIRST = re.compile(r"(about |around |roughly |just )?(\d|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thir|fif|twenty|forty)", re.IGNORECASE)

_OF_THEIRS = re.compile(rf"\s*(?:(?:my|our|the) )?(?:{_HELPERS})(?: \w+){{0,2}} (?:{_VERBS}) .*\b(?:his|her|hers|their|theirs)\b", re.IGNORECASE | re.DOTALL)


def of_theirs(text: str) -> bool:
    """Whether somebody else did something with what is theirs: "my mate checked the gravity of his stout, 1.020".

    >>> of_theirs("my mate took his reading, 1.012"), of_theirs("my mate took the reading, 1.012")
    (True, False)
    """
    return _OF_THEIRS.match(text) is not None


def as_mine(text: str) -> str | None:
    """The message as the brewer would tell it, or None where nobody helped with this beer.

    >>> as_mine("my mate took the reading, 1.012"), as_mine("my mate took his reading, 1.012")
    ('I took the reading, 1.012', None)
    """
    if (makes := _MAKES_IT.fullmatch(text)) is not None and _FIGURE_FIRST.match(makes["rest"]) and not _THEIR_OWN.search(text):
        # "the wife makes it 1.057"
        return f"it is {makes['rest']}"
    found = _HELPED.fullmatch(text)
    if found is None or _THEIR_OWN.search(text):
        return None
    return f"I {found['verb']} {found['rest']}"


_BOUGHT_FOR_ME = re.compile(
    rf"\s*(?:(?:my|our|the|me) (?:{_HELPERS}|lad|lass|boy|girl|missis|hubby|old man)|(?:{_HELPERS})|our [a-z]+|(?-i:(?!Who|Nobody|None|Should|Could|If)[A-Z][a-z]+))"
    r"(?: (?:has|have|had|just|kindly|also|very kindly|went and))* (?P<verb>bought|got|brought|fetched|picked up|ordered)(?: (?:me|us))(?: over| round| back| in)? (?P<rest>.+)",
    re.IGNORECASE | re.DOTALL,
)

_IT_WAS = re.compile(r"\band (it|that) was (only |just )?", re.IGNORECASE)


def bought_for_me(text: str) -> str | None:
    """What somebody bought for the brewer, as the brewer would tell it; None where it is not told that it was for them.

    >>> bought_for_me("our Jonny bought me 2 kg of pale malt"), bought_for_me("our Jonny bought 2 kg of pale malt")
    ('I bought 2 kg of pale malt', None)
    """
    found = _BOUGHT_FOR_ME.fullmatch(text)
    if found is None or _THEIR_OWN.search(text):
        return None
    return "I bought " + _IT_WAS.sub("and it cost ", found["rest"])
