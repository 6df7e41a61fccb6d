"""Whole-process time of ``detailgen assess`` on the boathouse sample: one truss, median of 7. The aim is under 1.5 s.

    python tests/benchmarks/assess_time.py

Twice: with compiled bytecode from the run before, as everybody has it after the first run, and with bytecode neither read nor written.
Beside them the time of a bare interpreter that only imports what the walk needs, which is the floor that no code of ours goes under.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import detailgen

SAMPLE = Path(detailgen.__file__).parent / "samples" / "boathouse"
RUNS = 7
AIM = 1.5
LIBRARIES = "import click, numpy, scipy.sparse.linalg, pydantic, yaml, ezdxf"


def seconds(command: list[str], **more: str) -> list[float]:
    """Wall time of each of RUNS processes, after one that is not counted."""
    found = []
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        done = subprocess.run(command, env={**os.environ, **more}, capture_output=True, text=True, check=False)
        found.append(time.perf_counter() - start)
        if done.returncode not in (0, 1) or done.stderr:
            sys.exit(done.stderr)
    return found[1:]


def line(name: str, times: list[float]) -> str:
    return f"{name:<44} median {statistics.median(times):.2f} s   least {min(times):.2f} s   greatest {max(times):.2f} s"


def main() -> int:
    with tempfile.TemporaryDirectory() as out:
        assess = [sys.executable, "-m", "detailgen", "assess", str(SAMPLE), "--out", out, "--quiet"]
        warm = seconds(assess)
        cold = seconds(assess, PYTHONDONTWRITEBYTECODE="1", PYTHONPYCACHEPREFIX=str(Path(out) / "nothing here"))
        floor = seconds([sys.executable, "-c", LIBRARIES])
    print(line("assess, one truss", warm))
    print(line("the same without any bytecode", cold))
    print(line("importing the libraries alone", floor))
    good = statistics.median(warm) < AIM
    print(f"aim: under {AIM} s with bytecode: {'met' if good else 'MISSED'}")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
