"""What the net is trained to hear: sentences of the language data, prose of the project, and loose words, with phones.

    python benchmarks/phone_net/texts.py FOLDER     (writes FOLDER/texts.json)
"""

from __future__ import annotations

import json
import random
import re
import sys
from pathlib import Path

import pocketsphinx

from bot.speech.dictionary import sounds
from bot.speech.port import Situation
from bot.speech.what_is_said import drawn

STAGES = (
    None, "plan", "prepare", "heat", "mash", "drain", "boil", "chill", "pitch", "ferment", "bottle", "condition", "taste", "done",
)  # fmt: skip
OF_A_STAGE, PROSE, LOOSE = 2600, 9000, 6000


def said(draw: random.Random) -> list[str]:
    """Sentences of every stage, metric and imperial."""
    found: set[str] = set()
    for stage in STAGES:
        for units in ("metric", "imperial"):
            some = sorted(set(drawn(Situation(stage, units), 6000)))
            found |= set(draw.sample(some, min(len(some), OF_A_STAGE)))
    return sorted(found)


def prose(draw: random.Random) -> list[str]:
    """Rows of up to nine words of anything that is written here: other words, and other words side by side."""
    found: list[str] = []
    for path in [*Path("conversations").rglob("*.toml"), Path("README.md"), *Path("docs").glob("*.md")]:
        for sentence in re.split(r"[.;:!?\n\"]", path.read_text(encoding="utf-8")):
            words = re.findall(r"[a-z']+", sentence.lower())
            found += [" ".join(words[at : at + 9]) for at in range(0, len(words), 9) if len(words[at : at + 9]) >= 3]
    found = list(dict.fromkeys(found))
    draw.shuffle(found)
    return found[:PROSE]


def main() -> None:
    draw = random.Random(7)
    sentences = said(draw)
    words = sorted({word for line in sentences for word in line.split()})
    texts = [(kind, line) for kind, lines in (("said", sentences), ("prose", prose(draw))) for line in lines]
    texts += [("loose", " ".join(draw.choices(words, k=draw.randint(1, 5)))) for _ in range(LOOSE)]
    dictionary = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    found = sounds({word for _, line in texts for word in line.split()}, dictionary)
    rows = [
        (kind, line, " ".join(found[word][0] for word in line.split()))
        for kind, line in texts
        if len(line) < 110 and all(word in found for word in line.split())
    ]
    draw.shuffle(rows)
    phones = sorted({phone for _, _, row in rows for phone in row.split()})
    (Path(sys.argv[1]) / "texts.json").write_text(json.dumps({"phones": phones, "texts": rows}), encoding="utf-8")
    print(f"{len(rows)} texts, {len(phones)} phones")


if __name__ == "__main__":
    main()
