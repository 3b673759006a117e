"""Made-up files: diaries and sounds that were good once, and were then changed by somebody who means ill."""

from __future__ import annotations

import copy
import io
import json
from functools import cache
from random import Random
from typing import Any

import numpy as np

from tests.fuzz.messages import message

_ODD: tuple[Any, ...] = (
    None, True, 0, -1, 1, 2**31, 2**63, 10**15, 1e300, -0.0, 1e-300, "", "x", "x" * 5000, "\x1b[2J", "\u202e", "../../etc/passwd",
    "2026-03-14T09:30:00+00:00", "0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59", "2026-03-14", "degC", "furlong",
    "gram**999999", "Europe/Lisbon", "reading", "undone", "opened", [], {}, [[]], {"value": 1.0, "unit": "gram"},
    {"value": -1e14, "unit": "degC"}, {"value": 1.05, "unit": "dimensionless"},
)  # fmt: skip
_TURNED = (
    b"", b"\0", b"[", b"]", b"{", b"}", b'"', b",", b":", b"\\", b"\\u0000", b"\\ud800", b"NaN", b"-Infinity", b"1e999", b"9" * 400,
    b"\xff", b"\xef\xbb\xbf", b"[" * 3000, b'{"a":' * 500, b"1" * 5000,
)  # fmt: skip


@cache
def diaries() -> tuple[tuple[bytes, Any], ...]:
    """Small diaries as bytes and as what they hold."""
    from bot.export.diary_file import as_json
    from tests.bot.played_days import fermenting, played

    start = "@ 2026-03-14 09:30 Europe/Lisbon"
    made = (
        played([start, "gravity 1.050 at 25 C", "note: cold kitchen", "timer 5 minutes tea", "undo"]),
        played([start, "brew 5 litres of ale", "1.2 kg pale malt", "10 g Fuggle 5% at 60", "next", "66 degrees", "no, 67"]),
        played([start, "my pot holds 12 litres", "bought 500 g Fuggle for 5 euros", "remind me every day at 8 to look"]),
        fermenting("+3d", "gravity 1.020", "+2d", "gravity 1.012", "+1d", "gravity 1.012"),
    )
    found = [as_json(diary) for diary in made]
    return tuple((data, json.loads(data)) for data in found)


def _places(value: Any, found: list[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    """Every place inside: the container and its key."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in inside:
        found.append((value, key))
        _places(inner, found)
    return found


def _change(holder: Any, key: Any, places: list[tuple[Any, Any]], random: Random) -> None:
    change = random.randrange(7)
    if change == 0:
        del holder[key]
    elif change == 1:
        holder[key] = message(random, 200)
    elif change == 2 and isinstance(holder[key], int | float):
        holder[key] = random.choice((-holder[key], holder[key] * 10 ** random.randrange(12), random.uniform(-1e4, 1e4), random.randrange(20)))
    elif change == 3:
        other, at = random.choice(places)
        if at in other if isinstance(other, dict) else at < len(other):
            holder[key] = copy.deepcopy(other[at])
    elif change == 4 and isinstance(holder, list):
        holder[key:key] = copy.deepcopy(holder[: random.randrange(1, 4)])
    elif change == 5 and isinstance(holder, dict):
        holder[random.choice(("kind", "at", "batch", "data", "unit", "value", "id", "x"))] = random.choice(_ODD)
    else:
        holder[key] = copy.deepcopy(random.choice(_ODD))


def diary(random: Random) -> bytes:
    """A diary with changed values, or with changed bytes, or none at all."""
    kind = random.random()
    if kind < 0.05:
        return random.randbytes(random.randrange(300))
    data, whole = random.choice(diaries())
    if kind < 0.35:
        return changed_bytes(data, random, _TURNED)
    made = copy.deepcopy(whole)
    if kind < 0.9:
        # Derived again from the entries, and no help to an attack.
        made.pop("batches")
    for _ in range(random.randrange(1, 4)):
        places = _places(made, [])
        if places:
            _change(*random.choice(places), places, random)
    return json.dumps(made, ensure_ascii=random.random() < 0.5).encode("utf-8", "surrogatepass")


def changed_bytes(data: bytes, random: Random, pieces: tuple[bytes, ...] = (b"", b"\0", b"\xff")) -> bytes:
    """The bytes with some of them turned, cut out, doubled or cut off."""
    made = bytearray(data)
    for _ in range(random.choice((1, 1, 2, 5, 20))):
        i = random.randrange(len(made) + 1)
        j = min(len(made), i + random.choice((1, 2, 4, 16, 300)))
        change = random.randrange(6)
        if change == 0:
            del made[i:j]
        elif change == 1:
            made[i:j] = random.choice(pieces)
        elif change == 2:
            made[i:j] = random.randbytes(j - i)
        elif change == 3:
            made[i:i] = made[i:j]
        elif change == 4 and i < len(made):
            made[i] ^= 1 << random.randrange(8)
        elif random.random() < 0.2:
            del made[i:]
    return bytes(made)


def sound_file(container: str, codec: str, seconds: float = 0.5, silent: bool = False) -> bytes:
    """A tone, or silence, as a kind of file that some phone or program writes."""
    import av

    out = io.BytesIO()
    count = int(seconds * 48_000)
    tone = np.zeros(count) if silent else 9000 * np.sin(2 * np.pi * 440 * np.arange(count) / 48_000)
    with av.open(out, mode="w", format=container) as file:
        stream = file.add_stream(codec, rate=48_000)
        stream.layout = "mono"  # type: ignore[attr-defined]
        resampler = av.AudioResampler(format=stream.format.name, layout="mono", rate=48_000)  # type: ignore[attr-defined]
        for begin in range(0, count, 960):
            part = np.zeros(960, np.int16)
            part[: min(960, count - begin)] = tone[begin : begin + 960]
            frame = av.AudioFrame.from_ndarray(part.reshape(1, -1), format="s16", layout="mono")
            frame.sample_rate, frame.pts = 48_000, begin
            for piece in resampler.resample(frame):
                file.mux(stream.encode(piece))  # type: ignore[attr-defined]
        file.mux(stream.encode(None))  # type: ignore[attr-defined]
    return out.getvalue()


@cache
def sounds() -> tuple[bytes, ...]:
    """Half a second of a tone in several kinds of file."""
    kinds = (
        ("ogg", "libopus"), ("wav", "pcm_s16le"), ("flac", "flac"), ("ogg", "flac"), ("mp4", "aac"), ("mp3", "libmp3lame"),
        ("matroska", "libopus"), ("adts", "aac"), ("aiff", "pcm_s16be"), ("caf", "pcm_s16le"),
    )  # fmt: skip
    return tuple(sound_file(container, codec) for container, codec in kinds)


def sound(random: Random) -> bytes:
    """A sound file that was changed."""
    kind = random.random()
    if kind < 0.05:
        return random.randbytes(random.randrange(1, 2000))
    data = random.choice(sounds())
    if kind < 0.15:
        # The head of one and the body of another.
        other = random.choice(sounds())
        cut = random.randrange(1, min(len(data), len(other)))
        data = data[:cut] + other[cut:]
    return changed_bytes(data, random)
