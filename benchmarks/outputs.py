"""Rows of ``all.py`` for what goes in and out besides text: understanding, pictures, pages, sound, due times."""

from __future__ import annotations

import io
import statistics
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from benchmarks.rows import Row, median_s

START = datetime(2026, 3, 1, 15, 0, tzinfo=UTC)
SPOKEN = "gravity one point oh five two at twenty five degrees"


def understanding() -> list[Row]:
    """Every message of the development corpus, beside two libraries that do a part of it."""
    from benchmarks.understanding_speed import dateparser_reader, hassil_reader, times_ms
    from conversations.understanding.beyond_sentences import read as understand
    from tests.conversations.corpus import PARTS, messages

    texts = [(one.text, one.context) for part in PARTS for one in messages(part)][::4]
    ours = statistics.median(times_ms(understand, texts))
    rows = []
    for name, reader in (("dateparser, which finds dates only", dateparser_reader()), ("hassil with a dozen sentences", hassil_reader())):
        bare = statistics.median(times_ms(reader, texts))
        rows.append(Row(f"understanding, median of {len(texts)} messages", f"{ours:.2f} ms", f"{bare:.2f} ms, {name}", ours / bare))
    return rows


def _weeks() -> tuple[object, int]:
    """A batch of six weeks, as a diary, and its number."""
    from bot.rehearse import CHAT, Rehearsal
    from bot.script import read_script

    script = Path(__file__).resolve().parent.parent / "fixtures" / "days" / "weeks_normal.txt"
    start, steps = read_script(script.read_text(encoding="utf-8").splitlines())
    play = Rehearsal(start, io.StringIO())
    play.play(start, steps)
    diary = play.store.diary(CHAT)
    return diary, diary.state.batches[0].id


def pictures() -> list[Row]:
    """The gravity chart beside a bare one of matplotlib with the same size and points; the whole page beside it."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    from bot.attachments import make
    from conversations.session.events import Attachment

    diary, batch = _weeks()

    def bare() -> None:
        figure = Figure(figsize=(5.4, 7.0), dpi=200)
        FigureCanvasAgg(figure)
        upper, lower = figure.subplots(2, 1)
        upper.plot(range(9), [1.05 - 0.004 * n for n in range(9)], marker="o")
        lower.plot(range(4), [20.0, 21.0, 20.5, 20.0], marker="s")
        for axes in (upper, lower):
            axes.set_xlabel("Date")
            axes.set_ylabel("Value")
        figure.savefig(io.BytesIO(), format="png")

    def ours(kind: str) -> None:
        make(diary, Attachment(kind=kind, alt="", batch=batch))  # type: ignore[arg-type]

    bare()
    ours("gravity_chart")
    base = median_s(bare, 5)
    rows = []
    for kind, what in (("gravity_chart", "gravity chart"), ("batch_card", "batch card"), ("batch_html", "page of a batch, 4 pictures")):
        ours(kind)
        cost = median_s(lambda kind=kind: ours(kind), 3)
        rows.append(Row(what, f"{1e3 * cost:.0f} ms", f"{1e3 * base:.0f} ms, a bare chart of that size", cost / base))
    return rows


def sound() -> list[Row]:
    """A spoken note heard, and a sentence spoken, beside how long they last."""
    import av

    from bot.speech import speak
    from bot.speech.hear import chosen_ear, hear_voice
    from conversations.session.fold import EMPTY

    note = speak.voice_note(SPOKEN)
    with av.open(io.BytesIO(note)) as container:
        lasts = sum(frame.samples / frame.sample_rate for frame in container.decode(audio=0))
    ear, _ = chosen_ear("pocketsphinx")
    hear_voice(note, EMPTY, START, ear)
    heard = median_s(lambda: hear_voice(note, EMPTY, START, ear), 5)
    begun = time.process_time()
    speak._note(SPOKEN + " and that is all")
    spoken = time.process_time() - begun
    return [
        Row("a spoken note heard by the embedded ear", f"{heard:.2f} s", f"{lasts:.2f} s, its length", heard / lasts, 0.25),
        Row("a sentence of that length spoken", f"{spoken:.2f} s", f"{lasts:.2f} s, its length", spoken / lasts),
    ]


def due_times(folder: Path) -> list[Row]:
    """Looking for what is due, five of 100,000, beside five of 100: what the schedule does each second."""
    from bot.store import Store

    costs = []
    for count in (100, 100_000):
        store = Store.open(folder / f"due{count}.db")
        with store.transaction() as connection:
            connection.executemany(
                "INSERT INTO reminders (chat, key, due_utc, data) VALUES (?, ?, ?, ?)",
                (
                    (f"chat:{n % 1000}", f"r{n}", (START + timedelta(seconds=n - 4)).isoformat(timespec="microseconds"), "{}")
                    for n in range(count)
                ),
            )  # fmt: skip
        found = []
        for _ in range(200):
            begun = time.perf_counter()
            assert len(store.due(START, 100)) == 5
            found.append(time.perf_counter() - begun)
        costs.append(statistics.median(found))
        store.close()
    return [Row("what is due of 100,000 times", f"{1e3 * costs[1]:.3f} ms", f"{1e3 * costs[0]:.3f} ms, of 100 times", costs[1] / costs[0], 2.0)]
