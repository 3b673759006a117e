"""Which phones sound when: a small convolutional net that comes with Potside, read with numpy alone.

Blocks of convolutions over time after S. Kriman and others, "QuartzNet" (ICASSP 2020), with a look at the whole note
after J. Hu and others, "Squeeze-and-Excitation Networks" (CVPR 2018), trained to A. Graves and others, "Connectionist
temporal classification" (ICML 2006). It has heard synthesised voices only: docs/speech.md tells which, and what that
means; benchmarks/phone_net/ trains it anew.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import as_file, files
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bot.speech.port import RATE, Samples

Array = NDArray[np.float32]

BANDS = 40
WINDOW, FRAME, HOP = 512, 400, 160
_LOWEST_HZ, _HIGHEST_HZ = 60.0, 7600.0
_FLOOR = 1e-5
"""Share of the mean power below which nothing is heard."""
_LEAST_SPREAD = 0.1
_EVERY, _WIDE = 2, 5
"""The first layer looks at five frames and steps by two: a row of the result is 20 ms."""


@lru_cache(maxsize=1)
def mel_bands() -> Array:
    """Triangles over the spectrum on the mel scale (2595 log10(1 + f / 700)), one row a band."""
    highest, lowest = (2595 * np.log10(1 + each / 700) for each in (_HIGHEST_HZ, _LOWEST_HZ))
    edges = 700 * (10 ** (np.linspace(lowest, highest, BANDS + 2) / 2595) - 1)
    frequencies = np.arange(WINDOW // 2 + 1) * RATE / WINDOW
    rising = (frequencies - edges[:-2, None]) / (edges[1:-1] - edges[:-2])[:, None]
    falling = (edges[2:, None] - frequencies) / (edges[2:] - edges[1:-1])[:, None]
    return np.asarray(np.maximum(0, np.minimum(rising, falling)), np.float32)


def spectra(sound: Samples) -> Array:
    """Logarithmic mel spectra, a row each 10 ms, every band about its own mean; empty for less than 32 ms."""
    if len(sound) < WINDOW:
        return np.zeros((0, BANDS), np.float32)
    window = np.zeros(WINDOW, np.float32)
    start = (WINDOW - FRAME) // 2
    window[start : start + FRAME] = np.hanning(FRAME + 1)[:-1]
    frames = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::HOP] * window
    power = np.abs(np.fft.rfft(frames, axis=1)) ** 2 @ mel_bands().T
    level = np.log(power / max(float(power.mean()), 1e-12) + _FLOOR)
    return np.asarray((level - level.mean(axis=0)) / (level.std(axis=0) + _LEAST_SPREAD), np.float32)


class _Layer(NamedTuple):
    over_time: Array
    """A weight for each neighbour in time and channel."""
    mixed: Array
    bias: Array


class _Block(NamedTuple):
    layers: tuple[_Layer, _Layer]
    squeeze: tuple[Array, Array]
    excite: tuple[Array, Array]


class PhoneNet:
    """The net with its weights; one for all chats, without state."""

    def __init__(self) -> None:
        """Read the weights of data/phones.npz, kept as whole numbers with a scale for each channel."""
        with as_file(files("bot.speech").joinpath("data", "phones.npz")) as path, np.load(path) as kept:
            weights = {name: kept[name] for name in kept.files}
        self.phones = [str(each) for each in weights.pop("phones")]
        read = {name: np.asarray(each, np.float32) for name, each in weights.items()}
        for name in [name for name in read if name.endswith(".scale")]:
            read[name.removesuffix(".scale")] *= read.pop(name)
        self._front = read["front"], read["front.bias"]
        self._blocks = [
            _Block(
                (self._layer(read, f"{place}.1"), self._layer(read, f"{place}.2")),
                (read[f"{place}.squeeze"], read[f"{place}.squeeze.bias"]),
                (read[f"{place}.excite"], read[f"{place}.excite.bias"]),
            )
            for place in range(sum(name.endswith(".squeeze") for name in read))
        ]
        self._out = read["out"], read["out.bias"]

    @staticmethod
    def _layer(read: dict[str, Array], name: str) -> _Layer:
        return _Layer(read[f"{name}.over_time"], read[f"{name}.mixed"], read[f"{name}.mixed.bias"])

    def __call__(self, sound: Samples) -> Array:
        """Logarithms of the probability of each phone, a row each 20 ms; column 0 is none, then :attr:`phones`."""
        return self.read(spectra(sound))

    def read(self, seen: Array) -> Array:
        """The same from spectra as :func:`spectra` makes them."""
        if not len(seen):
            return np.zeros((0, len(self.phones) + 1), np.float32)
        side = _WIDE // 2
        padded = np.pad(seen, ((side, side), (0, 0)))
        rows = np.lib.stride_tricks.sliding_window_view(padded, _WIDE, axis=0)[::_EVERY]
        now = np.maximum(rows.transpose(0, 2, 1).reshape(len(rows), -1) @ self._front[0] + self._front[1], 0)
        for block in self._blocks:
            one, other = block.layers
            after = _through(np.maximum(_through(now, one), 0), other)
            whole = np.maximum(after.mean(axis=0) @ block.squeeze[0] + block.squeeze[1], 0)
            share = 1 / (1 + np.exp(-(whole @ block.excite[0] + block.excite[1])))
            now = np.maximum(now + after * share, 0)
        result = now @ self._out[0] + self._out[1]
        result -= result.max(axis=1, keepdims=True)
        return np.asarray(result - np.log(np.exp(result).sum(axis=1, keepdims=True)), np.float32)


def _through(rows: Array, layer: _Layer) -> Array:
    wide, count = len(layer.over_time), len(rows)
    padded = np.pad(rows, ((wide // 2, wide // 2), (0, 0)))
    seen = padded[:count] * layer.over_time[0]
    piece = np.empty_like(seen)
    for place in range(1, wide):
        np.multiply(padded[place : place + count], layer.over_time[place], out=piece)
        seen += piece
    return np.asarray(seen @ layer.mixed + layer.bias, np.float32)


@lru_cache(maxsize=1)
def phone_net() -> PhoneNet:
    """The one net of this process."""
    return PhoneNet()
