"""Noise that goes on all the time is taken out of the sound before the embedded engine listens.

Power subtraction after M. Berouti, R. Schwartz and J. Makhoul (ICASSP 1979): the noise of each frequency is what is
there in the quietest moments, and a floor of it is left, since holes in the spectrum sound like consonants. Late
reverberation counts as noise too, after K. Lebart, J. Boucher and P. Denbigh (Acta Acustica 87, 2001): it is what
was said a moment ago, dying away.
"""

from __future__ import annotations

import numpy as np

from bot.speech.port import RATE, Samples

_WINDOW, _HOP = 512, 128
_QUIET = 10.0
"""Percentile of the moments that are taken for noise alone."""
_MORE = 1.5
"""The quietest moments are below the mean of the noise."""
_FLOOR = 0.2
"""Least share of the amplitude that is left of any frequency."""
_LATE = 3
"""Hops after which sound counts as reverberation."""
_ROOM_S = 0.4
"""Time in which a kitchen's reverberation dies away by 60 dB. From memory: 0.3 to 0.5 s in a furnished kitchen."""


def clean(sound: Samples, room: float = 0.0) -> Samples:
    """The sound without its steady noise and, with ``room`` above 0, without this share of its late reverberation."""
    window = np.sqrt(np.hanning(_WINDOW + 1)[:-1])
    padded = np.concatenate([np.zeros(_WINDOW), sound, np.zeros(2 * _WINDOW)])
    count = (len(padded) - _WINDOW) // _HOP
    places = _HOP * np.arange(count)
    spectrum = np.fft.rfft(padded[places[:, None] + np.arange(_WINDOW)] * window, axis=1)
    power = np.abs(spectrum) ** 2
    gain = np.sqrt(np.maximum(1 - (_noise(power) + room * _late(power)) / np.maximum(power, 1e-12), _FLOOR**2))
    pieces = np.fft.irfft(spectrum * gain, axis=1) * window
    whole = np.zeros(len(padded))
    for place, piece in zip(places, pieces, strict=True):
        whole[place : place + _WINDOW] += piece
    # Windows squared overlap to the same sum everywhere.
    return np.asarray(whole[_WINDOW : _WINDOW + len(sound)] * (2 * _HOP / _WINDOW), np.float32)


def _noise(power: np.ndarray) -> np.ndarray:
    """Power of the noise at each frequency, from the quietest moments (the padding at both ends left out)."""
    inside = slice(_WINDOW // _HOP, len(power) - 2 * (_WINDOW // _HOP))
    summed = np.cumsum(np.concatenate([np.zeros((1, power.shape[1])), power[inside]]), axis=0)
    smooth = (summed[5:] - summed[:-5]) / 5 if len(summed) > 5 else power
    return np.asarray(_MORE * np.percentile(smooth, _QUIET, axis=0))


def _late(power: np.ndarray) -> np.ndarray:
    """Power of what is still in the air of what was there ``_LATE`` hops ago and before."""
    from scipy.signal import lfilter

    decay = float(np.exp(-13.8 * _HOP / RATE / _ROOM_S))
    earlier = np.concatenate([np.zeros((_LATE, power.shape[1])), power])[: len(power)]
    return np.asarray(decay**_LATE * lfilter([1 - decay], [1, -decay], earlier, axis=0))
