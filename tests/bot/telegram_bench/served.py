"""`potside serve` as a process of its own, on the bench."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from pathlib import Path

from tests.bot.telegram_bench.bench import ADA, TOKEN, Bench, Person

ROOT = Path(__file__).parents[3]


class Served:
    """A running server; what it prints is kept in ``said``."""

    def __init__(
        self, bench: Bench, data: Path, wait: bool = True, program: Sequence[str] = (), **settings: str
    ) -> None:
        """``settings`` are environment variables without their ``POTSIDE_``; flood limits are off unless given.

        ``program`` are other arguments of Python than those of ``potside serve``.
        """
        self.said: list[str] = []
        self._before = len(bench.proxy.calls)
        environment = {
            name: value for name, value in os.environ.items() if not name.startswith("POTSIDE_")
        } | {
            "PYTHONPATH": str(ROOT),
            "TZ": "Europe/Lisbon",
            "POTSIDE_TELEGRAM_TOKEN": TOKEN,
            "POTSIDE_TELEGRAM_BASE_URL": bench.url,
            "POTSIDE_TELEGRAM_RATE": "0",
            "POTSIDE_TELEGRAM_CHAT_RATE": "0",
            "POTSIDE_TELEGRAM_GROUP_RATE": "0",
            "POTSIDE_BACKUPS": "0",
            **{f"POTSIDE_{name.upper()}": value for name, value in settings.items()},
        }  # fmt: skip
        self.process = subprocess.Popen(
            [sys.executable, *(program or ("-m", "bot.main", "--data", str(data), "serve"))],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace", env=environment, cwd=data.parent,
        )  # fmt: skip
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        self._bench = bench
        if wait:
            self.wait_until_polling()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line.rstrip("\n"))

    def wait_until_polling(self, timeout_s: float = 60.0) -> None:
        """Wait until it fetches; raises where it ended instead."""
        until = time.monotonic() + timeout_s
        while not self._bench.proxy.wait(
            lambda calls: any(call.method == "getUpdates" for call in calls[self._before :]), 0.5
        ):
            if self.process.poll() is not None or time.monotonic() > until:
                raise AssertionError("it does not serve:\n" + "\n".join(self.said))

    def code(self) -> str:
        """The pairing code that it printed."""
        until = time.monotonic() + 30
        while time.monotonic() < until:
            for line in self.said:
                if found := re.search(r"Pairing code: (\S+)", line):
                    return found[1]
            time.sleep(0.02)
        raise AssertionError("no pairing code was printed:\n" + "\n".join(self.said))

    def pair(self, who: Person = ADA) -> None:
        """Make somebody the owner."""
        self._bench.say(who, self.code())
        self._bench.hears(who.id, "owner")

    def kill(self) -> None:
        """SIGKILL, at once."""
        self.process.send_signal(signal.SIGKILL)
        assert self.process.wait(30) == -signal.SIGKILL
        self._finish()

    def stop(self) -> int:
        """SIGTERM, and wait; returns the exit code."""
        if self.process.poll() is None:
            self.process.terminate()
        code = self.process.wait(30)
        self._finish()
        return code

    def _finish(self) -> None:
        self._reader.join(5)
        if self.process.stdout is not None:
            self.process.stdout.close()

    def resident_mb(self) -> float:
        """Memory in use, in MB."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        found = re.search(r"VmRSS:\s+(\d+)", status)
        assert found is not None
        return int(found[1]) / 1024

    def cpu_s(self) -> float:
        """Processor time used so far, in seconds."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
