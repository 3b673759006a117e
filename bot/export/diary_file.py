"""The JSON file of everything in one chat: its shape, which is documented by its schema, and how it is written."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from bot.attachments import Diary, File
from bot.export.photos_in_file import PhotoFile, gathered, paths_of
from conversations.intents import Measured
from conversations.session.events import Attachment, Event
from conversations.session.state import Batch
from conversations.short_code import short_code

FORMAT: Literal["potside-diary-1"] = "potside-diary-1"


class Entry(BaseModel):
    """What one message, or one reminder that fell due, led to."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    events: tuple[Event, ...] = Field(
        min_length=1,
        description="In order. Each has a kind, a time with its offset, the batch it belongs to, and data of that kind. "
        "What was said stands in events of kind 'heard' and 'note', what was measured in 'reading'. An 'undone' event "
        "takes back everything since the last 'opened' one that still stands.",
    )


class Amount(BaseModel):
    """A number with its pint unit name."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    value: float
    unit: str


class ReadingLine(BaseModel):
    """One measurement; ``corrected`` is after temperature correction, or the volume that a stick depth stands for."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    at: datetime
    stage: str
    kind: str
    value: Amount
    corrected: Amount | None


class IngredientLine(BaseModel):
    """A grain, or a hop with its time in the boil."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    kind: Literal["grain", "hop"]
    name: str
    mass: Amount
    alpha_percent: float | None = None
    boil_minutes: float | None = None
    added_at: datetime | None = None


class TastingLine(BaseModel):
    """A tasting note in the person's own words; the score is out of ten."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    at: datetime
    appearance: str
    aroma: str
    taste: str
    mouthfeel: str
    score: float | None
    faults: tuple[str, ...]
    next_time: str


class BottleLine(BaseModel):
    """So many bottles of one size and kind."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    count: int
    size: Amount
    kind: str


class BatchLine(BaseModel):
    """A batch as it stands after all entries."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    id: int
    code: str = Field(description="Short code, as on the bottles.")
    name: str
    started: datetime
    stage: str
    yeast: str
    volume: Amount | None = Field(description="Wanted in the fermenter.")
    ingredients: tuple[IngredientLine, ...]
    readings: tuple[ReadingLine, ...]
    notes: tuple[str, ...]
    bottles: tuple[BottleLine, ...] = ()
    tastings: tuple[TastingLine, ...] = ()


class DiaryFile(BaseModel):
    """One chat from its first message to its last. Quantities are a value with a pint unit name."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    format: Literal["potside-diary-1"] = Field(description="Name and version of this format.")
    made_at: datetime | None = Field(description="Time of the last message in it.")
    entries: tuple[Entry, ...] = Field(description="The diary, oldest first. Import reads these and nothing else.")
    batches: tuple[BatchLine, ...] = Field(
        default=(),
        description="The batches as they stand after all entries, for programs that do not want to follow the events. "
        "Specific gravity is 20/20 and dimensionless.",
    )
    photos: tuple[PhotoFile, ...] = Field(
        default=(), description="The photos themselves; import lays them where the 'photo' events look for them."
    )
    photos_left_out: tuple[str, ...] = Field(
        default=(), description="Paths of photos that are not in this file: it would be too big, or they are not there any more."
    )


def _amount(measured: Measured | None) -> Amount | None:
    return None if measured is None else Amount(value=measured.value, unit=measured.unit)


def batch_line(batch: Batch) -> BatchLine:
    """A batch for programs that do not know our state."""
    recipe = batch.recipe
    grains = [IngredientLine(kind="grain", name=name, mass=Amount(value=m.value, unit=m.unit)) for name, m in recipe.grains]
    hops = [
        IngredientLine(
            kind="hop",
            name=hop.name,
            mass=Amount(value=hop.mass.value, unit=hop.mass.unit),
            alpha_percent=hop.alpha_percent,
            boil_minutes=hop.boil_minutes,
            added_at=hop.added_at,
        )
        for hop in recipe.hops
    ]
    readings = [
        ReadingLine(
            at=each.at,
            stage=each.stage,
            kind=each.kind,
            value=Amount(value=each.value.value, unit=each.value.unit),
            corrected=_amount(each.corrected),
        )
        for each in batch.readings
    ]
    return BatchLine(
        id=batch.id,
        code=short_code(batch.id),
        name=batch.name,
        started=batch.started,
        stage=batch.stage,
        yeast=recipe.yeast,
        volume=_amount(recipe.volume),
        ingredients=(*grains, *hops),
        readings=tuple(readings),
        notes=batch.notes,
        bottles=tuple(BottleLine(count=each.count, size=Amount(value=each.size.value, unit=each.size.unit), kind=each.type) for each in batch.bottles),
        tastings=tuple(
            TastingLine(
                at=each.at, appearance=each.appearance, aroma=each.aroma, taste=each.taste, mouthfeel=each.mouthfeel,
                score=each.score, faults=each.faults, next_time=each.change,
            )
            for each in batch.tastings
        ),
    )  # fmt: skip


def by_message(events: list[Event]) -> list[list[Event]]:
    """Events in groups, one for each message: every step ends with a 'said' event, or begins with 'heard'.

    Where the store tells which message caused an event, use that instead.
    """
    groups: list[list[Event]] = []
    fresh = True
    for event in events:
        if fresh or event.kind == "heard":
            groups.append([])
        groups[-1].append(event)
        fresh = event.kind == "said"
    return [group for group in groups if group]


def as_json(diary: Diary, with_photos: bool = True) -> bytes:
    """All data of a chat; the photos too, where they do not travel beside it."""
    state, events = diary.state, diary.events()
    inside, left_out = gathered({path: diary.photo(path) for path in paths_of(events)} if with_photos else {})
    made = DiaryFile(
        format=FORMAT,
        made_at=state.clock,
        entries=tuple(Entry(events=tuple(group)) for group in by_message(events)),
        batches=tuple(batch_line(batch) for batch in state.batches),
        photos=inside,
        photos_left_out=left_out,
    )
    return made.model_dump_json(indent=1).encode()


def schema() -> dict[str, Any]:
    """JSON schema of the file."""
    return DiaryFile.model_json_schema()


def data_json(diary: Diary, attachment: Attachment) -> File:
    """Maker of ``data_json``."""
    day = f" {diary.state.clock:%Y-%m-%d}" if diary.state.clock else ""
    return File(f"Potside diary{day}.json", "application/json", as_json(diary))


