"""Signs of life for a supervisor: systemd's notifications, and a small file that `potside status` reads."""

from __future__ import annotations

import json
import os
import socket
import sys
from datetime import datetime
from pathlib import Path
from typing import Any


def file_of(data: Path) -> Path:
    """The health file of a data file."""
    return data.with_name(data.name + ".health")


def resident_mb() -> float:
    """Memory of this program that is in use now, in MB."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6
    except (OSError, ValueError, IndexError):
        import resource

        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        return most / 1e6 if sys.platform == "darwin" else most / 1e3


def notify(*lines: str) -> bool:
    """Tell systemd, where it started us; the protocol is that of sd_notify(3)."""
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):
        return False
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as out:
            out.sendto("\n".join(lines).encode(), "\0" + address[1:] if address.startswith("@") else address)
    except OSError:
        return False
    return True


def write(data: Path, now: datetime, fields: dict[str, Any]) -> None:
    """Write the health file; on a full disk there is simply no sign of life."""
    path = file_of(data)
    new = path.with_name(path.name + ".new")
    line = {"at": now.isoformat(timespec="seconds"), "pid": os.getpid(), "resident_mb": round(resident_mb(), 1)}
    try:
        with open(os.open(new, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "w", encoding="utf-8") as out:
            out.write(json.dumps({**line, **fields}) + "\n")
        new.replace(path)
    except OSError:
        return


def read(data: Path) -> dict[str, Any] | None:
    """What the health file says; None without one."""
    try:
        found = json.loads(file_of(data).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None
