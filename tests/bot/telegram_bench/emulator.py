"""The Bot API server: PyPI lo-bot-api-emulator, which the project did not write, as a process on loopback."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request


def free_port() -> int:
    """A port of the loopback interface that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Emulator:
    """A running emulator; ``url`` is where it answers."""

    def __init__(self) -> None:
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._process = subprocess.Popen(
            [
                sys.executable, "-c", "from lo_bot_api_emulator import main; main()", "--port", str(self.port),
                "--enable-control", "--allow-insecure-loopback-webhooks",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )  # fmt: skip
        self._wait()

    def _wait(self) -> None:
        until = time.monotonic() + 30
        while time.monotonic() < until:
            if self._process.poll() is not None:
                assert self._process.stderr is not None
                raise RuntimeError(self._process.stderr.read().decode())
            try:
                urllib.request.urlopen(f"{self.url}/bot1:x/getMe", data=b"", timeout=5)
                return
            except urllib.error.HTTPError:
                return
            except OSError:
                time.sleep(0.05)
        raise TimeoutError("the emulator did not start")

    def close(self) -> None:
        """End the process."""
        self._process.kill()
        self._process.wait()
        if self._process.stderr is not None:
            self._process.stderr.close()
