"""Full text search: what was said is found, whatever letters are asked with; what is erased is gone."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.attachments import make
from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.store import Incoming, Store
from bot.store_search import forget_deleted
from conversations.session.events import Attachment, Heard

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def told(store: Store, *texts: str, chat: str = "here") -> Store:
    clock = SimulatedClock(NOW)
    engine = Engine(store, clock, lambda *_: None)
    for number, text in enumerate(texts):
        engine.handle(Incoming(f"{chat}{number}{text}", chat, Heard(text=text), clock.now()))
        clock.move_to(clock.now() + timedelta(minutes=1))
    return store


def found(store: Store, query: str, chat: str = "here") -> list[str]:
    return [each.text for each in store.search(chat, query)]


def test_words_are_found_in_any_order_case_and_form() -> None:
    store = told(Store.in_memory(), "note: Smells of burnt toast", "note: the bag tore", "note: toasted malt, café")
    assert found(store, "TOAST burnt") == ["Smells of burnt toast"]
    assert found(store, "toast") == ["toasted malt, café", "Smells of burnt toast"]
    assert found(store, "cafe") == ["toasted malt, café"]
    assert found(store, "bags") == ["the bag tore"]


def test_any_word_is_enough_where_none_holds_all() -> None:
    store = told(Store.in_memory(), "note: burnt toast", "note: the bag tore")
    assert found(store, "toast bag") == ["the bag tore", "burnt toast"]


def test_what_was_not_understood_is_found_too() -> None:
    store = told(Store.in_memory(), "the neighbour's cat sat on the lid")
    assert found(store, "cat") == ["the neighbour's cat sat on the lid"]


def test_chats_do_not_see_each_other() -> None:
    store = told(told(Store.in_memory(), "note: toast", chat="one"), "note: malt", chat="two")
    assert found(store, "toast", "two") == []


@pytest.mark.slow
@given(st.text(max_size=60))
def test_no_query_has_a_meaning_of_its_own(query: str) -> None:
    store = told(Store.in_memory(), "note: toast")
    for each in found(store, query):
        assert each in ("toast", "note: toast")
    assert found(store, f'toast {query} "') in (["toast"], ["note: toast"])


def test_operators_are_words() -> None:
    store = told(Store.in_memory(), "note: toast", "note: not near the toast")
    assert found(store, "toast NOT near") == ["not near the toast"]
    assert found(store, "text:toast*") != []


def test_erasing_an_event_erases_it_here(tmp_path: Path) -> None:
    store = told(Store.open(tmp_path / "d.db"), "note: secretword", "note: other")
    connection = store._connection
    store.ready_for_search()
    connection.execute("PRAGMA secure_delete = ON")
    connection.execute("DELETE FROM events WHERE data LIKE '%secretword%'")
    assert found(store, "secretword") == []
    forget_deleted(connection)
    held = connection.execute("SELECT group_concat(hex(block), '') FROM said_text_data").fetchone()[0]
    assert b"secretword".hex().upper() not in held
    # "other" shows that words are to be seen there at all.
    assert b"other".hex().upper() in held


def test_a_changed_event_is_found_by_its_new_words() -> None:
    store = told(Store.in_memory(), "note: toast")
    store._connection.execute("UPDATE events SET data = json_object('text', 'redacted') WHERE kind IN ('note', 'heard')")
    assert found(store, "toast") == []
    assert found(store, "redacted") == ["redacted"]


def test_what_was_said_since_the_last_search_is_found_and_what_went_is_not() -> None:
    store = told(Store.in_memory(), "note: toast")
    assert found(store, "toast") == ["toast"]
    told(store, "note: more toast", "note: gone toast")
    store._connection.execute("DELETE FROM events WHERE data LIKE '%gone%'")
    assert found(store, "toast") == ["more toast", "toast"]
    store._connection.execute("UPDATE events SET data = json_object('text', 'malt') WHERE data LIKE '%more%'")
    assert found(store, "toast") == ["toast"]
    assert found(store, "malt") == ["malt"]


def test_no_message_writes_the_search_table() -> None:
    store = told(Store.in_memory(), "note: toast")
    found(store, "toast")
    before = store.rows("SELECT count(*) FROM said_text_data")
    told(store, "note: malt", "note: hops")
    assert store.rows("SELECT count(*) FROM said_text_data") == before
    assert found(store, "malt") == ["malt"]


def test_a_file_from_before_is_filled(tmp_path: Path) -> None:
    path = tmp_path / "d.db"
    store = told(Store.open(path), "note: toast")
    connection = store._connection
    for name in ("erased", "changed"):
        connection.execute(f"DROP TRIGGER said_text_{name}")
    connection.execute("DROP TABLE said_text")
    connection.execute("DROP TABLE said_upto")
    connection.execute("DELETE FROM _sqlite_migrations WHERE name IN ('search_table', 'search_when_asked')")
    connection.commit()
    store.close()
    again = Store.open(path)
    assert found(again, "toast") == ["toast"]
    assert found(told(again, "note: malt", chat="x"), "malt", "x") == ["malt"]


def test_read_only_file_is_searched(tmp_path: Path) -> None:
    told(Store.open(tmp_path / "d.db"), "note: toast").close()
    assert found(Store.open(tmp_path / "d.db", read_only=True), "toast") == ["toast"]


def test_found_lines_have_dates_and_batches() -> None:
    store = told(Store.in_memory(), "brew 5 litres of Mill Lane stout", "note: burnt toast", "find toast", "search for toast")
    lines = make(store.diary("here"), Attachment(kind="diary_search", alt="", options={"query": "toast"}))
    assert lines == "14 March 2026 09:31, Mill Lane stout: burnt toast"


def test_nothing_found_is_said() -> None:
    diary = Store.in_memory().diary("here")
    assert make(diary, Attachment(kind="diary_search", alt="", options={"query": "oats"})) == (
        'Nothing in the diary holds "oats".'
    )


def test_sqlite_has_full_text_search() -> None:
    # Python's own builds carry FTS5; one without it would fail at the first start, so it is said here.
    sqlite3.connect(":memory:").execute("CREATE VIRTUAL TABLE t USING fts5(x)")
