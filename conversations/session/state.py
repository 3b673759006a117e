"""The state of one chat, rebuilt at any time by folding its events."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from calc.units import Quantity
from conversations.intents import Intent, Measured, UnitSystem
from conversations.session.events import Reminder


class Frozen(BaseModel):
    """Base of all state: changed only by copying, so that old states stay valid."""

    model_config = ConfigDict(frozen=True)


class Reading(Frozen):
    """One recorded measurement; ``corrected`` is the value after temperature correction, if any."""

    id: int
    kind: str
    value: Measured
    corrected: Measured | None = None
    stage: str
    at: datetime
    note: str = ""
    who: str = ""
    """Who took it; empty where one person brews alone."""
    of: str = ""
    """What joined the wort, of the kind "extract": dried malt extract where it is empty."""

    @property
    def best(self) -> Quantity:
        """The corrected value where there is one, else the value as read."""
        return (self.corrected or self.value).quantity


class Hop(Frozen):
    """A hop addition of the recipe; ``boil_minutes`` is 0 at flame-out."""

    key: str
    name: str
    mass: Measured
    alpha_percent: float | None = None
    boil_minutes: float = 0.0
    added_at: datetime | None = None
    skipped: bool = False
    first_wort: bool = False
    """Put into the drained wort while it heats; it gets the whole boil."""
    dry_days: float = 0.0
    """Above 0 for a dry hop: how long it stays in the fermenter."""
    dry_on_day: float | None = None
    """Day after pitching on which a dry hop goes in; None for when fermentation has died down."""
    out_at: datetime | None = None


class Rest(Frozen):
    """One temperature of the mash and how long it is held."""

    temperature: Measured
    minutes: float


class Recipe(Frozen):
    """What goes into the batch, as the brewer told it."""

    name: str = ""
    volume: Measured | None = None
    grains: tuple[tuple[str, Measured], ...] = ()
    hops: tuple[Hop, ...] = ()
    yeast: str = ""
    mash_temperature: Measured = Measured(value=67.0, unit="degC")
    mash_minutes: float = 60.0
    """Of the main rest, where there are several."""
    rests: tuple[Rest, ...] = ()
    """All rests of the mash in their order, the main one among them; empty for a mash at one temperature."""
    boil_minutes: float = 60.0
    yeast_type: str = ""
    """A type of calc's table of yeasts; empty where it follows from the name."""
    yeast_mass: Measured | None = None
    """Dry yeast that the recipe names or that is in hand."""
    original_gravity: float | None = None
    """Wanted in the fermenter, where the recipe or the brewer says so."""
    rinse_water: Measured | None = None
    """Water held back from the mash, with which the bag is rinsed into the pot."""
    late_water: Measured | None = None
    """Water that joins after the boil, because the pot cannot boil it all."""
    extras: tuple[str, ...] = ()
    """Other things that the recipe wants, as it words them."""
    also: tuple[tuple[str, Measured | None], ...] = ()
    """The same with their amounts, so that they grow and shrink with the batch; what goes into each bottle does not."""
    warm_day: float | None = None
    """Day after pitching of a warm rest; 0 for none, None as the yeast wants it."""
    warm_to: Measured | None = None
    """How warm then; None as the yeast wants it."""
    cold_days: float | None = None
    """How long the beer rests in the cold before bottling; 0 for not at all, None as usual."""
    efficiency: float | None = None
    """What this mash really gave, once it was measured and the brewer decided how to go on."""


class TapWater(Frozen):
    """What a supplier's report says of the tap water, mg/l; None where it was not told."""

    calcium: float | None = None
    magnesium: float | None = None
    sodium: float | None = None
    chloride: float | None = None
    sulphate: float | None = None
    bicarbonate: float | None = None

    @property
    def known(self) -> bool:
        """Whether anything was told at all."""
        return any(value is not None for value in self.model_dump().values())


class Kit(Frozen):
    """The pot and instruments.

    ``told`` names the fields that the person gave, ``learned`` those that this kitchen's batches gave
    instead; all others are assumed.
    """

    name: str = "kit"
    pot_diameter: Measured = Measured(value=24.0, unit="centimetre")
    marks: tuple[tuple[Measured, Measured], ...] = ()
    pot_mass: Measured = Measured(value=1.5, unit="kilogram")
    pot_material: str = "steel"
    boil_off: Measured = Measured(value=1.5, unit="litre / hour")
    calibration: Measured = Measured(value=20.0, unit="degC")
    grain_temperature: Measured = Measured(value=20.0, unit="degC")
    pot_height: Measured | None = None
    pot_capacity: Measured | None = None
    """Volume to the brim; where it is not told, height and diameter or marks give it (kit.capacity)."""
    hob_power: Measured | None = None
    """Heat that reaches the pot's contents, so that no share of the hob's label has to be guessed again."""
    hob_timed: bool = False
    """Whether a time to the boil showed that, not the label of the hob."""
    fermenter_volume: Measured | None = None
    bag: bool = True
    squeezes: bool = True
    """Whether the bag is squeezed, not only left to drip."""
    thermometer_ice: Measured | None = None
    """What the thermometer showed in stirred ice water."""
    thermometer_boiling: Measured | None = None
    """What the thermometer showed in boiling water at ``altitude`` and ``air_pressure``."""
    thermometer_boiled_at: Measured | None = None
    """Where water boiled when that was checked: the weather changes, the check does not."""
    hydrometer_offset: float = 0.0
    """What the hydrometer shows in plain water less 1."""
    altitude: Measured | None = None
    air_pressure: Measured | None = None
    """As weather reports give it, reduced to sea level."""
    water: TapWater = TapWater()
    bottles: tuple[tuple[int, Measured], ...] = ()
    """How many bottles of which volume are in hand."""
    absorption: Measured | None = None
    """Water that stays in a kilogram of grain as this person drains it, as calc.extract counts it; learned."""
    efficiency: float | None = None
    """Extract in the pot of what the malt holds, learned or told; None leaves the common guess."""
    cooling: Measured = Measured(value=20.0, unit="minute")
    """Time constant of the pot in its cold bath: a third of the difference is left after 1.1 of it."""
    days_to_stable: float | None = None
    """Days from pitching to a gravity that stands still, learned."""
    dead_space: Measured = Measured(value=0.3, unit="litre")
    """Wort that stays in the pot with the trub."""
    told: tuple[str, ...] = ()
    learned: tuple[str, ...] = ()


class Bottles(Frozen):
    """So many bottles of one size; ``type`` is a name of calc's table of bottles."""

    count: int
    size: Measured
    type: str = "standard"


class Priming(Frozen):
    """The sugar that goes into the bottles; ``volumes`` of CO2 are wanted in all."""

    sugar: str = "sucrose"
    volumes: float = 2.4
    warmest: Measured | None = None
    """Warmest since fermentation died down, where the person said it."""


class Tasting(Frozen):
    """One tasting note; the parts are the person's own words."""

    id: int
    at: datetime
    appearance: str = ""
    aroma: str = ""
    taste: str = ""
    mouthfeel: str = ""
    score: float | None = None
    """Out of ten."""
    change: str = ""
    faults: tuple[str, ...] = ()


class Correction(Frozen):
    """A reading that a newer one stands in for; ``by`` is the newer one's number."""

    was: Reading
    by: int | None = None


class StockItem(Frozen):
    """Something bought for brewing, and what is left of it; ``price`` is a decimal number for all of ``bought``."""

    key: str
    kind: str = "other"
    """grain, hop, yeast, sugar or other."""
    name: str
    bought: Measured
    left: Measured
    price: str | None = None
    bought_on: date
    packed: date | None = None
    opened: date | None = None
    best_before: date | None = None
    alpha_percent: float | None = None
    one: Measured | None = None
    """What one sachet of it holds, where it was bought by the sachet."""


class Used(Frozen):
    """A part of the stock, or of what was bought for it, that went into a batch."""

    item: str
    name: str
    amount: Measured
    cost: str | None = None
    """A decimal number; None where no price was told."""


class Photo(Frozen):
    """A picture that the person sent; ``path`` lies below the folder of made files."""

    path: str
    at: datetime
    caption: str = ""


class Recording(Frozen):
    """A voice note whose sound the person wanted kept; ``path`` lies below the folder of made files."""

    path: str
    at: datetime
    text: str = ""
    """What was heard; empty where that had to be asked."""


class Batch(Frozen):
    """One brew from plan to glass."""

    id: int
    name: str
    recipe: Recipe = Recipe()
    kit: str = "kit"
    """Name of the kit that it is brewed with."""
    squeezed: bool | None = None
    """Whether the bag was squeezed; None leaves what the kit says."""
    mash_water: Measured | None = None
    """Water that the mash began with, cold: as measured, else as planned then."""
    stage: str = "plan"
    stage_since: datetime
    started: datetime
    planned_start: datetime | None = None
    """When the person means to begin the day."""
    paused_at: datetime | None = None
    boil_started: datetime | None = None
    readings: tuple[Reading, ...] = ()
    used: tuple[Used, ...] = ()
    cautions_shown: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    notes_at: tuple[datetime, ...] = ()
    expected_original: float | None = None
    """Original gravity that recipe and kit gave when the yeast went in; later learning does not change it."""
    entered: dict[str, datetime] = {}
    """When each stage began; going back forgets the stages after it."""
    corrections: tuple[Correction, ...] = ()
    bottles: tuple[Bottles, ...] = ()
    gone: tuple[Bottles, ...] = ()
    """Of those the ones that are told as drunk or given away."""
    bottle_type: str | None = None
    yeast_pitched: Measured | None = None
    """Dry yeast that went in, where it was told."""
    priming: Priming = Priming()
    risk_accepted: str = ""
    """The sentence with which the person had unfinished beer bottled; empty where that did not happen."""
    tastings: tuple[Tasting, ...] = ()
    closed: bool = False
    """Drunk up, given away or poured out: nothing is asked about it any more."""
    photos: tuple[Photo, ...] = ()
    recordings: tuple[Recording, ...] = ()


class Timer(Frozen):
    """A kitchen timer; running while ``ends`` is set, paused while ``left_s`` is."""

    key: str
    name: str = ""
    duration_s: float
    ends: datetime | None = None
    left_s: float | None = None


class Awaited(Frozen):
    """A reminder that counts from something which has not happened yet, such as "3 days after pitching"."""

    key: str
    batch: int
    event: str
    seconds: float
    text: str
    every_s: float = 0.0


class State(Frozen):
    """Everything one chat needs to answer the next message."""

    zone: str = "UTC"
    units: UnitSystem = "metric"
    currency: str = "EUR"
    """ISO 4217 code of what money is counted in."""
    currency_told: bool = False
    """Whether the person said so, or a price came with its sign."""
    quiet_from: str = "22:00"
    quiet_to: str = "07:00"
    """Local wall times between which nothing that can wait is said."""
    told: tuple[str, ...] = ()
    """Which of the settings the person gave; the others are assumed."""
    kit: Kit = Kit()
    kits: tuple[Kit, ...] = ()
    """The person's other kits; ``kit`` is the one in use."""
    batches: tuple[Batch, ...] = ()
    current: int | None = None
    switched_at: datetime | None = None
    """When the person last said which batch is meant."""
    stock: tuple[StockItem, ...] = ()
    timers: tuple[Timer, ...] = ()
    reminders: dict[str, Reminder] = {}
    awaited: tuple[Awaited, ...] = ()
    hours: int = 24
    """Whether times of day are shown on a clock of 24 or of 12 hours."""
    next_id: int = 1
    expects: str | None = None
    question: dict[str, Any] | None = None
    """A question of ours that is still open, with what it would record on a yes."""
    last: Intent | None = None
    understood: str = ""
    """How the last message was read, for "what did you understand?"."""
    why: str = ""
    """The working behind the last answer, for "why?"."""
    about: str = ""
    """What "is that normal?" is answered with: of a smell or a look that was told last, empty where it was a reading."""
    notes: tuple[str, ...] = ()
    """Notes taken while there was no batch."""
    last_fired: Reminder | None = None
    """The reminder that came last, for "later" and "done"."""
    undo: tuple[tuple[str, State], ...] = ()
    """What each of the last recording messages was about, and the state before it."""
    check_at: str = "20:00"
    """Local hour of the checks over the weeks, HH:MM."""
    speech: Literal["off", "reminders", "all"] = "off"
    """What is answered aloud."""
    gravity_said: Literal["pairs", "digits"] = "pairs"
    """Whether 1.057 is read aloud as ten fifty-seven or as one point oh five seven."""
    keeps_recordings: bool = False
    """Whether the sound of a voice note stays with the batch; else it is dropped once the words are there."""
    nudges: bool = True
    """Whether to speak up when something waits too long."""
    nudged_at: datetime | None = None
    clock: datetime | None = None
    """Latest time seen, to notice a clock that was set back."""
