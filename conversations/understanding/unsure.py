"""What is only hoped, thought or reckoned: no reading was taken by it, and nothing was done."""

from __future__ import annotations

import re

from conversations.intents import Intent

_HOPES_BEHIND = re.compile(r"\b((i|we) (do |really |just |sure )?hope|hope so)\W*$", re.IGNORECASE)
_HOPES_AHEAD = re.compile(r"(\b(i|we)(['’]m| am|['’]re| are)? (do |really |just )?|^\W*((and|so|well|really|just|now|do|sure) )*)hop(e|ing) (that )?(it|its|it['’]s|the|my|our|this|that|we|for|to|there)\b[^,.;!?]*$", re.IGNORECASE)
_SUPPOSES = r"(think|thought|guess|suppose|reckon|believe|assume|imagine)"
_SUPPOSED_BEHIND = re.compile(rf"\b(i|we) {_SUPPOSES}\W*$", re.IGNORECASE)
_SUPPOSED_AHEAD = re.compile(rf"^\W*(and |so |but |well )*(i|we) {_SUPPOSES} (that )?(the |my |our |all )*$", re.IGNORECASE)
_BY_SOMEBODY = re.compile(
    rf"\b(i )?{_SUPPOSES} (that )?(you|he|she|they|someone|somebody|mum|dad|\w+) (already |just |must have )?(did|done|has|have|put|added|pitched|sorted) ?(it|that|them|this|so|the|one)?\b|\bdid(n['’]t)? (you|he|she|they)\b|\b(you|he|she|they) (did|do) it\b",
    re.IGNORECASE,
)
_OWN = re.compile(rf"\b{_SUPPOSES} (that )?(i|we)\b", re.IGNORECASE)
_RECKONED = re.compile(
    r"\bwhat(s|['’]s| is| are| does| do| would| did| will)? (that|this|it|all that|these|those)((['’]s| is| be)? (make|makes|come|comes|coming|give|gives|work|leave|leaves|mean|add|total)\b| (now )?in (litres|gallons|degrees|total)\b|\W*$)[^.!?]*$",
    re.IGNORECASE,
)
_MEASURED = re.compile(r"\b(sticks?|dipstick|thermometer|hydrometer|scales?|says|reads|reading|shows|measured|gravity|sg)\b", re.IGNORECASE)
_TOLD = ("reading.", "done.", "look.", "unclear.range")


def only_thought(text: str, intent: Intent) -> bool:
    """Whether the message only hopes or thinks that what was found in it is so.

    >>> yeast, mash = Intent(name="done.pitched", text="yeast is in"), Intent(name="reading.temperature", text="66 degrees")
    >>> only_thought("yeast is in I think you did it", yeast), only_thought("yeast is in, I think we should clean up", yeast)
    (True, False)
    >>> only_thought("66 degrees I hope", mash), only_thought("66 degrees, I hope that's right", mash)
    (True, False)
    """
    if not intent.name.startswith(_TOLD):
        return False
    at = text.find(intent.text)
    ahead, behind = (text[:at], text[at + len(intent.text) :]) if at >= 0 else (text, text)
    if _HOPES_BEHIND.search(behind) or _HOPES_AHEAD.search(ahead) or _HOPES_AHEAD.search(intent.text):
        return True
    if intent.name.startswith("done."):
        said = _BY_SOMEBODY.search(text if intent.name == "done.generic" else behind)
        return _SUPPOSED_BEHIND.search(behind) is not None or _SUPPOSED_AHEAD.search(ahead) is not None or (said is not None and not _OWN.search(behind))
    return _RECKONED.search(ahead.rstrip(" ,:;-")) is not None and not _MEASURED.search(intent.text)
