"""How far the checker reaches: python tests/benchmarks/checker_reach.py [HOLES...]

Writes sheets with 400, 10,000 and 100,000 holes (many joints, and one joint of one plate on one timber), checks each after a first small one has
brought in what is imported, and prints clock and processor time, time per n log n, and which heavy packages are loaded. Exit code 1 if 400 holes take
0.5 s, 100,000 take 10 s of processor time, or a heavy package is loaded.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from pathlib import Path

LIMITS = {400: 0.5, 100_000: 10.0}
HEAVY = ("OCP", "scipy", "ezdxf", "detailgen.standards", "detailgen.remedies")
FACTS = {
    "wood": {"material": "wood", "specification": "Douglas Fir-Larch No.1", "wood": "softwood", "standard": "nds_2018", "grain": "0",
             "existing": "yes", "open": "right", "product": "sawn", "service": "dry"},
    "steel": {"material": "steel", "specification": "ASTM A36", "standard": "aisc360_16", "existing": "no", "open": "none"},
}  # fmt: skip


def _said(facts: dict[str, str]) -> list[str]:
    return ["1001", "DETAILGEN", *(v for k, value in facts.items() for v in ("1000", f"{k}={value}"))]


def _outline(x0: float, y0: float, x1: float, y1: float, facts: dict[str, str]) -> list[str]:
    out = ["0", "LWPOLYLINE", "8", "S-PART", "90", "4", "70", "1"]
    for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)):
        out += ["10", f"{x:.6f}", "20", f"{y:.6f}"]
    return out + _said(facts)


def joint(key: str, rows: int, columns: int, up: float) -> list[str]:
    """A plate and a timber with as many holes each, rows and columns of 3/4 in. bolts."""
    out: list[str] = []
    length, width = 3.0 * columns + 12, 2.5 * rows + 3
    for number, (part, material) in enumerate((("plate", "steel"), ("ply", "wood"))):
        y = up + number * (width + 20)
        facts = {"kind": "outline", "view": "face", "detail": key, "part": f"{key}-{part}"} | FACTS[material]
        start = 5.25 if material == "wood" else 1.5
        end = start + 3.0 * (columns - 1) + (9.0 if material == "wood" else 1.5)
        if material == "wood":
            facts["load"] = "B1;tension=100;compression=0;direction=180;duration=snow"
        out += _outline(0, y, end, y + width, facts)
        plan = {"kind": "outline", "view": "plan", "part": f"{key}-{part}"}
        z = number * 0.25
        out += _outline(length + 20 - start, y + z, length + 20 - start + end, y + z + (2.5 if number else 0.25), plan)
        hole = {"kind": "hole", "view": "face", "part": f"{key}-{part}", "group": "B1", "fastener": "bolt 3/4 in", "made": "shop", "template": ""}
        said = _said(hole)
        for j in range(columns):
            for k in range(rows):
                out += ["0", "CIRCLE", "8", "S-HOLE", "10", f"{start + 3.0 * j:.6f}", "20", f"{y + 2.0 + 2.5 * k:.6f}", "40", "0.40625", *said]
    return out


def sheet(holes: int, *, one: bool) -> str:
    out = ["0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", "1", "0", "ENDSEC", "0", "SECTION", "2", "ENTITIES"]
    if one:
        rows = max(2, round(math.sqrt(holes / 8)))
        out += joint("D", rows, max(2, holes // 2 // rows), 0.0)
    else:
        for n in range(holes // 40):
            out += joint(f"D{n}", 2, 10, 60.0 * n)
    return "\n".join([*out, "0", "ENDSEC", "0", "EOF", ""])


def measured(path: Path) -> tuple[float, float, int]:
    """Clock, processor time, results."""
    from detailgen.checker import check_paths

    clock, cpu = time.perf_counter(), time.process_time()
    checked = check_paths([path])
    found = sum(len(f.results) for f in checked.files)
    return time.perf_counter() - clock, time.process_time() - cpu, found


def main() -> int:
    sizes = [int(v) for v in sys.argv[1:]] or [400, 10_000, 100_000]
    late = False
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "sheet.dxf"
        path.write_text(sheet(40, one=False))
        measured(path)
        print(f"{'holes':>8}  {'as':11}{'clock s':>9}{'processor s':>13}{'us / n log2 n':>15}{'results':>9}")
        for holes in sizes:
            for one in (False, True):
                path.write_text(sheet(holes, one=one))
                clock, cpu, found = measured(path)
                each = cpu / (holes * math.log2(holes)) * 1e6
                print(f"{holes:8,}  {'one joint' if one else 'many joints':11}{clock:9.2f}{cpu:13.2f}{each:15.2f}{found:9,}")
                late |= cpu > LIMITS.get(holes, math.inf)
    loaded = sorted({m for m in sys.modules if m.split(".")[0] in HEAVY or ".".join(m.split(".")[:2]) in HEAVY})
    print("loaded besides:", ", ".join(loaded) or "none of " + ", ".join(HEAVY))
    return 1 if late or loaded else 0


if __name__ == "__main__":
    sys.exit(main())
