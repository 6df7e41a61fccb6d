"""Fifty trusses of one project, decided with stages and sensitivity, by one process and by two: throughput, memory, same answers.

    python tests/benchmarks/many_trusses.py [COUNT] [ROUNDS]

Aim: two cores at least 1.7 times the throughput of one, memory of the processes flat. Runs with one and with two processes alternate, so that
what else the machine does meets both. On a busy machine the wall clock says little: processor time tells what the second process costs more,
and two cores of which nobody takes anything can do at best twice the work divided by that.
"""

from __future__ import annotations

import hashlib
import json
import os
import resource
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

AIM = 1.7


def rss() -> float:
    """What this process holds now, MB."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def one_run(processes: int, count: int) -> None:
    """In a process of its own: decide ``count`` trusses, print what it took."""
    from sample_trusses import SHORT_END, US_SAMPLE, project

    from detailgen import pipeline

    job, other = project(US_SAMPLE), project(SHORT_END)
    base = [t for t in (*job.trusses, *other.trusses) if t.forces is None]
    trusses = tuple(
        replace(t, mark=f"{t.mark}-{k}", tributary_width=t.tributary_width * (1 - 0.002 * (k % 7)))
        for k in range(count)
        for t in [base[k % len(base)]]
    )
    many = replace(job, trusses=trusses, access=None)
    held: list[float] = []
    found = hashlib.sha256()
    begun, before = time.perf_counter(), time.process_time()

    def told(one: object) -> None:
        held.append(rss())
        found.update(repr([(i.key, i.parameters) for i in one.interventions]).encode())  # type: ignore[attr-defined]
        found.update(repr(one.after.worst and one.after.worst[1].ratio).encode())  # type: ignore[attr-defined]

    pipeline.decide(many, (), {}, jobs=processes, progress=lambda _: None, done=told, how=pipeline.repaired_in_full)
    wall, own = time.perf_counter() - begun, time.process_time() - before
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(json.dumps({
        "wall": wall, "own": own, "cpu": own + spent.ru_utime + spent.ru_stime, "first": held[0], "last": held[-1], "child": spent.ru_maxrss / 1e3,
        "found": found.hexdigest(),
    }))  # fmt: skip


def run(processes: int, count: int) -> dict[str, float]:
    done = subprocess.run([sys.executable, __file__, "--one", str(processes), str(count)], check=True, capture_output=True, text=True)
    answer: dict[str, float] = json.loads(done.stdout)
    print(
        f"  {processes} process{'es' if processes > 1 else '  '}: {answer['wall']:6.1f} s wall, {answer['cpu']:6.1f} s processor "
        f"({answer['own']:.1f} of it where all comes together), holds {answer['first']:.0f} MB after the first truss and {answer['last']:.0f} MB "
        f"after the last" + (f", each worker at most {answer['child']:.0f} MB" if processes > 1 else "")
        + f"; load {os.getloadavg()[0]:.1f}", flush=True,
    )  # fmt: skip
    return answer


def main(count: int, rounds: int) -> int:
    print(f"{count} trusses, {rounds} rounds, {len(os.sched_getaffinity(0))} cores")
    one: list[dict[str, float]] = []
    two: list[dict[str, float]] = []
    for _ in range(rounds):
        one.append(run(1, count))
        two.append(run(2, count))
    same = len({r["found"] for r in (*one, *two)}) == 1
    wall = min(r["wall"] for r in one) / min(r["wall"] for r in two)
    cost = min(r["cpu"] for r in two) / min(r["cpu"] for r in one)
    growth = (two[0]["last"] - two[0]["first"]) / max(count - 1, 1)
    print(f"same answers: {same}; throughput of two over one: {wall:.2f} by the wall (aim {AIM}), {2 / cost:.2f} at best by processor time")
    print(f"what is kept of a truss for the package: {growth:.1f} MB each")
    return 0 if same and wall >= AIM else 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one_run(int(sys.argv[2]), int(sys.argv[3]))
    else:
        given = [int(x) for x in sys.argv[1:3]]
        sys.exit(main(*(given + [50, 3][len(given) :])))
