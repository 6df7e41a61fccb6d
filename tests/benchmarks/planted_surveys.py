"""Two hundred planted surveys: how many are solved by remedy, refused and why, and that none crashes and nobody is left without a word.

    python tests/benchmarks/planted_surveys.py [FIRST] [LAST]

Aim: of those with one fault within the bounds of the remedy meant for it at least 70 % are solved; none crashes, none is silent, and every reason
gives a number or a way on. Exit code 0 if all of that holds.
"""

from __future__ import annotations

import re
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from planted import FAULTS, LOADED, Outcome, outcome, plant

AIM = 0.70
ANSWERS = ("solved", "otherwise", "refused", "harmless", "silent")
SINGLE = sorted({*FAULTS, *LOADED, "brace"})
SAME = 60
"""Reasons that are alike for so many characters, numbers and names apart, count as one."""


def answered(first: int, last: int) -> tuple[list[Outcome], list[int]]:
    """What came of each survey, and which crashed."""
    found, crashed = [], []
    for number in range(first, last):
        try:
            one = outcome(plant(number))
        except Exception:  # a crash is what is looked for
            crashed.append(number)
            print(f"{number:4d} CRASHED\n{traceback.format_exc()}", flush=True)
            continue
        found.append(one)
        by = f" (by {', '.join(one.made)})" if one.answer == "otherwise" else ""
        beyond = f"; beyond bounds: {one.planted.beyond}" if one.planted.beyond else ""
        words = f"{', '.join(one.planted.meant)}: {one.planted.words}{beyond}{by}"
        print(f"{number:4d} {one.answer:9s} {one.ratio:5.2f} {words}", flush=True)
    return found, crashed


def shares(found: list[Outcome]) -> tuple[int, int]:
    """Prints answers by remedy. Returns of those with one fault within bounds that fail something: how many are solved, and how many there are."""
    solved = asked = 0
    for label in (*SINGLE, "two faults", "beyond bounds"):
        row = Counter(o.answer for o in found if o.label == label)
        of = sum(row.values()) - row["harmless"]
        print(f"{label:13s} {row['solved']:3d} of {of:3d} solved, " + ", ".join(f"{row[a]} {a}" for a in ANSWERS[1:]))
        if label in SINGLE:
            solved, asked = solved + row["solved"], asked + of
    return solved, asked


def reasons(found: list[Outcome]) -> None:
    """Prints every distinct reason, most frequent first: of surveys that were refused, then of those that were solved all the same."""
    for title, answers in (("refused", ("refused",)), ("told where everything passes", ("solved", "otherwise"))):
        alike: dict[tuple[str, str], list[str]] = {}
        for one in found:
            for remedy, reason in one.reasons if one.answer in answers else ():
                alike.setdefault((remedy, re.sub(r"[A-Z]?[\d.,'\"/-]+", "#", reason)[:SAME]), []).append(f"{reason} [survey {one.planted.seed}]")
        print(f"\n{title}, by reason:")
        for (remedy, _), told in sorted(alike.items(), key=lambda kv: (-len(kv[1]), kv[0])):
            print(f"{len(told):3d} x {remedy}: {told[0]}")


def main(first: int, last: int) -> int:
    begun = time.perf_counter()
    found, crashed = answered(first, last)
    print(f"\n{last - first} surveys in {time.perf_counter() - begun:.0f} s, {len(crashed)} crashed {crashed}")
    solved, asked = shares(found)
    print(f"one fault within bounds: {solved} of {asked} solved ({100 * solved / max(asked, 1):.0f} %, aim {100 * AIM:.0f} %)")
    reasons(found)
    wordless = [f"{o.planted.seed}: {text}" for o in found for text in o.wordless]
    silent = [o.planted.seed for o in found if o.answer == "silent"]
    print(f"\nsilent {silent}; reasons with neither a number nor a way on: {len(wordless)}", *wordless, sep="\n")
    return 0 if not crashed and not silent and not wordless and solved >= AIM * asked else 1


if __name__ == "__main__":
    bounds = [int(x) for x in sys.argv[1:3]]
    sys.exit(main(*(bounds if len(bounds) == 2 else (0, 200))))
