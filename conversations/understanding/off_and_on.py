"""A boil that was interrupted and goes on again, told in one message."""

from __future__ import annotations

import re

from conversations.understanding.rows import Placed

_ON_AGAIN = re.compile(
    r"\b(sorted|fixed|relit|swapped|swapped over|changed|changed over|replaced|new (bottle|gas|cylinder|one) (on|in)|back on|on again|going again|lit again|boiling again|rolling again|running again|burning again|back (up )?(to|at|on) (the |a )?(full |rolling )?boil|all (good|fine|well)( again)?|working again|back boiling|back now|back again)\b",
    re.IGNORECASE,
)
_NOT_ON_YET = re.compile(r"\b(not|n['’]t|nearly|almost|will|soon|once|when|until|till|if|get(ting)?|trying|try|need(s)?( to)?|be|should|going to|to be)\W+(\w+\W+){0,2}$", re.IGNORECASE)
_SO_LONG_OFF = re.compile(r"(about |around |maybe |only )?[\w.]+ ?(s|secs?|seconds?|m|mins?|minutes?|hours?)? off\W*", re.IGNORECASE)
_OFF_AND_ON = ("done.off_boil", "done.back_on_boil", "stage.resume", "stage.back", "timer.resume", "done.generic", "done.boiling")


def off_and_on_again(found: list[Placed], text: str) -> list[Placed]:
    """ "gas went out, off the boil four or five minutes, sorted now": it has been off, and is on again."""
    off = [pair for pair in found if pair[1].name == "done.off_boil"]
    if not off:
        return found
    place, first = off[0]
    slots = {key: value for _, each in off for key, value in each.slots.items()}
    if "least" in slots and "duration_s" in slots:
        unit = 3600.0 if slots["duration_s"] >= 3600 else 60.0
        low, high = min(unit * slots.pop("least"), slots["duration_s"]), slots["duration_s"]
        slots["duration_s"] = (low + high) / 2
    behind = text[max(text.find(each.text) for _, each in off) + 1 :]
    again = next((each for each in _ON_AGAIN.finditer(behind) if not _NOT_ON_YET.search(behind[: each.start()])), None)
    if again is not None or any(each.name == "done.back_on_boil" for _, each in found):
        slots["over"] = True
        found = [pair for pair in found if pair[1].name not in _OFF_AND_ON or pair[1] is first]
    if "duration_s" not in slots and len(found) > 1:
        # "ran out of gas, swapped the bottle, 4 minutes off": no minutes off the clock.
        for pair in found:
            if pair[1].name == "timer.shorten" and pair[1].slots.keys() == {"duration_s"} and _SO_LONG_OFF.fullmatch(pair[1].text):
                slots["duration_s"] = pair[1].slots["duration_s"]
                found = [each for each in found if each is not pair]
                break
    joined = first.model_copy(update={"slots": slots, "text": ", ".join(each.text for _, each in off)})
    return [(place, joined) if pair[1] is first else pair for pair in found if pair[1].name != "done.off_boil" or pair[1] is first]


def says_only_on(piece: str) -> bool:
    """Whether a piece that was left unread says no more than that it goes on again."""
    return _ON_AGAIN.search(piece) is not None and len(piece.split()) <= 4
