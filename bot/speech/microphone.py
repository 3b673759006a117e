"""Push to talk in the terminal chat, where the optional extra potside[microphone] and a microphone are there.

The sound stays in memory, is heard like any voice note and dropped.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from bot.speech.audio import LONGEST_S, encode
from bot.speech.port import RATE, Samples, SpeechError


class Microphone:
    """One recording at a time, from :meth:`start` to :meth:`stop`."""

    def __init__(self) -> None:
        """Open nothing yet."""
        self._pieces: list[Samples] = []
        self._stream: Any = None

    @property
    def open(self) -> bool:
        """Whether it records."""
        return self._stream is not None

    def start(self) -> None:
        """Begin to record; raises SpeechError with a sentence where that cannot be."""
        try:
            import sounddevice
        except (ImportError, OSError) as fault:
            # The library is there and the system's PortAudio is not: an OSError.
            raise SpeechError(
                'No microphone to be had: pip install "potside[microphone]", and on Linux PortAudio (libportaudio2).'
            ) from fault
        self._pieces = []
        try:
            stream = sounddevice.InputStream(samplerate=RATE, channels=1, dtype="float32", callback=self._take)
            stream.start()
        except sounddevice.PortAudioError as fault:
            raise SpeechError("The microphone could not be opened; is one plugged in, and free?") from fault
        self._stream = stream

    def stop(self) -> bytes:
        """End the recording and give it as a voice note."""
        stream, self._stream = self._stream, None
        if stream is None:
            raise SpeechError("Nothing is being recorded.")
        stream.stop()
        stream.close()
        if not self._pieces:
            raise SpeechError("The microphone gave no sound.")
        sound, self._pieces = np.concatenate(self._pieces), []
        return encode(sound, RATE)

    def _take(self, sound: Samples, frames: int, time: object, status: object) -> None:
        # A second more than is listened to: it is declined as too long, not cut.
        if sum(map(len, self._pieces)) < (LONGEST_S + 1) * RATE:
            self._pieces.append(np.array(sound[:, 0], np.float32))
