"""What is recorded when voice notes are heard: right, asked about, wrongly, not at all; by engine and condition.

    python benchmarks/speech_report.py --notes FOLDER [--part held] [--engine both --model FOLDER] [--seconds 240]

Notes are made once and kept in FOLDER (about 9 KB each), and so is what each engine heard: a run that stops at its
limit goes on where it stopped. ``--part development`` is for choosing thresholds, ``held`` for reporting.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Any

import speech_corpus as corpus

from bot.speech.audio import decode
from bot.speech.commands import at_stage
from bot.speech.hear import chosen_ear, situation_of
from bot.speech.port import RATE, Recogniser
from bot.speech.voice_activity import speech_in
from conversations.hearing import ONE_EAR, Alternative, Trust, meaning_of, settle
from conversations.session.fold import EMPTY
from conversations.session.step import context_of
from conversations.understanding.understand import understand

NOW = datetime(2026, 3, 14, 10, tzinfo=UTC)
OUTCOMES = ("right", "asked", "wrong", "rejected")


def cases(part: str, which: str) -> Iterator[tuple[corpus.Utterance, str, str]]:
    voices = corpus.HELD if part == "held" else corpus.DEVELOPMENT
    for condition in corpus.CONDITIONS:
        for utterance in corpus.utterances(which):
            if utterance.held == (part == "held"):
                for voice in voices:
                    yield utterance, voice, condition


def name_of(utterance: corpus.Utterance, voice: str, condition: str) -> str:
    return f"{corpus.seed(utterance.stage, utterance.text):08x}-{voice}-{condition}".replace(" ", "_")


_warm: set[tuple[str, str | None]] = set()


def listen(ear: Recogniser, note: bytes, utterance: corpus.Utterance) -> dict[str, Any]:
    state = at_stage(EMPTY, utterance.stage, NOW)
    sound = decode(note)
    speech = speech_in(sound)
    if speech is not None and (ear.name, utterance.stage) not in _warm:
        # The model of a stage is made and loaded once; that is no cost of a note.
        _warm.add((ear.name, utterance.stage))
        ear.recognise(speech, situation_of(state, NOW))
    begin = time.process_time(), time.perf_counter()
    heard = ear.recognise(speech, situation_of(state, NOW)) if speech is not None else []
    return {
        "heard": heard,
        "trust": ear.trust(speech) if speech is not None else ONE_EAR,
        "cpu": time.process_time() - begin[0],
        "wall": time.perf_counter() - begin[1],
        "length": len(sound) / RATE,
    }


def outcome(heard: Iterable[Sequence[Any]], utterance: corpus.Utterance, trust: Trust = ONE_EAR) -> tuple[str, float]:
    state = at_stage(EMPTY, utterance.stage, NOW)
    context = context_of(state, NOW)
    wanted = meaning_of(understand(utterance.text, context))
    verdict = settle([Alternative(*each) for each in heard], state, NOW, trust)
    if verdict.decision == "accept":
        got = meaning_of(understand(verdict.text, context))
        return ("right" if got == wanted else "wrong"), verdict.confidence
    return ("asked" if verdict.decision == "ask" else "rejected"), verdict.confidence


def hear_all(
    part: str, which: str, folder: Path, ear: Recogniser, seconds: float, every: int
) -> dict[str, dict[str, Any]]:
    """What an engine heard of every note, from earlier runs and this one."""
    kept = folder / f"{part}-{which}-{ear.name}.jsonl"
    found = {}
    if kept.exists():
        found = {entry["name"]: entry for entry in map(json.loads, kept.read_text().splitlines())}
    end = time.monotonic() + seconds
    with kept.open("a") as out:
        for utterance, voice, condition in islice(cases(part, which), 0, None, every):
            name = name_of(utterance, voice, condition)
            if name in found:
                continue
            if time.monotonic() > end:
                break
            path = folder / f"{name}.ogg"
            if not path.exists():
                path.write_bytes(corpus.note(utterance, voice, condition))
            found[name] = {"name": name, **listen(ear, path.read_bytes(), utterance)}
            print(json.dumps(found[name]), file=out, flush=True)
    return found


def table(part: str, which: str, columns: dict[str, dict[str, dict[str, Any]]], show: bool) -> None:
    """One line for each engine, condition and voice."""
    print(f"\n{which.replace('_', ' ')}: {part} sentences and voices, {datetime.now(UTC):%Y-%m-%d}")
    print("| engine | condition | notes | right | asked | wrong | rejected | processor s a note | of its length |")
    print("|---|---|---|---|---|---|---|---|---|")
    for label, ear in columns.items():
        voices: dict[str, Counter[str]] = defaultdict(Counter)
        for condition in corpus.CONDITIONS:
            counts: Counter[str] = Counter()
            cpu = length = 0.0
            for utterance, voice, its in cases(part, which):
                name = name_of(utterance, voice, its)
                if its != condition or name not in ear:
                    continue
                entry = ear[name]
                what, sure = outcome(entry["heard"], utterance, Trust(*entry["trust"]))
                counts[what] += 1
                voices[f"{voice}, {condition}"][what] += 1
                cpu += entry["cpu"]
                length += entry["length"]
                if show and what == "wrong":
                    said = entry["heard"][:3]
                    print(f"    {condition}, {voice}: {utterance.text!r} ({sure:.2f}) {said}", file=sys.stderr)
            total = sum(counts.values())
            if total:
                shares = " | ".join(f"{100 * counts[each] / total:.1f} %" for each in OUTCOMES)
                print(f"| {label} | {condition} | {total} | {shares} | {cpu / total:.2f} | {cpu / length:.2f} |")
        if show:
            for voice, counts in voices.items():
                total = sum(counts.values())
                print(
                    f"    {label}, {voice}: "
                    + ", ".join(f"{each} {100 * counts[each] / total:.0f} %" for each in OUTCOMES)
                )


_FRESH = """
import sys, time
begin = time.perf_counter()
from pathlib import Path
from datetime import UTC, datetime
from bot.speech.hear import chosen_ear, hear_voice
from conversations.session.fold import EMPTY
ear, _ = chosen_ear(sys.argv[1], sys.argv[2])
note = Path(sys.argv[3]).read_bytes()
hear_voice(note, EMPTY, datetime(2026, 3, 14, tzinfo=UTC), ear)
first = time.perf_counter() - begin
for _ in range(5):
    hear_voice(note, EMPTY, datetime(2026, 3, 14, tzinfo=UTC), ear)
# Of this process alone: the most that getrusage tells may be that of the process which started it.
most = next(int(line.split()[1]) for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(f"{first:.1f} s to the first answer, {most / 1024:.0f} MB at most")
"""


def costs(folder: Path, engine: str, model: str) -> None:
    """Start and memory of an engine in a process of its own, its models made before."""
    note = next(folder.glob("*clean.ogg"))
    command = [sys.executable, "-c", _FRESH, engine, model, str(note)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    print(f"{engine}: {done.stdout.strip()}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--notes", type=Path, required=True)
    parser.add_argument("--part", choices=("development", "held"), default="held")
    parser.add_argument("--say", choices=("utterances", "every_intent", "teens"), default="utterances", help="what is said")
    parser.add_argument("--engine", choices=("pocketsphinx", "both"), default="pocketsphinx")
    parser.add_argument("--model", default="", help="folder or name of a whisper model")
    parser.add_argument("--every", type=int, default=1, help="take every so many-th note only")
    parser.add_argument(
        "--seconds", type=float, default=3600, help="stop listening after so long; the next run goes on"
    )
    parser.add_argument("--show", action="store_true", help="print every wrong note, and a line for each voice")
    parser.add_argument("--costs", action="store_true", help="print start time and memory of the engines")
    arguments = parser.parse_args()
    arguments.notes.mkdir(parents=True, exist_ok=True)
    columns = {}
    names = ["pocketsphinx"] if arguments.engine == "pocketsphinx" else ["pocketsphinx", "whisper", "both"]
    for name in names:
        ear, instead = chosen_ear(name, arguments.model)
        if instead:
            sys.exit(instead)
        columns[name] = hear_all(
            arguments.part, arguments.say, arguments.notes, ear, arguments.seconds / len(names), arguments.every
        )
    table(arguments.part, arguments.say, columns, arguments.show)
    print(f"\nthis process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB at most")
    if arguments.costs:
        for name in columns:
            costs(arguments.notes, name, arguments.model)


if __name__ == "__main__":
    main()
