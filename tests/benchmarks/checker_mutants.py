"""The whole mutation suite of the checker: python tests/benchmarks/checker_mutants.py [COUNT [SEED]]

At least 2,000 single faults over the splices of all samples and the hand-made variants; prints the confusion table; exit code 1 if anything is
missed, accused beside the fault or accused wrongly.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "mutants")]


def sample_details(folder: Path) -> list[object]:
    from detailgen import pipeline

    found: list[object] = []
    for sample in sorted(p.parent for p in (Path(pipeline.__file__).parent / "samples").glob("*/project.yaml")):
        found += pipeline.package(sample, folder / sample.name, beside=False).package.details
    return [d for d in found if d.remedy == "splice"]


def main() -> int:
    from confusion import lines, run, variants

    count, seed = (int(v) for v in (*sys.argv[1:], *("2100", "20260504")[len(sys.argv) - 1 :]))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        details = [*variants(), *sample_details(folder)]
        start = time.process_time()
        table, wrong = run(details, random.Random(seed), count, folder)
        print(f"{count} mutants of {len(details)} details, seed {seed}, {time.process_time() - start:.0f} s of CPU time")
        print("\n".join(lines(table)))
        for group, kind, delta, where, verdict, _, found in wrong:
            print(f"{verdict}: {group} {kind} by {delta:.5f} in {', '.join(where)}", *found[:6], sep="\n    ")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
