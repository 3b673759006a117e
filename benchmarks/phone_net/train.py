"""Train the net on a card: changed voices, rooms and noises are drawn anew for every batch.

    PYTHONPATH=benchmarks python benchmarks/phone_net/train.py FOLDER [MINUTES]     (writes FOLDER/net.npz)

Needs torch and a card with about 20 GB (the net that comes with Potside: 6 minutes on an H200). The kitchen noises are
of the same kind as the report's, drawn from other seeds; half of all noise is coloured noise or other voices.
"""

from __future__ import annotations

import json
import math
import random
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import torch
import torch.nn.functional as functional
from speech_corpus import kitchen
from torch import Tensor, nn

from bot.speech.phone_net import BANDS, FRAME, HOP, WINDOW, mel_bands

RATE, CHANNELS, BATCH, HIGHEST_RATE, WARMING = 16_000, 224, 160, 3e-3, 0.12
WIDTHS = (7, 9, 9, 11, 11, 13, 13, 15, 15, 17)
DEVICE = "cuda"
NOISE_LENGTH = 10 * RATE


class Sounds:
    """All notes in the memory of the card, and batches of them as spectra."""

    def __init__(self, folder: Path) -> None:
        page = json.loads((folder / "texts.json").read_text(encoding="utf-8"))
        self.phones: list[str] = page["phones"]
        numbers = {phone: number for number, phone in enumerate(self.phones, start=1)}
        self.rows = [[numbers[phone] for phone in text[2].split()] for text in page["texts"]]
        self.index = json.loads((folder / "index.json").read_text(encoding="utf-8"))
        self.audio = torch.from_numpy(np.fromfile(folder / "audio.i16", np.int16)).to(DEVICE)
        draw = np.random.default_rng(5)
        kinds = ("boiling", "extractor", "tap")
        noise = [kitchen(kind, NOISE_LENGTH, draw) for kind in kinds for _ in range(12)]
        self.noise = torch.stack([torch.from_numpy(each) for each in noise]).to(DEVICE)
        self.mel = torch.from_numpy(mel_bands()).to(DEVICE)
        self.window = torch.hann_window(FRAME, device=DEVICE)

    def batch(self, items: list[Any]) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        """Spectra, their lengths, the rows of phones in one, and their lengths."""
        sound, length = self._room(*self._changed(items))
        sound = self._noisy(sound) * (torch.arange(sound.shape[1], device=DEVICE) < length[:, None])
        seen, frames = self._spectra(sound, length)
        rows = [self.rows[item[1]] for item in items]
        flat = torch.tensor([phone for row in rows for phone in row], device=DEVICE)
        return _masked(seen, frames), frames, flat, torch.tensor([len(row) for row in rows], device=DEVICE)

    def _changed(self, items: list[Any]) -> tuple[Tensor, Tensor]:
        """Faster and higher or slower and lower voices, with silence before and behind."""
        count = len(items)
        rate = 0.84 + 0.36 * torch.rand(count, device=DEVICE)
        start = torch.tensor([item[2] for item in items], device=DEVICE)
        long = torch.tensor([item[3] for item in items], device=DEVICE)
        lead, tail = ((torch.rand(count, device=DEVICE) * 4000 + 1500).long() for _ in range(2))
        length = (long / rate).long() + lead + tail
        whole = -(-int(length.max()) // 1600) * 1600
        place = (torch.arange(whole, device=DEVICE)[None] - lead[:, None]) * rate[:, None]
        left = place.floor().long()
        part = place - left
        inside = (left >= 0) & (left < long[:, None] - 1)
        left = left.clamp_min(0).minimum(long[:, None] - 2) + start[:, None]
        sound = self.audio[left].float() * (1 - part) + self.audio[left + 1].float() * part
        return sound * inside / 32_768, length

    def _room(self, sound: Tensor, length: Tensor) -> tuple[Tensor, Tensor]:
        """A reverberation for two of three, and the colour of some microphone."""
        count, whole = sound.shape
        dies = (0.25 + 0.35 * torch.rand(count, 1, device=DEVICE)) * RATE
        tail = torch.randn(count, RATE // 2, device=DEVICE)
        tail *= torch.exp(-6.9 * torch.arange(RATE // 2, device=DEVICE)[None] / dies) * 0.045
        tail *= torch.rand(count, 1, device=DEVICE) * (torch.rand(count, 1, device=DEVICE) < 0.65)
        tail[:, :80] = 0
        tail[:, 0] = 1
        spectrum = torch.fft.rfft(sound, n=2 * whole) * torch.fft.rfft(tail, n=2 * whole)
        spectrum *= 10 ** (_curve(count, spectrum.shape[1], 9, 4.5) / 20)
        return torch.fft.irfft(spectrum, n=2 * whole)[:, :whole], length

    def _noisy(self, sound: Tensor) -> Tensor:
        """Noise of a kitchen for half, coloured noise or other voices for the rest; 3 to 33 dB, or 40 and more."""
        count, whole = sound.shape
        loud = (sound.abs() > 1e-3).sum(dim=1, keepdim=True) + 1
        level = 1.3 * ((sound**2).sum(dim=1, keepdim=True) / loud).sqrt()
        home = self.noise[torch.randint(len(self.noise), (count,), device=DEVICE)]
        at = int(torch.randint(max(1, NOISE_LENGTH - whole), (1,)))
        home = functional.pad(home[:, at : at + whole], (0, max(0, whole - NOISE_LENGTH)))
        white = torch.fft.rfft(torch.randn(count, whole, device=DEVICE))
        other = torch.fft.irfft(white * 10 ** (_curve(count, whole // 2 + 1, 10, 11) / 20), n=whole)
        sway = torch.randn(count, 1, max(2, whole // 3000), device=DEVICE)
        other = other * (1 + 0.4 * functional.interpolate(sway, whole, mode="linear")[:, 0])
        talk = sum(sound.roll(turn, 0) for turn in (1, 2, 3))
        which = torch.rand(count, 1, device=DEVICE)
        noise = torch.where(which < 0.5, home, torch.where(which < 0.9, _level(other), _level(talk)))
        quiet = torch.rand(count, 1, device=DEVICE) < 0.25
        ratio = torch.where(quiet, 40 + 20 * torch.rand(count, 1, device=DEVICE), 3 + 30 * torch.rand(count, 1, device=DEVICE))
        ratio = torch.where((which >= 0.9) & (ratio < 12), ratio + 12, ratio)
        hiss = torch.randn(count, whole, device=DEVICE) * 10 ** (-(45 + 20 * torch.rand(count, 1, device=DEVICE)) / 20)
        return sound + level * (noise * 10 ** (-ratio / 20) + hiss)

    def _spectra(self, sound: Tensor, length: Tensor) -> tuple[Tensor, Tensor]:
        """As bot.speech.phone_net.spectra, many at once: (note, band, frame) and the numbers of frames."""
        turned = torch.stft(sound, WINDOW, HOP, FRAME, self.window, center=False, return_complex=True)
        power = torch.matmul(self.mel, turned.real**2 + turned.imag**2)
        frames = ((length - WINDOW) // HOP + 1).clamp_min(1)
        live = (torch.arange(power.shape[2], device=DEVICE) < frames[:, None])[:, None].float()
        count = live.sum(dim=2, keepdim=True)
        mean = (power * live).sum(dim=(1, 2), keepdim=True) / (BANDS * count)
        level = torch.log(power / mean.clamp_min(1e-12) + 1e-5)
        middle = (level * live).sum(dim=2, keepdim=True) / count
        spread = (((level - middle) ** 2 * live).sum(dim=2, keepdim=True) / count).sqrt()
        return (level - middle) / (spread + 0.1) * live, frames


def _curve(count: int, long: int, points: int, spread: float) -> Tensor:
    """Smooth random curves in dB."""
    drawn = torch.randn(count, 1, points, device=DEVICE) * spread
    return functional.interpolate(drawn, long, mode="linear", align_corners=True)[:, 0]


def _level(noise: Tensor) -> Tensor:
    return noise / (noise.std(dim=1, keepdim=True) + 1e-9)


def _masked(seen: Tensor, frames: Tensor) -> Tensor:
    """Two bands of frequency and two stretches of time taken out of each."""
    count, bands, long = seen.shape
    for _ in range(2):
        for size, most, total in ((bands, 7, torch.full((count, 1), bands, device=DEVICE)), (long, 12, frames[:, None])):
            wide = (torch.rand(count, 1, device=DEVICE) * most).long()
            at = (torch.rand(count, 1, device=DEVICE) * (total - wide).clamp_min(1)).long()
            places = torch.arange(size, device=DEVICE)[None]
            left = ~((places >= at) & (places < at + wide))
            seen = seen * (left[:, :, None] if size == bands else left[:, None])
    return seen


class Block(nn.Module):
    """Two convolutions over time, each channel by itself and then mixed; weighted by a look at the whole note."""

    def __init__(self, wide: int) -> None:
        super().__init__()
        self.over_time = nn.ModuleList(
            nn.Conv1d(CHANNELS, CHANNELS, wide, padding=wide // 2, groups=CHANNELS, bias=False) for _ in range(2)
        )
        self.mixed = nn.ModuleList(nn.Conv1d(CHANNELS, CHANNELS, 1, bias=False) for _ in range(2))
        self.norm = nn.ModuleList(nn.BatchNorm1d(CHANNELS) for _ in range(2))
        self.squeeze, self.excite = nn.Linear(CHANNELS, CHANNELS // 8), nn.Linear(CHANNELS // 8, CHANNELS)
        self.drop = nn.Dropout(0.08)

    def forward(self, now: Tensor, live: Tensor) -> Tensor:
        after = functional.relu(self.norm[0](self.mixed[0](self.over_time[0](now)))) * live
        after = self.norm[1](self.mixed[1](self.over_time[1](after))) * live
        share = torch.sigmoid(self.excite(functional.relu(self.squeeze(after.sum(dim=2) / live.sum(dim=2)))))
        return self.drop(functional.relu(now + after * share[:, :, None])) * live


class Net(nn.Module):
    def __init__(self, phones: int) -> None:
        super().__init__()
        self.front = nn.Conv1d(BANDS, CHANNELS, 5, stride=2, padding=2, bias=False)
        self.norm = nn.BatchNorm1d(CHANNELS)
        self.blocks = nn.ModuleList(Block(wide) for wide in WIDTHS)
        self.out = nn.Conv1d(CHANNELS, phones + 1, 1)

    def forward(self, seen: Tensor, frames: Tensor) -> tuple[Tensor, Tensor]:
        """Logarithms of probabilities (note, phone, moment), and the numbers of moments."""
        moments = (frames + 1) // 2
        now = self.norm(self.front(seen))
        live = (torch.arange(now.shape[2], device=now.device) < moments[:, None])[:, None].float()
        now = functional.relu(now) * live
        for block in self.blocks:
            now = block(now, live)
        return self.out(now).float().log_softmax(dim=1), moments


def weights(net: Net, phones: list[str]) -> dict[str, np.ndarray]:
    """What bot.speech.phone_net reads: norms folded in, large tables as whole numbers with a scale a column."""
    kept: dict[str, np.ndarray] = {"phones": np.array(phones)}

    def folded(weight: Tensor, norm: nn.BatchNorm1d) -> tuple[np.ndarray, np.ndarray]:
        scale = norm.weight / (norm.running_var + norm.eps).sqrt()  # type: ignore[operator]
        bias = norm.bias - norm.running_mean * scale  # type: ignore[operator]
        return (weight * scale[:, None]).detach().cpu().numpy().T, bias.detach().cpu().numpy()

    def keep(name: str, table: np.ndarray, bias: np.ndarray) -> None:
        scale = np.abs(table).max(axis=0) / 127
        kept[name], kept[f"{name}.scale"] = np.round(table / scale).astype(np.int8), scale.astype(np.float32)
        kept[f"{name}.bias"] = bias.astype(np.float32)

    front = net.front.weight.transpose(1, 2).reshape(CHANNELS, -1)
    keep("front", *folded(front, net.norm))
    for place, block in enumerate(net.blocks):
        for number in range(2):
            name = f"{place}.{number + 1}"
            keep(f"{name}.mixed", *folded(block.mixed[number].weight[:, :, 0], block.norm[number]))
            over_time = block.over_time[number].weight[:, 0].T
            kept[f"{name}.over_time"] = over_time.detach().cpu().numpy().astype(np.float16)
        for what in ("squeeze", "excite"):
            layer = getattr(block, what)
            keep(f"{place}.{what}", layer.weight.T.detach().cpu().numpy(), layer.bias.detach().cpu().numpy())
    keep("out", net.out.weight[:, :, 0].T.detach().cpu().numpy(), net.out.bias.detach().cpu().numpy())
    return kept


def main() -> None:
    folder, minutes = Path(sys.argv[1]), float(sys.argv[2]) if len(sys.argv) > 2 else 6.0
    sounds = Sounds(folder)
    net = Net(len(sounds.phones)).to(DEVICE)
    descent = torch.optim.AdamW(net.parameters(), lr=HIGHEST_RATE, betas=(0.9, 0.98), weight_decay=0.01)
    # The neural voice is the nearest to people and the rarest.
    items = sounds.index + 3 * [item for item in sounds.index if item[0] == "joe"]
    draw, begin, step, done = random.Random(4), time.monotonic(), 0, 0.0
    while done < 1:
        order = sorted(items, key=lambda item: item[3] + draw.uniform(-6000, 6000))
        batches = [order[at : at + BATCH] for at in range(0, len(order) - BATCH + 1, BATCH)]
        draw.shuffle(batches)
        for batch in batches:
            done = (time.monotonic() - begin) / (60 * minutes)
            if done >= 1:
                break
            falls = 0.5 * (1 + math.cos(math.pi * (done - WARMING) / (1 - WARMING)))
            for group in descent.param_groups:
                group["lr"] = HIGHEST_RATE * (done / WARMING if done < WARMING else falls) + 1e-6
            seen, frames, rows, lengths = sounds.batch(batch)
            with torch.autocast("cuda", dtype=torch.bfloat16):
                heard, moments = net(seen, frames)
            loss = functional.ctc_loss(heard.permute(2, 0, 1), rows, moments, lengths, zero_infinity=True)
            descent.zero_grad(set_to_none=True)
            loss.backward()
            nn.utils.clip_grad_norm_(net.parameters(), 2.0)
            descent.step()
            step += 1
            if step % 500 == 0:
                print(f"{step} batches, {done:.0%}, loss {loss.item():.2f}", flush=True)
    net.eval()
    np.savez_compressed(folder / "net.npz", **weights(net, sounds.phones))


if __name__ == "__main__":
    main()
