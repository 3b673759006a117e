"""A corpus of voice notes: utterances spoken by several synthesisers, with kitchen noise, reverberation and pace.

Nothing is downloaded; hibari-tts comes with Potside, flite and espeak-ng are packages of the system. Everything is
drawn from seeds of the utterance and voice, so the same notes are made every time.
"""

from __future__ import annotations

import subprocess
import tempfile
import tomllib
import wave
import zlib
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

RATE = 16_000
DEVELOPMENT = ("flite slt", "flite rms", "espeak en-us", "espeak en-gb-x-rp", "flite kal16")
HELD = ("hibari heart", "flite awb", "espeak en-gb", "espeak en-gb-scotland")
CONDITIONS = ("clean", "20 dB", "10 dB")
NOISES = ("boiling", "extractor", "tap")


class Utterance(NamedTuple):
    stage: str | None
    text: str
    held: bool


def utterances(which: str = "utterances") -> list[Utterance]:
    """What is said: the ``utterances`` of a day, or one for ``every_intent`` that is not among them."""
    page = tomllib.loads((Path(__file__).parent / f"speech_{which}.toml").read_text(encoding="utf-8"))
    return [
        Utterance(None if stage == "none" else stage, text, place % 2 == 1)
        for stage, lines in page.items()
        for place, text in enumerate(lines)
    ]


def seed(*parts: object) -> int:
    return zlib.crc32(" ".join(map(str, parts)).encode())


def _read_wave(path: str) -> np.ndarray:
    with wave.open(path) as file:
        rate = file.getframerate()
        sound = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.float32) / 32768
        return resample(sound[:: file.getnchannels()], rate)


def resample(sound: np.ndarray, rate: int) -> np.ndarray:
    from scipy.signal import resample_poly

    divisor = int(np.gcd(rate, RATE))
    return np.asarray(resample_poly(sound, RATE // divisor, rate // divisor), np.float32)


@cache
def _hibari() -> object:
    from hibari import Hibari

    return Hibari(threads=1)


def speak(text: str, voice: str, pace: float) -> np.ndarray:
    """The text in a voice, at a pace from 0.85 to 1.2 of its own; 16 kHz."""
    synthesiser, _, name = voice.partition(" ")
    if synthesiser == "hibari":
        return resample(_hibari()(text, speed=pace, seed=seed(text)), 24_000)  # type: ignore[operator]
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        if synthesiser == "flite":
            command = [
                "flite",
                "-voice",
                name,
                "--setf",
                f"duration_stretch={1 / pace:.3f}",
                "-t",
                text,
                "-o",
                file.name,
            ]
        else:
            command = ["espeak-ng", "-v", name, "-s", str(round(155 * pace)), "-w", file.name, text]
        subprocess.run(command, check=True, capture_output=True)
        return _read_wave(file.name)


def _band(noise: np.ndarray, low: float, high: float) -> np.ndarray:
    from scipy.signal import butter, sosfilt

    return np.asarray(sosfilt(butter(2, [low, high], "band", fs=RATE, output="sos"), noise))


def kitchen(kind: str, count: int, draw: np.random.Generator) -> np.ndarray:
    """Noise of a kitchen at a level of 1."""
    white = draw.standard_normal(count)
    if kind == "extractor":
        # A fan: rushing air, with the hum of the motor and of its blades.
        time = np.arange(count) / RATE
        air = np.cumsum(white) - np.convolve(np.cumsum(white), np.ones(400) / 400, "same")
        hum = sum(np.sin(2 * np.pi * f * time + draw.uniform(0, 6)) / k for k, f in enumerate((100, 200, 290, 580), 1))
        sound = air / air.std() + 0.5 * hum + 0.3 * _band(white, 400, 3000)
    elif kind == "tap":
        flutter = 1 + 0.3 * np.interp(
            np.arange(count), np.arange(0, count + 800, 800), draw.standard_normal(len(range(0, count + 800, 800)))
        )
        sound = _band(white, 700, 6500) * flutter
    else:
        # A rolling boil: bubbles that ring falling tones of 200 to 1200 Hz, over a low rumble.
        sound = 0.5 * _band(white, 80, 500)
        for start in draw.integers(0, count, count // 500):
            length = int(draw.integers(160, 900))
            t = np.arange(min(length, count - start)) / RATE
            ring = np.sin(2 * np.pi * draw.uniform(200, 1200) * t * (1 - 2 * t)) * np.exp(-t * draw.uniform(60, 200))
            sound[start : start + len(t)] += draw.uniform(0.3, 1.5) * ring
    return np.asarray(sound / sound.std(), np.float32)


def room(sound: np.ndarray, draw: np.random.Generator) -> np.ndarray:
    """The sound in a hard-walled kitchen: a direct path, and a tail that decays by 60 dB in 0.3 to 0.5 s."""
    length = int(draw.uniform(0.3, 0.5) * RATE)
    tail = draw.standard_normal(length) * np.exp(-6.9 * np.arange(length) / length) * 0.03
    tail[: RATE // 200] = 0
    tail[0] = 1.0
    return np.asarray(np.convolve(sound, tail), np.float32)


def note(utterance: Utterance, voice: str, condition: str) -> bytes:
    """One voice note as a phone sends it: OGG/Opus."""
    from bot.speech.audio import encode

    draw = np.random.default_rng(seed(utterance.text, voice, condition))
    sound = speak(utterance.text, voice, float(draw.uniform(0.85, 1.2)))
    sound = np.concatenate([np.zeros(RATE // 4), sound, np.zeros(RATE // 3)]).astype(np.float32)
    if condition != "clean":
        sound = room(sound, draw)
        level = np.sqrt(np.mean(sound[np.abs(sound) > 0.02 * np.abs(sound).max()] ** 2))
        noise = kitchen(NOISES[seed(voice, utterance.text) % 3], len(sound), draw)
        sound = sound + noise * level * 10 ** (-float(condition.split()[0]) / 20)
    else:
        sound = sound + draw.standard_normal(len(sound)).astype(np.float32) * 0.0005
    return encode(0.5 * sound / np.abs(sound).max(), RATE)
