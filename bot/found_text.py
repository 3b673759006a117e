"""Lines of the diary that hold what was looked for, with their dates."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo

from bot.attachments import Diary
from conversations.session.events import Attachment

_SHOWN = 8
_ASKS = re.compile(r"\s*(find|search|look)\b", re.IGNORECASE)
_LONGEST = 120


def found_lines(diary: Diary, attachment: Attachment) -> str:
    """Maker of ``diary_search``: what was said with the words of the option ``query``, newest first."""
    query = str(attachment.options.get("query", "")).strip()
    found = diary.search(query, 4 * _SHOWN)
    # This question and earlier ones were said too. One more than is shown tells whether there is more.
    found = [each for each in found if each.at != diary.state.clock and not _ASKS.match(each.text)][: _SHOWN + 1]
    if not found:
        return f'Nothing in the diary holds "{query}".' if query else "Say which word to look for."
    zone = ZoneInfo(diary.state.zone)
    names = {batch.id: batch.name for batch in diary.state.batches}
    lines = []
    for each in found[:_SHOWN]:
        at = each.at.astimezone(zone)
        text = " ".join(each.text.split())
        text = text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
        named = f", {names[each.batch]}" if each.batch in names else ""
        lines.append(f"{at.day} {at:%B %Y} {at:%H:%M}{named}: {text}")
    if len(found) > _SHOWN:
        lines.append("There is more: add a word to narrow it down.")
    return "\n".join(lines)
