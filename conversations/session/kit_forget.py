"""What was told of the kit is taken back, and "forget everything" is asked back."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session.state import Kit
from conversations.session.turn import Handlers, Turn


def forget(turn: Turn, intent: Intent) -> None:
    """ "forget the pot height": the usual value, or none, holds again for the kit in use."""
    old, called = turn.state.kit, str(intent.slots["called"])
    fields = [field for field in str(intent.slots["fields"]).split() if field in old.told or field in old.learned]
    if not fields:
        turn.say(f"{called[0].upper()}{called[1:]}: nothing was told, so nothing is changed.")
        return
    usual = {field: getattr(Kit(), field) for field in fields}
    if "hob_power" in fields and "boil_off" not in (*old.told, *old.learned):
        usual["boil_off"] = Kit().boil_off
    left = {
        "told": tuple(field for field in old.told if field not in fields),
        "learned": tuple(field for field in old.learned if field not in fields),
    }
    new = old.model_copy(update={**usual, **left})
    turn.record("kit_told", label=f"{called} forgotten", kit=new.model_dump(mode="json"))
    turn.say(f'{called[0].upper()}{called[1:]}: forgotten, the usual guess holds again. "my kit" shows it.')
    turn.offer(("undo", "undo"))


def everything(turn: Turn, intent: Intent) -> None:
    """ "forget everything": a message, the clocks, the reminders, the batch or all of it: nothing is done before it is said."""
    turn.say("Forget what? Nothing is changed yet.")
    ways = [("the last message", "undo")] if turn.state.undo else []
    ways += [("all timers", "cancel all timers")] if turn.state.timers else []
    if any(each.kind == "reminder" for each in turn.state.reminders.values()):
        ways.append(("my reminders", "cancel all reminders"))
    if turn.batch is not None:
        ways.append((f"the batch {turn.batch.name}", "delete this batch"))
    ways.append(("all my data", "erase my data"))
    turn.say("; ".join(f'{label}: "{said}"' for label, said in ways) + ".")
    turn.offer(*ways)


HANDLERS: Handlers = {"kit.forget": forget, "unclear.forget": everything}
