"""The commands as somebody types them, each in its own process."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def potside(*words: str | Path, said: str | bytes = "", **env: str) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        [sys.executable, "-m", "bot.main", *map(str, words)],
        input=said if isinstance(said, bytes) else said.encode(),
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, "TZ": "Europe/Lisbon", **env},
        timeout=120,
    )
    out, err = done.stdout.decode(), done.stderr.decode()
    assert "Traceback" not in out + err
    return subprocess.CompletedProcess(done.args, done.returncode, out, err)


def test_help_needs_nothing_heavy() -> None:
    code = "import sys; from bot.main import main\ntry: main(['--help'])\nexcept SystemExit: pass\n"
    code += "print(sorted(m for m in ('pint', 'scipy', 'pydantic', 'dateparser') if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_chat_over_a_pipe_answers_and_remembers(tmp_path: Path) -> None:
    data = tmp_path / "diary.db"
    first = potside("--data", data, said="note: smells of toast\nremind me in 3 hours to look\n")
    assert first.returncode == 0, first.stderr
    assert len(first.stdout.splitlines()) >= 2
    again = potside("--data", data, said="")
    assert (again.returncode, again.stdout, again.stderr) == (0, "", "")


def test_default_data_folder(tmp_path: Path) -> None:
    done = potside(said="note: smells of toast\n", HOME=str(tmp_path), XDG_DATA_HOME=str(tmp_path / "data"))
    assert done.returncode == 0, done.stderr
    assert [path.name for path in tmp_path.rglob("*.db")] == ["diary.db"]


def test_same_token_is_handled_once_and_confirmed_twice(tmp_path: Path) -> None:
    line = "id:t1 note: smells of toast\n"
    done = potside("--source-ids", "--data", tmp_path / "d.db", said=line + line)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-2:] == ["ok t1", "ok t1"]
    assert done.stdout.count("ok t1") == 2
    with sqlite3.connect(tmp_path / "d.db") as diary:
        assert diary.execute("SELECT COUNT(*) FROM events WHERE kind = 'note'").fetchone()[0] == 1


def test_ask_json_has_the_agreed_keys() -> None:
    done = potside("ask", "--json", "--at", "2026-03-14T09:30+00:00", "gravity 1.050 at 25 C")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert list(found) == ["text", "quantities", "understood", "reply", "spoken"]
    assert found["text"] == "gravity 1.050 at 25 C"
    assert {"text": "25 C", "value": 25.0, "unit": "degC"} in found["quantities"]
    assert [one["intent"] for one in found["understood"]] == ["reading.gravity"]
    assert set(found["understood"][0]) == {"intent", "slots"}


@pytest.mark.slow
def test_ask_many_lines_answers_each() -> None:
    done = potside("ask", "--json", "-", said="1050 @ 25\n\n5,2 l\n" + "x" * 100_000 + "\n\u202eשלום\x07\n")
    assert done.returncode == 0, done.stderr
    found = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["text"][:9] for one in found] == ["1050 @ 25", "", "5,2 l", "x" * 9, "\u202eשלום\x07"]
    assert all(one["reply"] for one in found)


@pytest.mark.slow
def test_ask_from_a_diary_records_nothing(tmp_path: Path) -> None:
    data = tmp_path / "d.db"
    potside("--data", data, said="note: smells of toast\n")
    before = data.read_bytes()
    assert potside("ask", "--data", data, "gravity 1.050").returncode == 0
    assert data.read_bytes() == before
    assert potside("--data", data, said="").stdout == ""


def test_list_intents() -> None:
    done = potside("ask", "--list-intents")
    assert done.returncode == 0, done.stderr
    names = {line.split()[0] for line in done.stdout.splitlines()}
    assert {"timer.start", "timer.cancel_all", "reminder.set", "reading.gravity", "reading.depth"} <= names
    assert all(len(line.split()) > 1 for line in done.stdout.splitlines())


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (["ask"], 2, "Nothing was asked"),
        (["ask", "--at", "teatime", "hello"], 2, "'teatime' is not a time"),
        (["ask", "--data", "/nonexistent/none.db", "hello"], 1, "There is no data file /nonexistent/none.db"),
        (["rehearse", "/nonexistent/script"], 2, "cannot be read"),
        (["--data", "/dev/null/x.db"], 1, "/dev/null/x.db cannot be opened"),
        (["--data", "/"], 1, "is a folder"),
    ],
)
def test_mistakes_are_sentences(words: list[str], code: int, says: str) -> None:
    done = potside(*words)
    assert done.returncode == code
    assert says in done.stderr
    assert done.stdout == ""


def test_damaged_file_is_a_sentence(tmp_path: Path) -> None:
    data = tmp_path / "d.db"
    data.write_bytes(b"no database" * 1000)
    done = potside("--data", data, said="note: smells of toast\n")
    assert done.returncode == 1
    assert f"{data} is damaged" in done.stderr
    assert data.read_bytes() == b"no database" * 1000


def test_bad_script_line(tmp_path: Path) -> None:
    script = tmp_path / "day.txt"
    script.write_text("hello\n+20 weeks\n")
    done = potside("rehearse", script)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Line 2" in done.stderr


@pytest.mark.slow
def test_rehearsal_prints_the_same_bytes_under_any_hash_seed_and_zone(tmp_path: Path) -> None:
    script = tmp_path / "day.txt"
    script.write_text(
        "@ 2026-03-14 09:30 Europe/Lisbon\nnote: smells of toast\nremind me in 10 minutes to look\n+1h\nundo\n"
    )
    runs = {
        potside("rehearse", script, PYTHONHASHSEED=seed, TZ=zone).stdout
        for seed, zone in (("1", "UTC"), ("7", "Asia/Tokyo"))
    }
    assert len(runs) == 1
    assert "[09:40] " in runs.pop()


@pytest.mark.slow
def test_bytes_that_are_no_text_and_long_lines_do_not_end_the_chat(tmp_path: Path) -> None:
    said = b"\xff\xfe\x00 gravity\n" + b"9" * 100_000 + b"\n\n\x1b[2J\nnote: still here\n"
    done = potside("--data", tmp_path / "d.db", said=said)
    assert done.returncode == 0, done.stderr
    assert potside("ask", "--data", tmp_path / "d.db", "hello").returncode == 0


@pytest.mark.slow
def test_a_reader_who_leaves_is_no_fault(tmp_path: Path) -> None:
    chat = subprocess.Popen(
        [sys.executable, "-m", "bot.main", "--data", str(tmp_path / "d.db")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    )
    assert chat.stdin is not None
    assert chat.stdout is not None
    assert chat.stderr is not None
    chat.stdout.close()
    chat.stdin.write(b"note: smells of toast\n")
    chat.stdin.flush()
    time.sleep(0.1)
    chat.stdin.close()
    assert chat.wait(60) == 1
    assert b"Traceback" not in chat.stderr.read()
    # What was not read by anybody is shown next time.
    assert potside("--data", tmp_path / "d.db").stdout != ""
    chat.stderr.close()
