"""What stands on the page of one batch, the same for the browser and for paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal

from matplotlib.figure import Figure

from bot.attachments import Diary
from bot.batch_record import NothingToShow, Record, record_of
from bot.export.shrunk_photo import shrunk
from bot.pictures import boil, costs, day, ferment, glass, look, mash
from bot.pictures.card import facts
from calc.units import Quantity
from conversations.intents import UnitSystem
from conversations.session import wording
from conversations.session.stages import stage_now, stages
from conversations.session.state import Reading

_WITH_UNITS: dict[str, Callable[[Quantity, UnitSystem], str]] = {
    "depth": wording.depth,
    "temperature": wording.temperature,
    "volume": wording.volume,
    "mass": wording.mass,
}
MOST_PHOTOS = 24
MOST_SOUND_BYTES = 4_000_000
KINDS = {"depth": "stick"}


@dataclass(frozen=True)
class Picture:
    """A drawn picture with the words that stand for it, by day, and by night where that was asked for."""

    alt: str
    png: bytes
    wide: int
    high: int
    night: bytes = b""


@dataclass(frozen=True)
class Photo:
    """A photo that the person sent, with its caption."""

    alt: str
    media_type: str
    data: bytes


@dataclass(frozen=True)
class Sound:
    """A voice note that the person had kept, with what was heard."""

    said: str
    data: bytes


@dataclass(frozen=True)
class Table:
    """A table with its heading; the cells of a row that was corrected are struck through."""

    title: str
    head: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    struck: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Page:
    """Everything on the page."""

    title: str
    subtitle: str
    code: str
    zone: str
    colour: str
    facts: list[tuple[str, str]]
    tables: list[Table]
    pictures: list[Picture]
    notes: list[tuple[str, str]]
    made: str
    photos: list[Photo] = field(default_factory=list)
    sounds: list[Sound] = field(default_factory=list)
    extra: list[tuple[str, list[str]]] = field(default_factory=list)


def page_of(diary: Diary, batch: int | None, night: bool = False) -> Page:
    """The page of a batch; raises NothingToShow without one."""
    return page_of_record(diary, record_of(diary, batch), night)


def page_of_record(diary: Diary, record: Record, night: bool = False) -> Page:
    """The page of a record, with its pictures for the night too where they are wanted; photos come out of the diary."""
    started = record.local(record.batch.started)
    now = record.local(record.now)
    return Page(
        title=record.batch.name,
        subtitle=f"Begun {_date(started)}; now {stage_now(record.batch.stage)}",
        code=record.code,
        zone=look.zone_name(record.zone),
        colour=glass.on_screen(record.colour) if record.colour is not None else "#c8a24a",
        facts=facts(record),
        tables=[each for each in (_recipe(record), _plan(record), _bottles(record), _costs(record), _readings(record)) if each.rows],
        pictures=pictures(record, night),
        notes=_notes(record),
        photos=_photos(diary, record),
        sounds=_sounds(diary, record),
        extra=_tastings(record),
        made=f"Made by Potside from the diary as of {_date(now)} {now:%H:%M} ({look.zone_name(record.zone)}).",
    )


def _date(at: datetime) -> str:
    return f"{at.day} {at:%B %Y}"


def pictures(record: Record, night: bool = False) -> list[Picture]:
    """Every picture for which there is something to draw, in the palette of the day, and in that of the night too."""
    charts: list[tuple[str, Callable[[Record, look.Theme], Figure]]] = [
        ("Gravity and temperature", ferment.gravity_chart),
        ("Planned and done", day.day_chart),
        ("Mash", mash.mash_chart),
        ("In the glass", glass.colour_chart),
        ("Costs", costs.cost_chart),
        ("Boil", boil.boil_chart),
    ]
    found = []
    for title, chart in charts:
        try:
            # The page bears the batch's name already, so each picture is headed by what it shows.
            headed = replace(record, batch=record.batch.model_copy(update={"name": title}))
            figure = chart(headed, look.DAY)
        except NothingToShow:
            continue
        wide, high = (round(float(inches) * look.DPI) for inches in figure.get_size_inches())
        found.append(Picture(f"{record.batch.name}: {title.lower()}", look.as_png(figure), wide, high, look.as_png(chart(headed, look.NIGHT)) if night else b""))
    return found


def _recipe(record: Record) -> Table:
    recipe, units = record.batch.recipe, record.units
    rows = [(wording.mass(mass.quantity, units), name, "mash") for name, mass in recipe.grains]
    for hop in recipe.hops:
        alpha = f", {hop.alpha_percent:g} % alpha acids" if hop.alpha_percent else ""
        when = f"{hop.boil_minutes:.0f} min before the end" if hop.boil_minutes else "at flame-out"
        rows.append((wording.mass(hop.mass.quantity, units), hop.name + alpha, "left out" if hop.skipped else when))
    if recipe.yeast:
        rows.append(("", recipe.yeast, "fermenter"))
    return Table("What went in", ("amount", "what", "where and when"), rows)


def _plan(record: Record) -> Table:
    units, recipe, rows = record.units, record.batch.recipe, []
    original, planned = record.original_gravity, record.planned_gravity
    if planned is not None or original is not None:
        rows.append(("original gravity", _or_dash(planned, wording.gravity), _or_dash(original, wording.gravity)))
    if recipe.volume is not None:
        done = _or_dash(record.measured_volume, lambda volume: wording.volume(volume, units))
        rows.append(("into the fermenter", wording.volume(recipe.volume.quantity, units), done))
    mashed = record.readings("temperature", "mash")
    if mashed:
        rows.append(
            (
                "mash temperature",
                wording.temperature(recipe.mash_temperature.quantity, units),
                " to ".join(dict.fromkeys(wording.temperature(pick(each.best for each in mashed), units) for pick in (min, max))),
            )
        )
    try:
        _, spans = day.day_spans(record)
    except NothingToShow:
        spans = []
    for span in spans:
        if span.done is not None:
            minutes = span.done[1] - span.done[0]
            took = wording.duration(minutes * 60) if minutes >= 1 else "under 1 min"
            took += " so far" if span.running else ""
            asked = wording.duration((span.planned[1] - span.planned[0]) * 60)
            rows.append((stages()[span.name].title.lower(), asked, took))
    return Table("Planned and done", ("", "planned", "done"), rows)


def _or_dash(value: Quantity | None, show: Callable[[Quantity], str]) -> str:
    return show(value) if value is not None else "–"


def shown(reading: Reading, record: Record) -> tuple[str, str]:
    """A reading as it was sent, and what it was taken for."""
    units = record.units

    def one(kind: str, value: Quantity) -> str:
        if kind == "gravity":
            return wording.gravity(value)
        show = _WITH_UNITS.get(kind)
        return show(value, units) if show else f"{value:~P}"

    raw = one(reading.kind, reading.value.quantity)
    if reading.corrected is None:
        return raw, ""
    right = one("volume" if reading.kind == "depth" else reading.kind, reading.corrected.quantity)
    return raw, "" if right == raw else right


def _bottles(record: Record) -> Table:
    rows = [
        (f"{each.count}", f"{wording.volume(each.size.quantity, record.units)}", each.type.replace("_", " "))
        for each in record.batch.bottles
    ]
    return Table("In the bottle", ("bottles", "size", "kind"), rows)


def _costs(record: Record) -> Table:
    found = record.costs
    rows = [
        (wording.mass(amount, record.units) if amount.check("[mass]") else f"{amount:~P}", name, costs.money(cost, record.currency))
        for name, amount, cost in found
    ]
    if found:
        rows.append(("", "together", costs.money(sum((cost for *_, cost in found), Decimal(0)), record.currency)))
        if each := costs.per_bottle(record):
            price, _, bottle = each.partition(" a ")
            rows.append(("", f"each {bottle}", price))
    return Table("Costs", ("amount", "what", "cost"), rows)


def _tastings(record: Record) -> list[tuple[str, list[str]]]:
    found = []
    for note in record.batch.tastings:
        parts = (("Looks", note.appearance), ("Smells", note.aroma), ("Tastes", note.taste), ("Feels", note.mouthfeel))
        lines = [f"{what}: {words}" for what, words in parts if words]
        if note.faults:
            lines.append("Faults: " + ", ".join(note.faults))
        if note.change:
            lines.append(f"Next time: {note.change}")
        if note.score is not None:
            lines.append(f"Score: {note.score:g} of 10")
        if lines:
            found.append((f"Tasted {_date(record.local(note.at))}", lines))
    return found


def _photos(diary: Diary, record: Record) -> list[Photo]:
    found = []
    for each in record.batch.photos[:MOST_PHOTOS]:
        data = diary.photo(each.path)
        small = shrunk(data) if data is not None else None
        if small is not None:
            at = record.local(each.at)
            found.append(Photo(each.caption or f"Photo of {_date(at)} {at:%H:%M}", "image/jpeg", small))
    return found


def _sounds(diary: Diary, record: Record) -> list[Sound]:
    """The newest kept voice notes, oldest first, as far as the page stays one that a phone opens."""
    found: list[Sound] = []
    left = MOST_SOUND_BYTES
    for each in reversed(record.batch.recordings):
        data = diary.photo(each.path)
        if data is None or not data.startswith(b"OggS"):
            continue
        left -= len(data)
        if left < 0:
            break
        at = record.local(each.at)
        words = f'"{each.text}"' if each.text else "asked about"
        found.append(Sound(f"{_date(at)} {at:%H:%M}: {words}", data))
    return found[::-1]


def _readings(record: Record) -> Table:
    rows: list[tuple[str, ...]] = []
    struck: set[int] = set()
    every = sorted((*record.batch.readings, *record.dropped), key=lambda each: (each.at, each.id))
    gone = {each.id for each in record.dropped}
    for row, each in enumerate(every):
        at = record.local(each.at)
        raw, right = shown(each, record)
        if each.id in gone:
            struck.add(row)
        rows.append(
            (
                f"{at.day} {at:%b} {at:%H:%M}",
                stages()[each.stage].title.lower() if each.stage in stages() else each.stage,
                each.of or KINDS.get(each.kind, each.kind),
                raw,
                "replaced" if each.id in gone else right,
            )
        )
    head: tuple[str, ...] = ("when", "stage", "what", "as sent", "taken as")
    if not any(row[-1] and k not in struck for k, row in enumerate(rows)):
        # Nothing was reckoned with otherwise: what a correction replaced says so beside its number.
        head, rows = head[:-1], [(*row[:-2], f"{row[-2]}, {row[-1]}" if row[-1] else row[-2]) for row in rows]
    return Table("Readings", head, rows, frozenset(struck))


def _notes(record: Record) -> list[tuple[str, str]]:
    found = []
    for each in record.events:
        if each.kind == "note" and each.data.get("text"):
            at = record.local(each.at)
            found.append((f"{at.day} {at:%b} {at:%H:%M}", str(each.data["text"])))
    return found
