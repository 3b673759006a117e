"""What the diary holds: one record per thing that happened. State is a fold over these, in order."""

from __future__ import annotations

from datetime import datetime, timezone
from typing import Any
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, field_validator


class Event(BaseModel):
    """One line of the diary; never changed and never deleted by an undo.

    ``kind`` is one of the names that :mod:`conversations.session.fold` knows; ``data`` is plain JSON.
    """

    model_config = ConfigDict(frozen=True)
    kind: str
    at: datetime
    batch: int | None = None
    data: dict[str, Any] = {}

    @field_validator("at")
    @classmethod
    def _with_its_offset(cls, at: datetime) -> datetime:
        """The same moment with the offset that held then, as it is read back from the diary.

        Two times of one named zone are subtracted as wall times in Python, an hour wrong across a change of the clocks.
        """
        offset = at.utcoffset() if isinstance(at.tzinfo, ZoneInfo) else None
        return at if offset is None else at.replace(tzinfo=timezone(offset))


class Reminder(BaseModel):
    """Something that falls due: ``due`` is in UTC; ``key`` is unique within the chat while it is pending."""

    model_config = ConfigDict(frozen=True)
    key: str
    due: datetime
    text: str
    batch: int | None = None
    kind: str = "reminder"
    """timer, reminder, stage (belongs to a stage of the day), hop, check (days after brewing)."""
    name: str = ""
    data: dict[str, Any] = {}


class Choice(BaseModel):
    """A quick reply: the label on the button and the message that pressing it stands for."""

    model_config = ConfigDict(frozen=True)
    label: str
    says: str


class Attachment(BaseModel):
    """Something that the shell makes from the diary and sends along: a picture, a page, a table, found lines.

    ``kind`` is a name that ``bot/attachments.py`` knows; ``alt`` says in words what it shows and is its caption.
    """

    model_config = ConfigDict(frozen=True)
    kind: str
    alt: str
    batch: int | None = None
    options: dict[str, Any] = {}


class Reply(BaseModel):
    """One message to the person: at most three short lines, its spoken form, likely answers, what goes along."""

    model_config = ConfigDict(frozen=True)
    text: str
    spoken: str = ""
    choices: tuple[Choice, ...] = ()
    attachments: tuple[Attachment, ...] = ()


class Heard(BaseModel):
    """A message from the person, typed, pressed or transcribed."""

    model_config = ConfigDict(frozen=True)
    text: str
    who: str = "me"
    photo: str = ""
    """Path of a picture that came along, below the folder of made files; the text is its caption."""
    corrects: tuple[int, ...] = ()
    """Numbers of the readings that the earlier version of an edited message recorded."""
    takes_back: bool = False
    """Whether the earlier version of an edited message is what an undo would take back now."""
    spoken: bool = False
    """Whether it came by voice: what was understood is then said back before anything else."""
    perhaps: tuple[str, ...] = ()
    """What a voice note may have said, where that is to be asked; the text is empty then."""
    complaint: str = ""
    """Why a voice note could not be used, as a sentence for the person."""
    recording: str = ""
    """Path of the sound of a voice note, below the folder of made files, where the person has such kept."""

    @property
    def made_out(self) -> bool:
        """Whether anything was heard in a voice note, surely or perhaps: no other sound is kept."""
        return bool(self.text or self.perhaps)


class Due(BaseModel):
    """A reminder of this chat whose time has come."""

    model_config = ConfigDict(frozen=True)
    key: str
    also: tuple[str, ...] = ()
    """Others of this chat that were missed together with it."""
