"""Sound in and out. What comes in is checked against a pure tone whose length and pitch are known."""

import contextlib
import io
import time
from pathlib import Path

import av
import numpy as np
import pytest

from bot.speech.audio import LARGEST_BYTES, decode, encode
from bot.speech.port import RATE, SpeechError
from bot.speech.speak import readable, voice_note
from bot.speech.voice_activity import speech_in
from tests.bot.speech.conftest import hum
from tests.fuzz.files import sound_file


def tone(seconds: float, rate: int, pitch: float = 440.0) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * pitch * np.arange(int(seconds * rate)) / rate)).astype(np.float32)


@pytest.mark.parametrize("rate", [8000, 16_000, 24_000, 44_100, 48_000])
def test_a_tone_keeps_length_and_pitch(rate: int) -> None:
    sound = decode(encode(tone(1.5, rate), rate))
    assert len(sound) / RATE == pytest.approx(1.5, abs=0.05)
    spectrum = np.abs(np.fft.rfft(sound[4000:20_000]))
    assert np.argmax(spectrum) == pytest.approx(440, abs=3)


def test_a_voice_note_is_what_messengers_expect() -> None:
    """Source: Telegram Bot API, sendVoice: "an .OGG file encoded with OPUS"."""
    with av.open(io.BytesIO(voice_note("sixty seven degrees"))) as container:
        stream = container.streams.audio[0]
        assert container.format.name == "ogg"
        assert (stream.codec_context.name, stream.rate, stream.channels) == ("opus", 48_000, 1)


def test_wave_files_of_two_channels_are_read() -> None:
    out = io.BytesIO()
    with av.open(out, mode="w", format="wav") as container:
        stream = container.add_stream("pcm_s16le", rate=44_100)
        stream.layout = "stereo"
        both = np.stack([tone(1, 44_100), np.zeros(44_100, np.float32)])
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray((both * 32767).astype(np.int16).T.reshape(1, -1)), format="s16", layout="stereo"
        )
        frame.sample_rate = 44_100
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    sound = decode(out.getvalue())
    assert len(sound) == pytest.approx(RATE, abs=50)
    assert 0.05 < np.abs(sound).max() < 0.32


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b"", "empty"),
        (b"not a sound at all" * 50, "could not open"),
        (b"OggS" + bytes(500), "could not open"),
        (bytes(LARGEST_BYTES + 1), "too large"),
    ],
)
def test_what_is_no_sound_is_declined_in_a_sentence(data: bytes, line: str) -> None:
    with pytest.raises(SpeechError, match=line):
        decode(data)


@pytest.mark.parametrize(
    "playlist",
    [
        "ffconcat version 1.0\nfile secret.ogg\n",
        "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:2,\nsecret.ogg\n#EXT-X-ENDLIST\n",
        "v=0\r\no=- 0 0 IN IP4 127.0.0.1\r\ns=x\r\nc=IN IP4 127.0.0.1\r\nt=0 0\r\nm=audio 5004 RTP/AVP 0\r\n",
    ],
    ids=["files", "stream", "network"],
)
def test_a_playlist_opens_no_other_file_and_no_port(
    playlist: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Found by attack: a note that was a list of files was played from the folder that the program runs in.
    (tmp_path / "secret.ogg").write_bytes(encode(tone(1, RATE), RATE))
    monkeypatch.chdir(tmp_path)
    begun = time.monotonic()
    with pytest.raises(SpeechError, match="could not open") as refused:
        decode(playlist.encode())
    # Not even looked into: a network that does not answer would be waited for.
    assert not isinstance(refused.value.__cause__, TimeoutError | PermissionError)
    assert time.monotonic() - begun < 1


@pytest.mark.parametrize(
    ("container", "codec"), [("flac", "flac"), ("mp4", "aac"), ("mp3", "libmp3lame"), ("matroska", "libopus")]
)
def test_what_phones_record_is_read(container: str, codec: str) -> None:
    assert len(decode(sound_file(container, codec))) / RATE == pytest.approx(0.5, abs=0.02)


def test_a_file_that_unpacks_to_much_sound_is_refused_while_it_unpacks() -> None:
    # Silence packs to next to nothing: forty kilobytes are an hour.
    packed = sound_file("flac", "flac", seconds=90, silent=True)
    assert len(packed) < 300_000
    with pytest.raises(SpeechError, match="longer than a minute"):
        decode(packed)


def test_a_file_in_millions_of_crumbs_is_refused_at_once() -> None:
    # Found by attack: one bit in the head of a file made every sample a packet of its own.
    made = sound_file("caf", "pcm_s16le", seconds=15)
    frames_per_packet = made.index(b"lpcm") + 12
    crumbs = made[:frames_per_packet] + b" " + made[frames_per_packet + 1 :]
    begun = time.thread_time()
    with pytest.raises(SpeechError, match="could not open"):
        decode(crumbs)
    assert time.thread_time() - begun < 0.3


def test_a_note_cut_off_anywhere_is_sound_or_a_sentence() -> None:
    whole = voice_note("sixty seven degrees")
    for end in range(0, len(whole), 487):
        with contextlib.suppress(SpeechError):
            assert len(decode(whole[:end])) < 10 * RATE


def test_longer_than_a_minute_is_declined() -> None:
    with pytest.raises(SpeechError, match="longer than a minute"):
        decode(hum(61))


def test_silence_hum_and_hiss_are_not_speech_and_speech_is() -> None:
    hiss = np.random.default_rng(1).standard_normal(3 * RATE).astype(np.float32) * 0.1
    assert speech_in(np.zeros(3 * RATE, np.float32)) is None
    assert speech_in(tone(3, RATE)) is None
    assert speech_in(hiss) is None
    assert speech_in(np.zeros(10, np.float32)) is None
    spoken = decode(voice_note("sixty seven degrees"))
    quiet = np.concatenate([np.zeros(2 * RATE, np.float32), spoken, np.zeros(2 * RATE, np.float32)])
    found = speech_in(quiet)
    assert found is not None
    assert 0.8 < len(found) / RATE < len(spoken) / RATE + 0.6


def test_what_cannot_be_read_aloud_is_said_so() -> None:
    assert readable("see https://example.org <b>67</b>") == "see b 67 /b."
    with pytest.raises(SpeechError):
        voice_note("...")
