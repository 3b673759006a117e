"""Prints how the understanding does on the labelled corpus: `python -m tests.conversations.report [--brief]`.

What is held out is printed in totals, unless `--read-held-out` retires it.

With `--left-out [PART...]` it prints what the model of likely meanings makes of each author's messages by itself, when it
has learned nothing of that author's. Development is what sentences and model were made with and measures nothing new.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import PARTS, messages
from tests.conversations.judging import ASK, Reader, Verdict, judge


@dataclass(frozen=True)
class Score:
    """The figures of one part of the corpus."""

    verdicts: tuple[Verdict, ...]

    def _sum(self, kind: str) -> Counter[str]:
        total: Counter[str] = Counter()
        for verdict in self.verdicts:
            total.update(getattr(verdict, kind))
        return total

    @property
    def per_intent(self) -> dict[str, tuple[int, float, float]]:
        """Intent name to how often it is labelled, its precision and its recall."""
        right, missed, extra = self._sum("right"), self._sum("missed"), self._sum("extra")
        return {
            name: (
                right[name] + missed[name],
                right[name] / max(1, right[name] + extra[name]),
                right[name] / max(1, right[name] + missed[name]),
            )
            for name in sorted(set(right) | set(missed) | set(extra))
        }

    @property
    def precision(self) -> float:
        """Share of what was read that is labelled; to ask reads nothing, so a needless question counts in recall only."""
        right, extra = self._sum("right"), self._sum("extra")
        del right[ASK], extra[ASK]
        return right.total() / max(1, right.total() + extra.total())

    @property
    def recall(self) -> float:
        """Share of what is labelled that was read."""
        right = self._sum("right").total()
        return right / max(1, right + self._sum("missed").total())

    @property
    def quantities(self) -> tuple[int, int]:
        """How many labelled numbers were read exactly, and how many there are."""
        return sum(v.exact for v in self.verdicts), sum(v.quantities for v in self.verdicts)

    @property
    def exactness(self) -> float:
        """Share of the labelled numbers that were read exactly."""
        exact, there = self.quantities
        return exact / max(1, there)

    @property
    def silently_wrong(self) -> list[Verdict]:
        """Messages of which a number was kept that the label does not have."""
        return [v for v in self.verdicts if v.silent]

    @property
    def recorded(self) -> list[Verdict]:
        """Messages that should record nothing and did."""
        return [v for v in self.verdicts if v.recorded]


def score(part: str, reader: Reader = read) -> Score:
    """Read every message of one part and compare."""
    return Score(tuple(judge(message, reader) for message in messages(part)))


def _line(verdict: Verdict) -> str:
    message, context = verdict.message, verdict.message.context
    around = [context.stage or "-", context.units if context.units != "metric" else "", context.expects or ""]
    if context.last:
        around.append(f"after {context.last.name}")
    wanted = ["ask" if message.ask else ""] + [f"{one.name} {_slots(one.slots)}".strip() for one in message.means or ()]
    got = "; ".join(f"{one.name} {_slots(one.slots)}".strip() for one in verdict.got) or "nothing"
    mark = "SILENT " if verdict.silent else ""
    notes = f"\n      {', '.join(verdict.complaints)}" if verdict.complaints else ""
    return (
        f"  {mark}[{' '.join(x for x in around if x)}] {message.text}\n"
        f"      got:    {got}\n      should: {'; '.join(x for x in wanted if x)}{notes}"
    )


def _slots(slots: Mapping[str, object]) -> str:
    return ", ".join(
        f"{key}={value.value:g} {value.unit}"
        if hasattr(value, "unit") and hasattr(value, "value")
        else f"{key}={value}"
        for key, value in slots.items()
    )


def print_part(part: str, brief: bool) -> None:
    """Print the figures of one part and, unless brief, every miss."""
    found = score(part)
    if not found.verdicts:
        print(f"\n== {part}: no messages at present")
        return
    exact, there = found.quantities
    whole = sum(v.good for v in found.verdicts)
    print(f"\n== {part}: {len(found.verdicts)} messages, {whole} right in everything")
    if there:
        print(f"intents     precision {found.precision:7.2%}   recall {found.recall:7.2%}   (bar 97 %)")
        print(f"quantities  {exact} of {there} exact, {found.exactness:.2%}   (bar 98.5 %)")
    print(f"silently wrong numbers  {len(found.silently_wrong)}   (bar 0)")
    print(f"recorded where nothing should be  {len(found.recorded)}   (bar 0)")
    if brief:
        return
    if part != "negatives":
        print(f"\n{'intent':26}{'labelled':>9}{'precision':>11}{'recall':>9}")
        for name, (count, precision, recall) in found.per_intent.items():
            print(f"{name:26}{count:9}{precision:11.1%}{recall:9.1%}")
    misses = [v for v in found.verdicts if not v.good]
    print(f"\nmisses ({len(misses)}):")
    for verdict in misses:
        print(_line(verdict))


def print_left_out(chosen: list[str]) -> None:
    """Print what the model alone makes of each author's messages when it has learned nothing of that author's."""
    from tests.conversations import left_out  # needs scipy and minutes

    print(
        f"\n{'left out':18}{'messages':>9}{'precision':>11}{'recall':>9}{'quantities':>13}{'silent':>8}{'recorded':>10}"
    )
    every: list[Verdict] = []
    for author in chosen or left_out.authors():
        found = Score(left_out.alone(author))
        every += found.verdicts
        print_left_out_line(author, found)
    print_left_out_line("all", Score(tuple(every)))


def print_left_out_line(author: str, found: Score) -> None:
    """One line of that table."""
    exact, there = found.quantities
    print(
        f"{author:18}{len(found.verdicts):9}{found.precision:11.1%}{found.recall:9.1%}{f'{exact} of {there}':>13}"
        f"{len(found.silently_wrong):8}{len(found.recorded):10}",
        flush=True,
    )


def main() -> None:
    """Print every part, or with ``--left-out`` the model by itself on authors whom it has not seen."""
    if "--left-out" in sys.argv[1:]:
        print_left_out([each for each in sys.argv[1:] if not each.startswith("-")])
        return
    for part in PARTS:
        # Who reads the misses of what is held out retires it.
        print_part(part, "--brief" in sys.argv[1:] or (part == "held_out" and "--read-held-out" not in sys.argv[1:]))


if __name__ == "__main__":
    main()
