"""Where somebody speaks: silence is cut off at both ends, and a note without speech never reaches an engine.

The engines make words of anything (a hum becomes "and", silence "you"), so this comes first.
"""

from __future__ import annotations

import numpy as np

from bot.speech.port import RATE, Samples

_FRAME = RATE // 50
"""20 ms."""
_EDGE_S = 0.25
"""Seconds kept on both sides of the speech: soft consonants are below any threshold."""
_LEAST_SPEECH_S = 0.15
_LEAST_RISE_DB = 6.0
"""How far speech stands out of what is there all the time; less is a hum, a tap or a hiss."""
_QUIETEST_DB = -55.0
_BAND = (200.0, 3800.0)


def levels(sound: Samples) -> np.ndarray:
    """Level in dB of the speech band of each 20 ms, full scale is 0."""
    count = len(sound) // _FRAME
    if count == 0:
        return np.zeros(0)
    frames = sound[: count * _FRAME].reshape(count, _FRAME) * np.hanning(_FRAME).astype(np.float32)
    spectrum = np.abs(np.fft.rfft(frames, axis=1)) ** 2
    frequencies = np.fft.rfftfreq(_FRAME, 1 / RATE)
    inside = (frequencies >= _BAND[0]) & (frequencies <= _BAND[1])
    power = spectrum[:, inside].sum(axis=1) / (_FRAME**2 / 8)
    return np.asarray(10 * np.log10(power + 1e-12))


def rise(sound: Samples) -> float:
    """How far in dB speech stands out of its noise, from about 20 beside a boiling pot to 55 in a silent room."""
    level = levels(sound)
    return float(np.percentile(level, 95) - np.percentile(level, 8)) if level.size else 0.0


def speech_in(sound: Samples) -> Samples | None:
    """The part of the sound that holds speech, with a quarter of a second at each side; None where none does."""
    level = levels(sound)
    if level.size < 5:
        return None
    floor, top = np.percentile(level, 10), np.percentile(level, 98)
    if top < _QUIETEST_DB or top - floor < _LEAST_RISE_DB:
        return None
    threshold = max(_QUIETEST_DB, floor + max(3.0, 0.3 * (top - floor)))
    loud = level > threshold
    # A single loud frame is a click; three in a row are a sound.
    steady = np.convolve(loud.astype(int), np.ones(3, dtype=int), mode="same") >= 2
    where = np.flatnonzero(steady & loud)
    if where.size * _FRAME / RATE < _LEAST_SPEECH_S:
        return None
    edge = int(_EDGE_S * RATE)
    start = max(0, int(where[0]) * _FRAME - edge)
    end = min(len(sound), (int(where[-1]) + 1) * _FRAME + edge)
    return sound[start:end]
