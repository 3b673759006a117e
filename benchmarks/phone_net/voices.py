"""The texts spoken by many synthesised voices; none of those held for the report (speech_corpus.HELD) is among them.

    python benchmarks/phone_net/voices.py FOLDER [SHARE]     (writes FOLDER/audio.i16 and FOLDER/index.json)

Needs espeak-ng, flite and festival of the system with the voices kal_diphone, ked_diphone and cmu_us_slt_arctic_hts.
FOLDER/joe/NUMBER.ogg may hold texts by their number, spoken by a neural voice (the net that comes with Potside had
1,002 of them by the open voice "joe" of piper-tts). All processors are used.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import wave
from collections import Counter
from multiprocessing import Pool
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.signal import resample_poly

RATE = 16_000
ACCENTS = ("en-us", "en-us", "en-gb-x-gbclan", "en-gb-x-gbcwmd", "en-029", "en-us-nyc")
_NAMES = (
    "m1 m2 m3 m4 m5 m6 m7 m8 f1 f2 f3 f4 f5 adam Alex Alicia Andrea Andy Annie anika antonio aunty belinda benjamin boris caleb "
    "david Denis Diogo ed edward Gene grandma grandpa gustave Henrique Hugo iven Jacky john klatt klatt2 klatt3 klatt4 Lee linda "
    "Marco Mario max Michael michel Mike norbert pablo paul pedro quincy rob robert shelby steph Storm travis victor zac"
)
VARIANTS = _NAMES.split()
SINGLE = {"espeak": 32_000, "slt": 10_000, "kal16": 3000, "kal": 2000, "rms": 9000, "rp": 5000}
FESTIVAL = {"kal_diphone": 2500, "ked_diphone": 5000, "cmu_us_slt_arctic_hts": 6000}
AT_ONCE = 40
LONGEST_S = 9


class Job(NamedTuple):
    voice: str
    texts: tuple[tuple[int, str], ...]
    seed: float


Spoken = tuple[str, int, "np.ndarray | None"]


def trim(sound: np.ndarray) -> np.ndarray | None:
    """The sound without silence at both ends, at full level; None where there is none."""
    top = np.abs(sound).max(initial=0.0)
    if top < 200:
        return None
    loud = np.flatnonzero(np.abs(sound) > 0.015 * top)
    edge = RATE // 20
    return np.asarray(sound[max(0, loud[0] - edge) : loud[-1] + edge] * (28_000 / top), np.int16)


def read(path: Path) -> np.ndarray | None:
    with wave.open(str(path)) as file:
        rate = file.getframerate()
        sound = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.float32)[:: file.getnchannels()]
    if rate != RATE:
        divisor = int(np.gcd(rate, RATE))
        sound = resample_poly(sound, RATE // divisor, rate // divisor)
    return trim(sound)


def single(job: Job) -> list[Spoken]:
    """One text by espeak-ng or flite, at a pace and a pitch of its own."""
    draw, ((number, text), *_) = random.Random(job.seed), job.texts
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        if job.voice == "espeak":
            voice = draw.choice(ACCENTS) + ("" if draw.random() < 0.2 else "+" + draw.choice(VARIANTS))
            command = ["espeak-ng", "-v", voice, "-s", str(draw.randint(125, 215)), "-p", str(draw.randint(25, 75))]
            command += ["-w", file.name, text]
        elif job.voice == "rp":
            command = ["espeak-ng", "-v", "en-gb-x-rp", "-s", str(draw.randint(130, 190)), "-w", file.name, text]
        else:
            command = ["flite", "-voice", job.voice, "--setf", f"duration_stretch={draw.uniform(0.8, 1.25):.3f}"]
            if job.voice.startswith("kal"):
                command += ["--setf", f"int_f0_target_mean={draw.uniform(85, 150):.0f}"]
            command += ["-t", text, "-o", file.name]
        done = subprocess.run(command, capture_output=True, timeout=20)
        return [(job.voice, number, read(Path(file.name)) if done.returncode == 0 else None)]


def several(job: Job) -> list[Spoken]:
    """Some texts by one festival process, which takes long to start."""
    draw = random.Random(job.seed)
    with tempfile.TemporaryDirectory() as folder:
        lines = [f"(voice_{job.voice})"]
        for number, text in job.texts:
            lines.append(f"(Parameter.set 'Duration_Stretch {draw.uniform(0.8, 1.25):.3f})")
            lines.append(
                f'(begin (set! u (Utterance Text "{text}")) (utt.synth u) (utt.wave.resample u {RATE}) '
                f'(utt.save.wave u "{folder}/{number}.wav" (quote riff)))'
            )
        script = Path(folder, "say.scm")
        script.write_text("\n".join(lines), encoding="utf-8")
        subprocess.run(["festival", "-b", str(script)], capture_output=True, timeout=240)
        paths = [(number, Path(folder, f"{number}.wav")) for number, _ in job.texts]
        return [(job.voice, number, read(path) if path.exists() else None) for number, path in paths]


def main() -> None:
    folder, share = Path(sys.argv[1]), float(sys.argv[2]) if len(sys.argv) > 2 else 1.0
    texts = json.loads((folder / "texts.json").read_text(encoding="utf-8"))["texts"]
    draw = random.Random(11)
    order = draw.sample(range(len(texts)), len(texts))

    def some(count: int) -> list[tuple[int, str]]:
        return [(number, texts[number][1]) for number in (draw.randrange(len(texts)) for _ in range(count))]

    ones, many = [], []
    for voice, count in SINGLE.items():
        mine = some(int(count * share))
        if voice == "espeak":
            mine = [(number, texts[number][1]) for number in order[: int(count * share)]]
        ones += [Job(voice, (each,), draw.random()) for each in mine]
    for voice, count in FESTIVAL.items():
        mine = list(dict(some(int(count * share))).items())
        many += [Job(voice, tuple(mine[at : at + AT_ONCE]), draw.random()) for at in range(0, len(mine), AT_ONCE)]
    index: list[tuple[str, int, int, int]] = []
    place = 0
    with (folder / "audio.i16").open("wb") as out, Pool() as pool:

        def keep(spoken: list[Spoken]) -> None:
            nonlocal place
            for voice, number, sound in spoken:
                if sound is not None and RATE // 5 < len(sound) < LONGEST_S * RATE:
                    out.write(sound.tobytes())
                    index.append((voice, number, place, len(sound)))
                    place += len(sound)

        later = pool.map_async(several, many, chunksize=1)
        for spoken in pool.imap_unordered(single, ones, chunksize=16):
            keep(spoken)
        for spoken in later.get():
            keep(spoken)
        for path in sorted((folder / "joe").glob("*.ogg")):
            from bot.speech.audio import decode

            keep([("joe", int(path.stem), trim(decode(path.read_bytes()) * 32_767))])
    (folder / "index.json").write_text(json.dumps(index), encoding="utf-8")
    print(f"{place / RATE / 3600:.1f} hours", dict(Counter(voice for voice, *_ in index)))


if __name__ == "__main__":
    main()
