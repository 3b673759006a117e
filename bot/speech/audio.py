"""Sound files in and out of memory: anything that a phone records in, voice notes out. Nothing touches the disk."""

from __future__ import annotations

import io

import numpy as np

from bot.speech.port import RATE, Samples, SpeechError

LONGEST_S = 60.0
"""Seconds of sound that are listened to; a longer note is refused, not cut: its end may take back its start."""
LARGEST_BYTES = 2_000_000
_KINDS = "ogg,wav,w64,flac,mp3,aac,mov,matroska,webm,aiff,caf,amr,amrnb,amrwb,au,3gp"
"""Kinds of files that phones record to. The library knows hundreds, playlists among them, which open other files of this
machine, or ports of its network."""
_MOST_CRUMBS = 2000
"""Pieces of less than five milliseconds that a file may come in: no phone makes any, and a million of them take half a
minute to unpack."""
NOTE_RATE = 48_000
"""Sample rate of a voice note, as messengers expect it."""
_NOTE_BITS = 24_000


def decode(data: bytes) -> Samples:
    """The sound in the bytes of a file, mono at 16 kHz; raises SpeechError with a sentence for the person."""
    if not data:
        raise SpeechError("That voice note is empty. Please record it again.")
    if len(data) > LARGEST_BYTES:
        raise SpeechError("That is too large (2 MB at most). Send a shorter note.")
    import av

    resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
    parts: list[np.ndarray] = []
    count = crumbs = 0
    try:
        # Video never reaches a decoder; a stream with no sound is as good as none.
        reach = {"format_whitelist": _KINDS, "protocol_whitelist": "none"}
        with av.open(io.BytesIO(data), mode="r", options=reach) as container:
            if not container.streams.audio:
                raise SpeechError("There is no sound in that file. Please send a voice note.")
            for frame in container.decode(container.streams.audio[0]):
                crumbs += frame.samples < 0.005 * frame.sample_rate
                if crumbs > _MOST_CRUMBS:
                    raise SpeechError("I could not open that as sound. Please record it again.")
                for piece in resampler.resample(frame):
                    parts.append(piece.to_ndarray().reshape(-1))
                    count += parts[-1].size
                # The length in the head of a file may be wrong, so the sound itself is counted.
                if count > LONGEST_S * RATE:
                    raise SpeechError("That is longer than a minute. Please say it in shorter notes.")
            for piece in resampler.resample(None):
                parts.append(piece.to_ndarray().reshape(-1))
    except SpeechError:
        raise
    # PyAV raises errors of many families for damaged files; none of them may end the chat.
    except Exception as fault:
        raise SpeechError("I could not open that as sound. Please record it again.") from fault
    if not parts:
        raise SpeechError("That voice note is empty. Please record it again.")
    return np.concatenate(parts).astype(np.float32) / 32768.0


def encode(sound: Samples, rate: int) -> bytes:
    """A voice note (OGG with Opus, mono, 48 kHz) of the sound."""
    import av

    out = io.BytesIO()
    with av.open(out, mode="w", format="ogg") as container:
        stream = container.add_stream("libopus", rate=NOTE_RATE)
        stream.layout = "mono"
        stream.bit_rate = _NOTE_BITS
        stream.options = {"application": "voip"}
        whole = (np.clip(sound, -1.0, 1.0) * 32767).astype(np.int16).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(whole), format="s16", layout="mono")
        frame.sample_rate = rate
        resampler = av.AudioResampler(format="s16", layout="mono", rate=NOTE_RATE)
        for piece in [*resampler.resample(frame), *resampler.resample(None)]:
            container.mux(stream.encode(piece))
        container.mux(stream.encode(None))
    return out.getvalue()


def as_pcm(sound: Samples) -> bytes:
    """16 bit samples as the engines in C take them."""
    return (np.clip(sound, -1.0, 1.0) * 32767).astype("<i2").tobytes()
