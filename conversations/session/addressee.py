"""Which batch a reading is for, where several are on their way."""

from __future__ import annotations

from datetime import timedelta

from conversations.intents import Intent, Measured
from conversations.session import batch_names, plan, wording
from conversations.session.stages import stages
from conversations.session.state import Batch
from conversations.session.turn import Turn

LEAST_OF_EXPECTED = 0.4
"""Share of the expected gravity below which wort on the hob is taken for beer that ferments elsewhere."""
SAME_BATCH_FOR = timedelta(minutes=30)
ANSWERS_FOR = timedelta(hours=12)
"""So long a reading is taken for the answer to a check."""
ON_THE_HOB = ("heat", "mash", "drain", "top_up", "boil", "steep", "chill", "transfer", "pitch")


def find(turn: Turn, intent: Intent, kind: str, value: Measured) -> bool:
    """Turn to the batch that a reading belongs to; False where it is unclear and was asked.

    The batch on the hob comes first; a value that fits only another one goes there; where several could be
    meant the brewer is asked, and the answer holds for half an hour.
    """
    current, now = turn.batch, turn.now
    running = [batch for batch in turn.state.batches if batch.stage != "condition" and not batch.closed]
    others = [batch for batch in running if current is not None and batch.id != current.id]
    if current is None or not others:
        return True
    if turn.state.switched_at is not None and now - turn.state.switched_at < SAME_BATCH_FOR:
        return True
    fits = [batch for batch in running if _fits(batch, kind, value)]
    asked = _asked(turn, kind, fits)
    on_the_hob = current in fits and current.stage in ON_THE_HOB
    if asked is not None and (not on_the_hob or turn.state.expects == f"reading.{kind}"):
        fits = [asked]
    elif on_the_hob or not fits:
        return True
    if len(fits) == 1:
        if fits[0].id != current.id:
            turn.record("switched", batch=fits[0].id)
            turn.say(f"For {batch_names.label(fits[0], turn.state)}:")
        return True
    turn.say(f"{wording.of_kind(kind, value.quantity, turn.state.units)} for which batch?")
    turn.expects = "batch.switch"
    turn.question = {"intent": intent.model_dump(mode="json")}
    turn.offer(*((batch_names.label(batch, turn.state), _switch(turn, batch)) for batch in fits[-4:]))
    return False


def _asked(turn: Turn, kind: str, fits: list[Batch]) -> Batch | None:
    """The batch whose check called for such a reading a short while ago."""
    fired = turn.state.last_fired
    if fired is None or fired.kind != "check" or fired.data.get("asks") != kind:
        return None
    if turn.now - fired.due > ANSWERS_FOR or any(
        each.kind == kind and each.at >= fired.due for batch in fits if batch.id == fired.batch for each in batch.readings
    ):
        return None
    return next((batch for batch in fits if batch.id == fired.batch), None)


def _fits(batch: Batch, kind: str, value: Measured) -> bool:
    """Whether a reading can come from this batch: by its stage, and for gravity by what is known of it."""
    if not plausible(batch.stage, kind, value):
        return False
    if kind != "gravity":
        return True
    points = value.in_unit("dimensionless") - 1
    if batch.stage in ON_THE_HOB:
        if not batch.recipe.grains:
            return True
        expected = float(plan.gravity_at(plan.batch_volume(batch.recipe), batch.recipe).magnitude) - 1
        return points > expected * LEAST_OF_EXPECTED
    last = plan.gravity_now(batch)
    return last is None or points < float(last.magnitude) - 1 + 0.003


def _switch(turn: Turn, batch: Batch) -> str:
    """The message that chooses a batch: its name, or its number where another one has the same name."""
    same = [each for each in turn.state.batches if each.name.lower() == batch.name.lower()]
    return f"switch to {batch.name}" if len(same) == 1 else f"switch to number {batch.id}"


def plausible(stage: str, kind: str, value: Measured) -> bool:
    """Whether the stage's limits in stages.toml allow the value."""
    limits = stages()[stage].plausible.get(kind)
    return limits is None or limits[0] <= value.in_unit(limits[2]) <= limits[1]
