"""One batch as the makers of pictures and pages read it: what was measured, when, and what was planned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from zoneinfo import ZoneInfo

from bot.attachments import Diary
from calc.alcohol import alcohol_by_volume, apparent_attenuation
from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from calc.yeast import attenuation_range, temperature_range
from conversations.intents import UnitSystem
from conversations.session.costs import bottle_of
from conversations.session.events import Event
from conversations.session.fermentation import yeast_type
from conversations.session.fold import batch_of
from conversations.session.joined_since import carried_on
from conversations.session.kept import kept
from conversations.session.predictions import Prediction, predict
from conversations.session.state import Batch, Kit, Reading, State
from conversations.short_code import short_code

WORT_STAGES = ("transfer", "pitch")
BEER_STAGES = ("ferment", "bottle", "condition")


class NothingToShow(Exception):
    """There is nothing to make a picture or a page of; the text is a sentence that says what to send first."""


@dataclass(frozen=True)
class Record:
    """A batch with its time zone, units and the events that stand."""

    batch: Batch
    kit: Kit
    currency: str
    units: UnitSystem
    zone: ZoneInfo
    now: datetime
    events: tuple[Event, ...]

    @property
    def code(self) -> str:
        """Short code of the batch."""
        return short_code(self.batch.id)

    def local(self, when: datetime) -> datetime:
        """A time on the person's clock."""
        return when.astimezone(self.zone)

    def readings(self, kind: str, *stages: str) -> list[Reading]:
        """Readings of a kind that stand, in order of time; of these stages only, where any are named."""
        found = [each for each in self.batch.readings if each.kind == kind and (not stages or each.stage in stages)]
        return sorted(found, key=lambda each: each.at)

    @cached_property
    def stage_times(self) -> list[tuple[str, datetime]]:
        """Stages in the order in which they were entered, with the time of each."""
        entered = [(each.data["stage"], self._since(each)) for each in self.events if each.kind == "stage_entered"]
        return [("plan", self.batch.started), *entered]

    @staticmethod
    def _since(entered: Event) -> datetime:
        """When a stage was entered; what was told later counts from when it was done."""
        return datetime.fromisoformat(str(entered.data["since"])) if "since" in entered.data else entered.at

    def entered(self, *stages: str) -> datetime | None:
        """When the batch first came to one of these stages."""
        return next((at for name, at in self.stage_times if name in stages), None)

    @property
    def pitched(self) -> datetime | None:
        """When the yeast went in."""
        return self.entered("ferment")

    @cached_property
    def original_gravity(self) -> Quantity | None:
        """Measured before the yeast went in, as near to it as there is."""
        for stages in (WORT_STAGES, ("chill", "steep", "boil")):
            found = self.readings("gravity", *stages)
            if found:
                return carried_on(self.batch, found[-1])
        return None

    @cached_property
    def fermenting(self) -> list[Reading]:
        """Gravities after pitching."""
        return self.readings("gravity", *BEER_STAGES)

    @property
    def gravity_now(self) -> Quantity | None:
        """The last gravity after pitching."""
        return self.fermenting[-1].best if self.fermenting else None

    @property
    def bottle(self) -> Quantity:
        """The bottle that costs are told for: the batch's own, the kit's, else a usual one."""
        return bottle_of(self.batch, State(kit=self.kit))

    @property
    def costs(self) -> list[tuple[str, Quantity, Decimal]]:
        """What was used with a price: name, amount and money, dearest first."""
        found = [(each.name, each.amount.quantity, Decimal(each.cost)) for each in self.batch.used if each.cost]
        return sorted(found, key=lambda each: -each[2])

    @cached_property
    def strength(self) -> Quantity | None:
        """Alcohol by volume so far, in percent."""
        if self.original_gravity is None or self.gravity_now is None:
            return None
        try:
            return alcohol_by_volume(self.original_gravity, self.gravity_now).to("percent")
        except OutOfRange:
            return None

    @cached_property
    def attenuation(self) -> Quantity | None:
        """Apparent attenuation so far, in percent."""
        if self.original_gravity is None or self.gravity_now is None:
            return None
        try:
            return apparent_attenuation(self.original_gravity, self.gravity_now).to("percent")
        except OutOfRange:
            return None

    @cached_property
    def measured_volume(self) -> Quantity | None:
        """Into the fermenter as measured."""
        for each in reversed(self.readings("volume", *WORT_STAGES) or self.readings("depth", *WORT_STAGES)):
            if each.kind == "volume" or each.corrected is not None:
                return each.best
        return None

    @property
    def volume(self) -> Quantity | None:
        """Into the fermenter as measured, else as wanted."""
        wanted = self.batch.recipe.volume
        return self.measured_volume or (wanted.quantity if wanted else None)

    @cached_property
    def predicted(self) -> Prediction | None:
        """What recipe and kit give; None without grain, or where they give no wort."""
        if not self.batch.recipe.grains:
            return None
        try:
            return predict(self.batch.recipe, self.kit)
        except OutOfRange:
            return None

    @property
    def planned_gravity(self) -> Quantity | None:
        """Original gravity that the recipe gives."""
        return self.predicted.original if self.predicted else None

    @property
    def colour(self) -> Quantity | None:
        """Predicted colour in EBC."""
        return self.predicted.colour if self.predicted else None

    @property
    def bitterness(self) -> float | None:
        """Predicted bitterness in IBU; None without hops."""
        return self.predicted.bitterness if self.predicted and self.batch.recipe.hops else None

    @property
    def dropped(self) -> tuple[Reading, ...]:
        """Readings that a correction replaced."""
        return tuple(each.was for each in self.batch.corrections)

    @property
    def yeast_type(self) -> str:
        """The yeast's type in calc's table."""
        return yeast_type(self.batch.recipe)

    @property
    def yeast_temperatures(self) -> tuple[Quantity, Quantity]:
        """Range of temperature that suits the yeast."""
        found = temperature_range(self.yeast_type)
        return found.low, found.high

    @property
    def usual_attenuation(self) -> tuple[Quantity, Quantity]:
        """What the yeast usually reaches."""
        found = attenuation_range(self.yeast_type)
        return found.low, found.high


def days(since: datetime, at: datetime) -> Quantity:
    """Time between two readings, in days."""
    return quantity((at - since).total_seconds() / 86400, "day")


def record_of(diary: Diary, batch: int | None) -> Record:
    """The record of a batch, of the current one where none is named; raises NothingToShow without one."""
    state = diary.state
    found = batch_of(state, batch if batch is not None else state.current)
    if found is None:
        raise NothingToShow('There is no batch yet. "brew 5 litres of ..." starts one.')
    standing = kept(diary.events())
    return Record(
        batch=found,
        kit=next((kit for kit in (state.kit, *state.kits) if kit.name == found.kit), state.kit),
        currency=state.currency,
        units=state.units,
        zone=ZoneInfo(state.zone),
        now=state.clock or found.stage_since,
        events=tuple(of_batch(standing, found.id)),
    )


def of_batch(events: Iterable[Event], batch: int) -> list[Event]:
    """Events that belong to a batch."""
    return [event for event in events if event.batch == batch]
