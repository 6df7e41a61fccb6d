"""Two hundred planted surveys: how many are solved, refused and why, and that none crashes.

    python tests/benchmarks/planted_surveys.py [FIRST] [LAST]

Aim: of those with one fault within the bounds of the remedy meant for it at least 70 % are solved; nobody is left without a word.
"""

from __future__ import annotations

import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from planted import FAULTS, LOADED, outcome, plant

AIM = 0.70


def main(first: int, last: int) -> int:
    answers: Counter[tuple[str, str]] = Counter()
    reasons: Counter[str] = Counter()
    crashed = []
    begun = time.perf_counter()
    for number in range(first, last):
        try:
            found = outcome(plant(number))
        except Exception:  # a crash is what is looked for
            crashed.append(number)
            print(f"{number:4d} CRASHED\n{traceback.format_exc()}", flush=True)
            continue
        label = found.planted.meant[0] if len(found.planted.meant) == 1 else "two faults"
        answers[label, found.answer] += 1
        if found.answer == "refused":
            reasons[f"{label}: {found.reason[:110]}"] += 1
        by = f" ({found.reason})" if found.answer == "otherwise" else ""
        print(f"{number:4d} {found.answer:9s} {found.ratio:5.2f} {', '.join(found.planted.meant)}: {found.planted.words}{by}", flush=True)
    print(f"\n{last - first} surveys in {time.perf_counter() - begun:.0f} s, {len(crashed)} crashed {crashed}")
    solved = asked = 0
    for label in (*sorted({*FAULTS, *LOADED}), "two faults"):
        row = {a: answers[label, a] for a in ("solved", "otherwise", "refused", "harmless", "silent")}
        print(f"{label:12s} " + ", ".join(f"{n} {a}" for a, n in row.items()))
        if label != "two faults":
            solved, asked = solved + row["solved"], asked + sum(row.values()) - row["harmless"]
    print(f"one fault: {solved} of {asked} solved ({100 * solved / max(asked, 1):.0f} %, aim {100 * AIM:.0f} %)")
    for reason, count in reasons.most_common():
        print(f"{count:3d} x {reason}")
    return 0 if not crashed and solved >= AIM * asked else 1


if __name__ == "__main__":
    bounds = [int(x) for x in sys.argv[1:3]]
    sys.exit(main(*(bounds if len(bounds) == 2 else (0, 200))))
