"""Quick replies in a chat of lines: shown with numbers, picked by number."""

from __future__ import annotations

from conversations.session.events import Choice, Reply


class Choices:
    """The choices of the latest reply that offered any."""

    def __init__(self) -> None:
        self._offered: tuple[Choice, ...] = ()

    def shown(self, reply: Reply) -> str:
        """The reply as text, its choices numbered in a last line; they can be picked from now on."""
        if not reply.choices:
            return reply.text
        self._offered = reply.choices
        return reply.text + "\n" + "  ".join(f"{n}) {c.label}" for n, c in enumerate(reply.choices, start=1))

    def said(self, line: str, expects: str | None) -> str:
        """The message that a line stands for: a bare number picks, unless a reading is being waited for."""
        number = line.strip()
        if expects is not None and expects.startswith(("reading", "kit.", "tasting.score")):
            return line
        says = {str(place): choice.says for place, choice in enumerate(self._offered, start=1)}
        return says.get(number, line)

    def forget(self) -> None:
        """Nothing can be picked any more: the person went on."""
        self._offered = ()
