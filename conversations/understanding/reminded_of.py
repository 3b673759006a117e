"""What a reminder is about, without why and without what is asked in the same breath."""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Intent

Reader = Callable[[str], tuple[Intent, ...]]
_OR_ELSE = re.compile(
    r"(?<![\s,;])[\s,;]++(?:or|or else|otherwise)\s+(?:i|i'll|ill|we|we'll|he|he'll|she|she'll|they|they'll|it|it'll|you|mum|dad|the \w+|my \w+)\s+(?:will |am going to |is going to |are going to |gonna |would |might )?"
    r"(?:forget|miss|moan|moans|kill|kills|shout|shouts|complain|complains|be|get|gets|go|goes|burn|burns|boil|boils|fall|falls|lose|never|spoil|spoils|overflow|overflows|die|dies|starve|starves)\b.*$",
    re.IGNORECASE,
)
"""What happens if nothing reminds: "or we will forget". "Buy cider or wine" is what is to be done."""
_JOINT = re.compile(r"(?<![\s,;])[\s,;]++(?:and|then)$", re.IGNORECASE)
_ANSWERED = ("reminder.list", "timer.status", "ask.next")


def reminded_of(intents: tuple[Intent, ...], read: Reader) -> tuple[Intent, ...]:
    """Each reminder with what it is about alone, and what is asked behind it as a question of its own."""
    told: list[Intent] = []
    for intent in intents:
        what = str(intent.slots.get("what", ""))
        if intent.name != "reminder.set" or not what:
            told.append(intent)
            continue
        kept = _JOINT.sub("", _OR_ELSE.sub("", what))
        first, link, second = kept.rpartition(" and ")
        asked = read(second) if link and second else ()
        if len(asked) == 1 and asked[0].name in _ANSWERED:
            own = intent.text.removesuffix(second)
            told += [intent.model_copy(update={"slots": {**intent.slots, "what": first}, "text": _JOINT.sub("", own.rstrip())}), *asked]
        else:
            told.append(intent if kept == what else intent.model_copy(update={"slots": {**intent.slots, "what": kept}}))
    return tuple(told)
