"""Boiling water that goes into the mash is water added to it, and no boil that began."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.asking import asks_for_certain
from conversations.understanding.cues import not_yet
from conversations.understanding.rows import Placed

_HOT = r"(?:just[- ])?(?:boiling|boiled|hot|cold|kettle|tap)"
_VERB = r"(?:poured|tipped|chucked|put|added|stirred|threw|sloshed|splashed|slung|dumped|bunged)"
_WATER_IN = re.compile(
    rf"\b{_HOT}(?: kettle)? water(?:['’]?s| is| has| went| gone| all| now| just)* (?:added|poured in|tipped in|stirred in|in)\b(?! (?:the |a |my |another |an? electric )?(?:kettle|pan|saucepan|jug|flask|urn|sink|\d|\w+ (?:min|sec|hour)))"
    rf"|\b{_VERB}(?: in)? (?:the |that |some |my |all the )?(?:{_HOT}(?: kettle)? )(?:water|kettle)\b(?! (?:in|into|to) (?:the |a |my )?(?:kettle|pan|saucepan|jug|flask|urn|sink))"
    r"|\bkettle(?:['’]?s| is| has| went| gone| all| now)* (?:poured|tipped|emptied) in\b",
    re.IGNORECASE,
)
_BOIL = re.compile(r"\b(?:boils|the boil|a boil|(?<!just )(?:is|['’]s|its|now|pot|wort|started|rolling) boiling)\b(?! water)", re.IGNORECASE)
_KETTLE = re.compile(r"\b(?:kettle|water|jug|all (?:i|we|there) (?:had|was|have)|full)\b", re.IGNORECASE)
_ADJECTIVE = re.compile(r"\bboiling (?:hot )?(?:kettle )?water\b", re.IGNORECASE)


def poured_in(found: list[Placed], stage: str | None, text: str) -> list[Placed]:
    """The intents of a message in the mash, in which "boiling water" begins no boil, and what went in is told with its litres.

    >>> from conversations.intents import Measured
    >>> told = [(0, Intent(name="done.boiling", text="boiling")), (4, Intent(name="reading.volume", slots={"volume": Measured(value=0.5, unit="litre")}, text="half a litre"))]
    >>> [each.name for _, each in poured_in(told, "mash", "boiling water in, half a litre")]
    ['done.water_added']
    """
    if stage != "mash":
        return found
    boiling = any(each.name == "done.boiling" for _, each in found)
    if boiling and _ADJECTIVE.search(text) and not _BOIL.search(text):
        found = [pair for pair in found if pair[1].name != "done.boiling"]
    said = _WATER_IN.search(text)
    if said is None or asks_for_certain(text) or "?" in text or not_yet(text) or any(each.name == "done.water_added" for _, each in found):
        return found
    litres = [(place, each) for place, each in found if each.name == "reading.volume"]
    if len(litres) > 1 or not (litres or boiling):
        return found
    place, slots = (litres[0][0], {"volume": litres[0][1].slots["volume"]}) if litres else (0, {})
    kept = [pair for pair in found if pair not in litres and pair[1].name not in ("done.boiling", "unclear.water", "done.heated", "unclear.heating")]
    return sorted([*kept, (place, Intent(name="done.water_added", slots=slots, text=said.group()))], key=lambda pair: pair[0])


def of_the_kettle(piece: str) -> bool:
    """Whether a piece that was left unread tells only of the kettle that the water came from."""
    return _KETTLE.search(piece) is not None and re.search(r"\d|\b(mash|pot|grain|bag|wort)\b", piece, re.IGNORECASE) is None
