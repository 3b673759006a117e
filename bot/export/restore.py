"""The way back in: a JSON file of a diary, read with suspicion, into a chat that has no diary yet."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, NoReturn
from zoneinfo import ZoneInfo

from pint import PintError
from pydantic import ValidationError

from bot.export.diary_file import FORMAT, DiaryFile
from bot.export.photos_in_file import PhotoFile, checked, gathered, paths_of
from calc.density import GRAVITY_HIGH, GRAVITY_LOW
from calc.errors import OutOfRange
from calc.units import magnitude, quantity
from conversations.intents import Measured
from conversations.session.events import Event
from conversations.session.fold import EMPTY, fold
from conversations.session.readings import POSSIBLE
from conversations.session.stages import stages
from conversations.session.state import State

LARGEST_BYTES = 64 * 1024 * 1024
"""Some hundred thousand messages; nobody brews more."""
DEEPEST = 60
YEARS = range(1970, 2201)
"""Outside these a time zone can no longer be reckoned with."""
_UNIT = re.compile(r"[A-Za-z_]{1,30}(?: [/*] [A-Za-z_]{1,30}){0,3}")
"""A unit is a name of pint's, or some with signs between them; a power in it could keep pint at work for ever."""


class CannotRestore(Exception):
    """The file cannot be taken; the text is a sentence that says what is wrong and what a good file looks like."""


def read_file(path: Path) -> DiaryFile:
    """Read and check a file; raises CannotRestore."""
    try:
        if path.is_dir():
            raise CannotRestore(f"{path} is a folder; name the file that 'potside export --as json' wrote.")
        with path.open("rb") as source:
            data = source.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise CannotRestore(f"{path} cannot be read: {(error.strerror or 'unknown').lower()}.") from error
    return _with_photos_beside(read_bytes(data), path.parent / "photos")


def _with_photos_beside(found: DiaryFile, folder: Path) -> DiaryFile:
    """What /export makes holds the photos beside the diary: they are taken from there once it is unpacked."""
    have = {each.path for each in found.photos}
    paths = [path for path in paths_of(event for entry in found.entries for event in entry.events) if path not in have]
    beside = {path: folder / path.rpartition("/")[2] for path in paths}
    try:
        photos = {path: file.read_bytes() for path, file in beside.items() if file.is_file() and file.stat().st_size < LARGEST_BYTES}
    except OSError:
        return found
    inside, _ = gathered(photos, LARGEST_BYTES)
    return found.model_copy(update={"photos": (*found.photos, *inside)})


def photos_of(found: DiaryFile) -> dict[str, bytes]:
    """The photos in a file that was read; raises CannotRestore where they are none."""
    try:
        return checked([each.model_dump() for each in found.photos])
    except ValueError as error:
        raise CannotRestore(f"That diary cannot be taken. {error}") from None


def read_bytes(data: bytes) -> DiaryFile:
    """Check the contents of a file; raises CannotRestore."""
    if data.startswith(b"PK\x03\x04"):
        raise CannotRestore("That is an archive. Unpack it, and import the diary.json in it.")
    if len(data) > LARGEST_BYTES:
        raise CannotRestore(f"That file is larger than {LARGEST_BYTES // 2**20} MB, which no diary is.")
    try:
        found = json.loads(data.decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError:
        raise CannotRestore("That file is no text in UTF-8. A diary is the JSON file of an export.") from None
    except RecursionError:
        raise CannotRestore("That file is nested deeper than any diary.") from None
    except ValueError as error:
        raise CannotRestore(f"That file is no JSON ({_where(error)}). A diary is the JSON file of an export.") from None
    if not isinstance(found, dict) or "format" not in found:
        raise CannotRestore("That is JSON, but not a diary: a diary is the file that 'potside export --as json' wrote.")
    if found["format"] != FORMAT:
        shown = str(found["format"])[:40]
        raise CannotRestore(f"That file has the format {shown!r}; this Potside reads {FORMAT!r}. Update Potside.")
    photos = found.pop("photos", [])
    _look_through(found, 0)
    try:
        checked(photos)
    except ValueError as error:
        raise CannotRestore(f"That diary cannot be taken. {error}") from None
    # Derived from the entries, and made anew from them.
    found.pop("batches", None)
    try:
        return DiaryFile.model_validate({**found, "photos": [PhotoFile(**each) for each in photos]})
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(part) for part in first["loc"])[:80]
        raise CannotRestore(f"That diary is damaged at {place}: {str(first['msg'])[:120].lower()}.") from None


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _where(error: ValueError) -> str:
    return f"line {error.lineno}" if isinstance(error, json.JSONDecodeError) else str(error)[:80]


def _look_through(value: Any, depth: int) -> None:
    """Refuse what could hurt when it is shown or stored: control characters, depth, numbers beyond all measure."""
    if depth > DEEPEST:
        raise CannotRestore("That file is nested deeper than any diary.")
    if isinstance(value, str):
        for letter in value:
            if (ord(letter) < 32 and letter not in "\n\t\r") or 127 <= ord(letter) < 160 or 0xD800 <= ord(letter) < 0xE000:
                raise CannotRestore(f"That file holds a control character (U+{ord(letter):04X}); no diary does.")
    elif isinstance(value, float | int):
        if not -1e15 < value < 1e15:
            raise CannotRestore("That file holds a number beyond all measure.")
    elif isinstance(value, dict):
        if isinstance(unit := value.get("unit", ""), str) and unit and not _UNIT.fullmatch(unit):
            raise CannotRestore("That file holds a unit that is none.")
        for key, inner in value.items():
            _look_through(key, depth + 1)
            _look_through(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            _look_through(inner, depth + 1)


def state_of(diary: DiaryFile) -> State:
    """The state after all entries; raises CannotRestore where the entries make none."""
    state = EMPTY
    for number, entry in enumerate(diary.entries, start=1):
        if not all(map(_usable, (event.at for event in entry.events))):
            raise CannotRestore(f"Message {number} of that diary has a time beyond all measure.")
        try:
            state = fold(state, entry.events)
        # Whatever an event of a strange file holds, the answer is the same sentence.
        except Exception as error:
            raise CannotRestore(
                f"Message {number} of that diary holds something that this Potside does not know ({_kinds(entry.events)})."
            ) from error
    try:
        # Events of settings are taken as they are; here they have to fit.
        settled = State.model_validate_json(state.model_dump_json(warnings=False))
        ZoneInfo(settled.zone)
    except Exception as error:
        raise CannotRestore("The entries of that diary do not make a whole: it was changed or damaged.") from error
    if settled != state or not all(map(_usable, _inside(settled.model_dump()))):
        raise CannotRestore("The entries of that diary do not make a whole: it was changed or damaged.")
    return state


def _inside(value: Any) -> Iterator[Any]:
    """Everything inside a state, itself included."""
    yield value
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else ():
        yield from _inside(inner)


def _usable(value: Any) -> bool:
    """Whether a time can be shown in any zone, a quantity converted, a stage named and a reading be true."""
    if isinstance(value, datetime):
        return value.year in YEARS and value.tzinfo is not None
    if isinstance(value, dict) and isinstance(value.get("unit"), str):
        try:
            quantity(1.0, value["unit"])
        # Whatever pint says of it.
        except Exception:
            return False
    if isinstance(value, dict) and {"stage", "kind", "value", "corrected"} <= set(value):
        return _possible(value)
    if isinstance(value, dict) and {"stage", "recipe"} <= set(value):
        return value["stage"] in stages()
    return True


def _possible(reading: dict[str, Any]) -> bool:
    """Whether a reading lies where a message may put it."""
    if reading["kind"] not in POSSIBLE:
        return True
    low, high, unit = POSSIBLE[reading["kind"]]
    try:
        if reading["kind"] == "gravity" and reading["corrected"] is not None:
            magnitude(Measured.model_validate(reading["corrected"]).quantity, unit, "corrected", GRAVITY_LOW, GRAVITY_HIGH)
        return low <= Measured.model_validate(reading["value"]).in_unit(unit) <= high
    # Out of range, of another dimension, or a unit that is none.
    except (PintError, OutOfRange):
        return False


def _kinds(events: tuple[Event, ...]) -> str:
    return ", ".join(sorted({event.kind[:30] for event in events}))[:120]
