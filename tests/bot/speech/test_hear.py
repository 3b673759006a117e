"""Notes spoken by hibari-tts through the embedded ear, in the situation of a chat."""

import io
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from bot.clock import SimulatedClock
from bot.main import main
from bot.speech import hear as hear_module
from bot.speech.audio import decode, encode
from bot.speech.hear import chosen_ear, hear_voice
from bot.speech.pocketsphinx_engine import Pocketsphinx
from bot.speech.port import RATE, SpeechError
from bot.store import Store
from bot.terminal import Terminal
from conversations.hearing import ONE_EAR, Trust
from conversations.session.state import State
from conversations.session.step import context_of, step
from conversations.understanding.understand import understand
from tests.bot.speech.conftest import NOW, hum

Note = Callable[[str], bytes]
At = Callable[[str | None], State]


@pytest.mark.parametrize(
    ("stage", "said"),
    [
        ("mash", "sixty seven degrees"),
        pytest.param("transfer", "gravity ten fifty seven", marks=pytest.mark.slow),
        pytest.param("boil", "the hops are in", marks=pytest.mark.slow),
        pytest.param("boil", "set a timer for ten minutes", marks=pytest.mark.slow),
        pytest.param("drain", "six point two litres", marks=pytest.mark.slow),
    ],
)
def test_a_note_means_what_the_same_words_mean_typed(
    ear: Pocketsphinx, note: Note, at: At, stage: str, said: str
) -> None:
    state = at(stage)
    hearing = hear_voice(note(said), state, NOW, ear)
    assert hearing.decision in ("accept", "ask")
    meant = [(i.name, i.slots) for i in understand(said, context_of(state, NOW)).intents]
    texts = [hearing.text] if hearing.decision == "accept" else list(hearing.choices)
    assert meant in [[(i.name, i.slots) for i in understand(each, context_of(state, NOW)).intents] for each in texts]


@pytest.mark.slow
def test_what_is_heard_does_not_depend_on_who_spoke_before(ear: Pocketsphinx, note: Note, at: At) -> None:
    """The decoder keeps a mean spectrum; that of a deep, dull, loud voice is far from the one that this note has."""
    sound = decode(note("eight litres"))
    noisy = sound + np.random.default_rng(1).normal(0, 0.2 * np.std(sound), sound.size)
    same = encode(noisy.astype(np.float32), RATE)
    deep = np.interp(np.arange(0, sound.size, 0.8), np.arange(sound.size), sound)
    dull = np.convolve(deep, np.ones(12) / 4, "same").astype(np.float32)
    heard = []
    for stage, before in (("transfer", None), ("transfer", same), ("transfer", encode(dull, RATE)), ("boil", same)):
        if before is not None:
            assert hear_voice(before, at(stage), NOW, ear).hypotheses
        heard.append(hear_voice(same, at("transfer"), NOW, ear).hypotheses)
    assert len(heard[0]) > 1, "a note that is heard in one way only shows nothing"
    assert heard.count(heard[0]) == len(heard)


@pytest.mark.parametrize("data", [b"", b"nonsense" * 100, hum(2), encode(np.zeros(RATE, np.float32), RATE)])
def test_what_is_no_speech_records_nothing(ear: Pocketsphinx, at: At, data: bytes) -> None:
    hearing = hear_voice(data, at("mash"), NOW, ear)
    assert hearing.decision == "reject"
    outcome = step(at("mash"), hearing.message(), NOW)
    assert "Nothing is recorded" in outcome.replies[0].text
    assert {event.kind for event in outcome.events} == {"heard", "said"}


def test_another_language_is_not_taken_for_ours(ear: Pocketsphinx, note: Note, at: At) -> None:
    for said in ("wo ist denn bitte der bahnhof", "je voudrais acheter une baguette", "donde esta la biblioteca"):
        assert hear_voice(note(said), at("mash"), NOW, ear).decision != "accept"


def test_an_ear_that_breaks_loses_the_note_and_nothing_else(at: At, note: Note) -> None:
    class Broken:
        name = "broken"

        def recognise(self, sound: object, situation: object) -> list[object]:
            raise RuntimeError("no")

        def trust(self, sound: object) -> Trust:
            return ONE_EAR

    assert hear_voice(note("sixty seven degrees"), at("mash"), NOW, Broken()).decision == "reject"  # type: ignore[arg-type]


def test_without_whisper_the_built_in_ear_listens_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(model: str) -> None:
        raise SpeechError("The whisper ear is not installed.")

    monkeypatch.setattr(hear_module, "_whisper", missing)
    ear, instead = chosen_ear("both", "base")
    assert ear.name == "pocketsphinx"
    assert "not installed" in instead
    assert "built-in ear" in instead


def test_the_commands(note: Note, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "note.ogg"
    assert main(["say", "67 °C", "-o", str(target)]) == 0
    assert capsys.readouterr().out == f"Wrote {target}.\n"
    (tmp_path / "empty.ogg").write_bytes(b"")
    assert main(["hear", "--json", "--stage", "mash", str(target), str(tmp_path / "empty.ogg")]) == 0
    heard, empty = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert heard["decision"] in ("accept", "ask", "reject")
    assert heard["hypotheses"]
    assert {"text", "quantities", "understood", "reply", "spoken", "choices"} <= heard.keys()
    assert (empty["decision"], empty["hypotheses"], empty["understood"]) == ("reject", [], [])
    assert main(["hear", "--stage", "frying", str(target)]) == 2
    assert main(["hear", str(tmp_path / "nowhere.ogg")]) == 1


def test_a_note_in_the_terminal_chat_is_answered_and_recorded(note: Note, tmp_path: Path) -> None:
    out = io.StringIO()
    store = Store.open(tmp_path / "diary.db")
    (tmp_path / "note.ogg").write_bytes(note("sixty seven degrees"))
    chat = Terminal(store, SimulatedClock(NOW), out)
    for line in (
        "brew 5 litres of mild",
        "next",
        "next",
        "next",
        f"/listen {tmp_path / 'note.ogg'}",
        "/listen nowhere.ogg",
    ):
        chat.say(line)
    store.close()
    assert "67 °C" in out.getvalue()
    assert "nowhere.ogg cannot be read" in out.getvalue()


def test_a_note_is_kept_with_the_batch_only_where_that_was_asked_for(note: Note, tmp_path: Path) -> None:
    store = Store.open(tmp_path / "diary.db")
    (tmp_path / "note.ogg").write_bytes(note("sixty seven degrees"))
    chat = Terminal(store, SimulatedClock(NOW), io.StringIO())
    for line in ("brew 5 litres of mild", "next", "next", "next", f"/listen {tmp_path / 'note.ogg'}"):
        chat.say(line)
    assert list(tmp_path.rglob("*.files/**/*.ogg")) == []
    for line in ("keep my voice notes", f"/listen {tmp_path / 'note.ogg'}"):
        chat.say(line)
    (kept,) = store.state("terminal").batches[0].recordings
    store.close()
    assert kept.text == "sixty seven degrees"
    assert decode((tmp_path / "diary.files" / kept.path).read_bytes()).size > RATE


@pytest.mark.slow
@pytest.mark.parametrize("beat", [0.5, 0.25])
def test_music_is_not_taken_for_speech(ear: Pocketsphinx, at: At, beat: float) -> None:
    """Chords struck on the beat, with five harmonics each: nothing of it may be recorded."""
    chords = [(261.6, 329.6, 392.0), (220.0, 261.6, 329.6), (174.6, 220.0, 261.6), (196.0, 246.9, 293.7)]
    time = np.arange(int(beat * RATE)) / RATE
    struck = [
        sum(np.sin(2 * np.pi * pitch * harmonic * time) / harmonic for pitch in chord for harmonic in range(1, 6))
        * np.exp(-3 * time)
        for chord in chords * int(1.5 / beat)
    ]
    music = np.concatenate(struck).astype(np.float32)
    for stage in ("mash", "boil"):
        assert hear_voice(encode(0.5 * music / np.abs(music).max(), RATE), at(stage), NOW, ear).decision != "accept"
