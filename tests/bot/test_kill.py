"""The real program, killed at a hundred random points of a stream of messages: nothing lost, nothing twice."""

from __future__ import annotations

import json
import os
import random
import select
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

KILLS = 100
ROOT = Path(__file__).parents[2]
SEED = 20260314


class Program:
    """`potside` over a pipe, with the tokens it has confirmed."""

    def __init__(self, data: Path) -> None:
        self._chat = subprocess.Popen(
            [sys.executable, "-m", "bot.main", "--source-ids", "--data", str(data)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=ROOT,
        )
        self._rest = b""

    def send(self, lines: dict[str, str]) -> None:
        assert self._chat.stdin is not None
        for token, line in lines.items():
            self._chat.stdin.write(f"id:{token} {line}\n".encode())
        self._chat.stdin.flush()

    def read(self, wait_s: float) -> list[str]:
        """Tokens confirmed within the wait; returns as soon as there is one. Raises where the program ended."""
        assert self._chat.stdout is not None
        descriptor = self._chat.stdout.fileno()
        if not select.select([descriptor], [], [], wait_s)[0]:
            return []
        got = os.read(descriptor, 65536)
        if not got:
            raise EOFError
        *lines, self._rest = (self._rest + got).split(b"\n")
        return [line[3:].decode() for line in lines if line.startswith(b"ok ")]

    def kill(self) -> list[str]:
        """SIGKILL, at once; returns what it had confirmed and was not read yet."""
        self._chat.send_signal(signal.SIGKILL)
        confirmed = []
        try:
            while True:
                confirmed += self.read(30.0)
        except EOFError:
            pass
        assert self._chat.wait(30) == -signal.SIGKILL
        self._close()
        return confirmed

    def end(self) -> list[str]:
        """Close its input and let it finish."""
        assert self._chat.stdin is not None
        self._chat.stdin.close()
        confirmed = []
        try:
            while True:
                confirmed += self.read(60.0)
        except EOFError:
            pass
        assert self._chat.wait(60) == 0
        self._close()
        return confirmed

    def _close(self) -> None:
        for stream in (self._chat.stdin, self._chat.stdout, self._chat.stderr):
            if stream is not None and not stream.closed:
                try:
                    stream.close()
                except BrokenPipeError:
                    continue


def the_messages(count: int) -> dict[str, str]:
    """Readings, notes, reminders for later and reminders that fall due while the killing goes on."""
    kinds = ("gravity {g:.3f}", "note: n{n}", "remind me in 3 hours to look at x{n}", "remind me in 2 seconds to y{n}")
    lines = {"t0": "brew 5 litres of pale ale"}
    for n in range(1, count):
        lines[f"t{n}"] = kinds[n % 4].format(n=n, g=1.040 + (n % 11) / 1000)
    return lines


@pytest.mark.slow
def test_hundred_kills_lose_and_double_nothing(tmp_path: Path) -> None:
    chance = random.Random(SEED)
    data = tmp_path / "diary.db"
    lines = the_messages(4 * KILLS + 10)
    left = dict(lines)
    killed_in_the_middle = 0
    for _ in range(KILLS):  # four lines at most each, so that they do not run out
        program = Program(data)
        batch = dict(list(left.items())[:4])
        program.send(batch)
        # The first moment lies in starting or in the first message, later ones within or between messages.
        wanted, confirmed = chance.randrange(4), []
        waits_until = time.monotonic() + (60.0 if wanted else chance.uniform(0.0, 1.5))
        while len(confirmed) < wanted and time.monotonic() < waits_until:
            confirmed += program.read(0.5)
        time.sleep(chance.expovariate(1 / 0.006) if wanted else max(0.0, waits_until - time.monotonic()))
        confirmed += program.kill()
        killed_in_the_middle += 0 < len(confirmed) < len(batch)
        for token in confirmed:
            del left[token]
    # Otherwise the kills all fell where nothing happens, and the test would prove little.
    assert killed_in_the_middle > KILLS // 4

    program = Program(data)
    program.send(left)
    assert set(program.end()) == set(left)
    time.sleep(2.1)
    Program(data).end()

    diary = sqlite3.connect(data)
    assert diary.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert diary.execute("SELECT COUNT(*) FROM inbox WHERE done = 0 OR fault <> ''").fetchone()[0] == 0
    assert diary.execute("SELECT COUNT(*) FROM outbox WHERE sent = 0").fetchone()[0] == 0
    found = [
        (source.removeprefix("line:"), kind, json.loads(event))
        for source, kind, event in diary.execute(
            "SELECT inbox.source_id, events.kind, events.data FROM events"
            " JOIN inbox ON inbox.id = events.message ORDER BY events.id"
        )
    ]
    # No lost and no doubled message: each was heard once, in the order in which it was sent.
    assert [token for token, kind, _ in found if kind == "heard"] == list(lines)

    readings = Counter((t, round(d["reading"]["value"]["value"], 3)) for t, kind, d in found if kind == "reading")
    assert readings == {(t, float(line.split()[1])): 1 for t, line in lines.items() if line.startswith("gravity")}

    notes = Counter((t, d["text"]) for t, kind, d in found if kind == "note")
    assert notes == {(t, line.removeprefix("note: ")): 1 for t, line in lines.items() if line.startswith("note")}

    # No lost reminder: the near ones were said once each, the far ones are all still waiting, once each.
    told = Counter(
        word
        for (reply,) in diary.execute("SELECT reply FROM outbox")
        for word in json.loads(reply)["text"].replace(".", " ").replace('"', " ").split()
    )
    near = [t for t, line in lines.items() if "2 seconds" in line]
    far = [t for t, line in lines.items() if "3 hours" in line]
    assert Counter(d["key"] for _, kind, d in found if kind == "fired").most_common(1)[0][1] == 1
    assert len([1 for _, kind, _ in found if kind == "fired"]) == len(near)
    assert all(told[f"y{t[1:]}"] >= 1 for t in near)
    waiting = [json.loads(row[0])["text"] for row in diary.execute("SELECT data FROM reminders")]
    assert Counter(f"t{text.rstrip('.').rpartition('x')[2]}" for text in waiting if " x" in text) == dict.fromkeys(
        far, 1
    )
    diary.close()
