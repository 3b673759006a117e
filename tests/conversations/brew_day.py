"""An invented brown ale for the tests of the brew day, brought to the stage that a test needs."""

from __future__ import annotations

from datetime import timedelta

from tests.conversations.weeks import Chat

PLANNED = ("brew 8 litres of brown ale", "1.6 kg pale malt", "150 g brown malt", "12 g Fuggle 5% at 60", "8 g Goldings 5% at 10", "mash at 67")


def at_stage(stage: str) -> Chat:
    """The brown ale at plan, heat, mash, drain, boil (the clock runs, no hops yet), steep, chill, transfer, pitch, ferment
    (ten days on), bottle (gravity steady, bottles counted) or condition (two weeks on).
    """
    chat = Chat()
    chat.says(*PLANNED)
    if stage == "plan":
        return chat
    chat.says("next", "next")
    if stage == "heat":
        return chat
    chat.says("grain is in")
    if stage == "mash":
        return chat
    minutes(chat, 60)
    chat.says("bag out")
    if stage == "drain":
        return chat
    chat.says("next", "10 l", "it's boiling")
    if stage == "boil":
        return chat
    chat.says("hops in")
    minutes(chat, 60)
    chat.says("flame out")
    return chat if stage == "steep" else _behind_steep(chat, stage)


def _behind_steep(chat: Chat, stage: str) -> Chat:
    for name, said, days in (
        ("chill", ("next",), 0.0),
        ("transfer", ("chilled",), 0.02),
        ("pitch", ("7.6 l", "gravity 1.045", "transferred"), 0.01),
        ("ferment", ("yeast is in",), 10.0),
        ("bottle", ("gravity 1.011",), 3.0),
        ("bottle", ("gravity 1.011", "next", "14 500 ml bottles"), 0.0),
        ("condition", ("bottled",), 14.0),
    ):
        chat.says(*said)
        chat.waits(days)
        if name == stage == chat.batch.stage:
            return chat
    raise ValueError(stage)


def minutes(chat: Chat, count: float) -> list[str]:
    """Let so many minutes pass, and hear what falls due."""
    return chat.waits(count / 1440)


def recorded(chat: Chat, text: str) -> bool:
    """Whether a message changes anything of what is kept; tried on a copy."""
    other = Chat(chat.now)
    other.state = chat.state
    before = (other.state.batches, other.state.kit, other.state.stock, other.state.timers)
    other.says(text)
    return (other.state.batches, other.state.kit, other.state.stock, other.state.timers) != before


def grain(chat: Chat) -> dict[str, float]:
    """The grist in grams."""
    return {name: mass.in_unit("gram") for name, mass in chat.batch.recipe.grains}


def clock(chat: Chat, gone: float = 0.0) -> str:
    """The time of day so many minutes ago, as it is shown."""
    return (chat.now - timedelta(minutes=gone)).strftime("%H:%M")
