"""How fast the standards answer in bulk: python tests/benchmarks/standards_reach.py

100,000 bolt capacities (yield modes with bearing at an angle, group action, geometry, adjustment) and 25,000 plates, each in one call; the best of
several runs, in processor time. Exit code 1 if they take 50 ms or 15 ms.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.append(str(Path(__file__).parents[1] / "standards"))
LIMITS = {"test_a_hundred_thousand_bolt_capacities_in_one_call": 0.050, "test_25000_plates_in_a_search": 0.015}


def best(work: Callable[[], None], rounds: int = 9) -> float:
    took = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return min(took)


def main() -> int:
    import test_aisc360_16_plates
    import test_nds_properties

    wrong = 0
    for name, limit in LIMITS.items():
        work = getattr(test_nds_properties, name, None) or getattr(test_aisc360_16_plates, name)
        seconds = best(work)
        wrong |= seconds >= limit
        print(f"{name[5:].replace('_', ' ')}: {1000 * seconds:.1f} ms, allowed under {1000 * limit:.0f} ms")
    return wrong


if __name__ == "__main__":
    sys.exit(main())
