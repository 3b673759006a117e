"""What leads in a line: whether its amounts, its names or its times begin each ingredient."""

from __future__ import annotations

from conversations.recipe.mark import Mark


def lead_of(marks: list[Mark]) -> tuple[str, str]:
    """What begins an entry in this line (mass, name or time), and what its amounts are (mass or share)."""
    marks = _without_its_length(marks)
    masses = [m for m in marks if m.kind == "mass"]
    names = [m for m in marks if m.kind == "name" and m.what != "yeast"] or [
        m for m in marks if m.kind == "name"
    ]
    shares = not masses and bool(names) and names[0].what == "grain"
    amount = "share" if shares else "mass"
    times = [m for m in marks if m.kind in ("time", "when") or (m.kind == "number" and m.what == "time")]
    starts = {"mass": [m for m in marks if m.kind == amount], "name": names, "time": times}
    firsts = {kind: found[0].start for kind, found in starts.items() if found}
    if _masses_lead(marks) or _grains_lead(marks):
        firsts.pop("name", None)
    first = "time" in firsts and firsts["time"] == min(firsts.values())
    behind = bool(masses) and bool(times) and len(times) > len(masses) > 1 and times[-1].start > masses[-1].start
    if first and not behind and (len(times) > 1 or len(masses) <= 1) and not _keyed_first(marks):
        return "time", amount
    firsts.pop("time", None)
    return (min(firsts, key=lambda kind: firsts[kind]) if firsts else "mass"), amount


def _without_its_length(marks: list[Mark]) -> list[Mark]:
    """The marks behind "boil 60 min:" where the line begins with it, for what follows has an order of its own."""
    place = next((i for i, m in enumerate(marks) if m.kind == "time"), None)
    if place is None or not marks or marks[0].kind != "key" or marks[0].what != "boil" or any(m.kind != "word" for m in marks[1:place]):
        return marks
    rest = marks[place + 1 :]
    return rest if any(m.kind == "mass" for m in rest) else marks


def _masses_lead(marks: list[Mark]) -> bool:
    """Whether every mass has its name right behind it: a name in front of the first belongs to the beer."""
    places = [place for place, m in enumerate(marks) if m.kind == "mass"]
    for place in places:
        for mark in marks[place + 1 :]:
            if mark.kind == "name":
                break
            if mark.kind not in ("word", "share") or mark.text.casefold() in ("and", "then", "plus"):
                return False
        else:
            return False
    return bool(places)


def _grains_lead(marks: list[Mark]) -> bool:
    """Whether the grains are told mass first, whatever the hops behind them: a malt in front of the first mass belongs to the beer."""
    hop = next((place for place, m in enumerate(marks) if m.kind == "name" and m.what == "hop"), len(marks))
    masses = [place for place, m in enumerate(marks[:hop]) if m.kind == "mass"]
    for place in masses:
        following = next((m for m in marks[place + 1 : hop] if m.kind != "word" or m.text.casefold() in ("and", "then", "plus")), None)
        if following is None or following.kind != "name" or following.what != "grain":
            return False
    return len(masses) > 1 and hop < len(marks)


def _keyed_first(marks: list[Mark]) -> bool:
    return any(m.kind == "key" and m.what in ("mash", "boil") for m in marks[:2])
