"""What the tables of an export hold: each column with its meaning, as `columns.csv` in the export tells it too."""

from __future__ import annotations

_BATCH = (("batch", "number of the batch, the same in every table"), ("name", "name of the batch"))
_AMOUNT = (("amount", "how much"), ("unit", "unit of the amount"))

UNIT_WORDS = {"dimensionless": "SG", "degC": "°C", "degF": "°F"}
"""Names of units that a person would not read; SG is specific gravity 20/20."""

COLUMNS: dict[str, tuple[tuple[str, str], ...]] = {
    "batches.csv": (
        *_BATCH,
        ("code", "short code, as on the bottles"),
        ("begun", "when the batch was begun"),
        ("now", "where the batch is now"),
        ("since", "since when it is there"),
        ("bottled", "when it was bottled; empty where it was not"),
        ("yeast", "the yeast of the recipe"),
        ("wanted", "volume that the recipe wants in the fermenter"),
        ("unit", "unit of that volume"),
        ("original gravity", "last gravity before the yeast went in, corrected for temperature (SG)"),
        ("last gravity", "last gravity after the yeast went in, corrected for temperature (SG)"),
        ("bottles", "how many were filled"),
        ("score", "last score of a tasting, out of ten"),
    ),
    "malts.csv": (*_BATCH, ("malt", "malt, grain or other fermentable"), *_AMOUNT),
    "hops.csv": (
        *_BATCH,
        ("hop", "variety"),
        *_AMOUNT,
        ("alpha acids", "percent"),
        ("minutes", "minutes before the end of the boil, as planned"),
        ("went in", "when it really went in"),
        ("remark", "left out, first wort, or dry hops with their days"),
    ),
    "readings.csv": (
        *_BATCH,
        ("time", "when it was measured"),
        ("stage", "where the batch was then"),
        ("what", "gravity, temperature, volume, mass, or the depth on the stick"),
        ("as sent", "the number as it was sent"),
        ("unit", "its unit; SG is specific gravity 20/20"),
        ("taken as", "the number as it was reckoned with: a gravity corrected for temperature, a stick depth as volume; empty where it is the same"),
        ("unit of that", "unit of the number before"),
        ("remark", "how it was taken"),
        ("replaced", "says so where a correction took its place; such a row counts no more"),
        ("who", "who sent it, where several people brew"),
    ),
    "bottles.csv": (*_BATCH, ("bottles", "how many"), ("size", "contents of one"), ("unit", "unit of the size"), ("kind", "kind of bottle")),
    "tastings.csv": (
        *_BATCH,
        ("time", "when it was tasted"),
        ("look", "what was said of the look"),
        ("smell", "what was said of the smell"),
        ("taste", "what was said of the taste, or all of a note that was sent in one go"),
        ("feel", "what was said of body and fizz"),
        ("score", "out of ten"),
        ("faults", "faults that were heard in the words"),
        ("next time", "what is to be changed"),
    ),
    "costs.csv": (
        *_BATCH,
        ("what", "what went in"),
        *_AMOUNT,
        ("cost", "share of what was paid for it; empty where no price was told"),
        ("currency", "currency of the cost"),
    ),
    "stock.csv": (
        ("kind", "grain, hop, yeast, sugar or other"),
        ("what", "name"),
        ("bought", "how much was bought"),
        ("unit", "unit of that"),
        ("left", "how much is left"),
        ("unit left", "unit of that"),
        ("price", "paid for all that was bought"),
        ("currency", "currency of the price"),
        ("bought on", "day"),
        ("opened", "day"),
        ("best before", "day"),
    ),
    "photos.csv": (*_BATCH, ("time", "when it was sent"), ("caption", "words sent with it"), ("file", "name of the file in the photos")),
    "reminders.csv": (("due", "when it speaks up"), *_BATCH, ("text", "what it says")),
    "notes.csv": (("time", "when it was noted"), *_BATCH, ("text", "the note")),
    "messages.csv": (("time", "when it was sent"), ("who", "who sent it"), ("text", "everything as it was sent")),
    "log.csv": (
        ("time", "when it happened"),
        ("what", "kind of entry"),
        ("batch", "number of the batch"),
        ("details", "for programs: JSON, as docs/export-schema.json describes it"),
    ),
}
