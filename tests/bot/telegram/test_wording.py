"""Escaping and splitting, whatever a message holds."""

from __future__ import annotations

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from bot.telegram import wording


class Text(HTMLParser):
    """What a reader sees of an HTML message, and which tags there are."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.seen, self.tags = "", set()

    def handle_data(self, data: str) -> None:
        self.seen += data

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)


# Text as people send it; control characters never reach a reply.
words = st.text(st.characters(exclude_categories=("Cc", "Cs")) | st.sampled_from("<>&\"'\n/b"), max_size=300)


@given(words)
def test_what_was_written_is_what_is_read(text: str) -> None:
    """Source: the HTML parser of Python's standard library reads it back."""
    parser = Text()
    parser.feed(wording.as_html(text))
    parser.close()
    assert parser.seen == text
    assert parser.tags <= {"b"}


@given(st.text(st.sampled_from("ab \n.😀é"), max_size=3000), st.integers(20, 200))
def test_pieces_fit_and_lose_nothing_but_space(text: str, longest: int) -> None:
    parts = wording.pieces(text, longest)
    assert all(part and wording.length(part) <= longest for part in parts)
    assert "".join("".join(parts).split()) == "".join(text.split())


def test_paragraphs_are_kept_together() -> None:
    text = "\n\n".join(f"Paragraph {n}. " + "word " * 100 for n in range(30))
    parts = wording.pieces(text)
    assert len(parts) > 1
    assert all(part.startswith("Paragraph") for part in parts)


def test_length_is_counted_as_the_service_counts() -> None:
    """Source: Telegram Bot API, "Formatting options": lengths are in UTF-16 code units."""
    assert wording.length("a😀") == 3
    assert len(wording.pieces("😀" * 2500)) == 2


def test_long_labels_stand_alone() -> None:
    assert wording.rows(["yes, keep it", "no"]) == [[0, 1]]
    assert wording.rows(["yes, erase everything", "keep it"]) == [[0], [1]]
