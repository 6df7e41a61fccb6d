"""Fifty trusses of one project, decided with stages and sensitivity, by one process and by two: throughput, memory, same answers.

    python tests/benchmarks/many_trusses.py [COUNT] [ROUNDS]

Aim: two cores at least 1.7 times the throughput of one, and flat memory: of each truss less than 0.3 MB stays in the process where all comes
together, and nothing in those beside it. Runs with one and with two processes alternate, so
that what else the machine does meets both. On a busy machine the wall clock says little, so that processor time decides: two cores of which nobody
takes anything are done when the longest process is, and not before half of all the work. What counts in both is the whole of it: the process where
all comes together too.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # as the command sets it
sys.path.insert(0, str(Path(__file__).parents[1]))

AIM, KEPT, GROWN = 1.7, 0.3, 15.0
"""Throughput of two processes over one; MB of a truss; MB that a process beside may differ by from the middle to the end, as trusses do."""


def rss(process: int | str = "self") -> float:
    """What a process holds now, MB."""
    return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def spent(process: int) -> float:
    """Processor seconds of a process until now."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


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
    held: list[float] = []  # MB before each truss is set aside: what is kept of those before it, and this one
    workers: list[dict[int, tuple[float, float]]] = []  # seconds and MB of each, after each truss
    found = hashlib.sha256()
    begun, before = time.perf_counter(), time.process_time()

    def told(one: object) -> None:
        held.append(rss())
        workers.append({p.pid: (spent(p.pid), rss(p.pid)) for p in multiprocessing.active_children() if p.pid is not None})
        found.update(repr([(i.key, i.parameters) for i in one.interventions]).encode())  # type: ignore[attr-defined]
        found.update(repr(one.after.worst and one.after.worst[1].ratio).encode())  # type: ignore[attr-defined]

    pipeline.decide(many, (), {}, jobs=processes, progress=lambda _: None, done=told, how=pipeline.repaired_in_full)
    wall, own = time.perf_counter() - begun, time.process_time() - before
    each = [seconds for seconds, _ in workers[-1].values()]
    half = count // 2
    print(json.dumps({
        "wall": wall, "own": own, "each": each, "cpu": own + sum(each), "least": max(*each, (own + sum(each)) / 2) if each else own,
        "first": held[0], "last": held[-1], "kept": (held[-1] - held[half]) / max(count - 1 - half, 1),
        "grown": [mb - workers[half][pid][1] for pid, (_, mb) in workers[-1].items()], "workers": [mb for _, mb in workers[-1].values()],
        "found": found.hexdigest(),
    }))  # fmt: skip


def run(processes: int, count: int) -> dict[str, Any]:
    done = subprocess.run([sys.executable, __file__, "--one", str(processes), str(count)], check=True, capture_output=True, text=True)
    answer: dict[str, Any] = json.loads(done.stdout)
    several = f" ({answer['own']:.1f} where all comes together, {' and '.join(f'{s:.1f}' for s in answer['each'])} beside)" if answer["each"] else ""
    beside = (f"; workers hold {' and '.join(f'{mb:.0f}' for mb in answer['workers'])} MB, "
              f"{' and '.join(f'{mb:+.0f}' for mb in answer['grown'])} MB since the middle" if answer["each"] else "")  # fmt: skip
    print(
        f"  {processes} process{'es' if processes > 1 else ''}: {answer['wall']:.1f} s wall, {answer['cpu']:.1f} s processor{several}; holds "
        f"{answer['first']:.0f} MB after the first truss, {answer['last']:.0f} MB after the last, {answer['kept']:.2f} MB more with each of the "
        f"second half{beside}; load {os.getloadavg()[0]:.1f}", flush=True,
    )  # fmt: skip
    return answer


def main(count: int, rounds: int) -> int:
    print(f"{count} trusses, {rounds} rounds, {len(os.sched_getaffinity(0))} cores")
    one: list[dict[str, Any]] = []
    two: list[dict[str, Any]] = []
    for _ in range(rounds):
        one.append(run(1, count))
        two.append(run(2, count))
    same = len({r["found"] for r in (*one, *two)}) == 1
    wall = min(r["wall"] for r in one) / min(r["wall"] for r in two)
    cost = min(r["cpu"] for r in one) / min(r["least"] for r in two)
    kept = max(r["kept"] for r in two)  # where two work nothing else grows in the process that gathers: one alone fills its caches as well
    grown = max(mb for r in two for mb in r["grown"])
    print(f"same answers: {same}; throughput of two over one: {cost:.2f} by processor time (aim {AIM}), {wall:.2f} by the wall")
    print(f"kept of a truss: {kept:.2f} MB (aim under {KEPT:g} MB); processes beside since the middle: {grown:+.0f} MB (aim under {GROWN:+g} MB)")
    return 0 if same and cost >= AIM and kept < KEPT and grown < GROWN else 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one_run(int(sys.argv[2]), int(sys.argv[3]))
    else:
        given = [int(x) for x in sys.argv[1:3]]
        sys.exit(main(*(given + [50, 3][len(given) :])))
