"""The same detail gives the same bytes in fresh processes, and few of them."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from splice_fixture import splice_detail
from test_solids_text import PROJECTS, SPLICE_MARKS, package_of

from detailgen.outputs.solids import write_step

HERE = Path(__file__).parent
SCRIPT = """
import sys
sys.path[:0] = {folders!r}
from pathlib import Path
from test_solids_text import DETAILS, SPLICE_MARKS, package_of
from detailgen.outputs.solids import write_step
jobs = [(u, DETAILS[u](), Path(sys.argv[1]) / (u + ".step")) for u in sys.argv[2:]]
for u, detail, path in jobs:
    write_step(detail, package_of(detail, u, SPLICE_MARKS), path)
"""


def run(folder: Path, seed: str, zone: str, *order: str) -> dict[str, str]:
    folder.mkdir()
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(HERE.parents[1])}
    script = SCRIPT.format(folders=[str(HERE), str(HERE.parent)])
    subprocess.run([sys.executable, "-c", script, str(folder), *order], check=True, env=environment, capture_output=True, text=True)
    return {f.name: hashlib.sha256(f.read_bytes()).hexdigest() for f in sorted(folder.iterdir())}


def test_bytes_do_not_depend_on_seed_zone_or_what_was_written_before(tmp_path):
    runs = [
        run(tmp_path / "0", "0", "UTC", "US", "SI"),
        run(tmp_path / "1", "1", "Asia/Tokyo", "SI", "US"),
        run(tmp_path / "2", "4242", "America/Denver", "US", "SI", "US"),
    ]
    assert set(runs[0]) == {"US.step", "SI.step"}
    assert runs[0] == runs[1] == runs[2]


def test_bytes_follow_the_revision_date_and_the_detail(tmp_path):
    detail = splice_detail()
    package = package_of(detail, "US", SPLICE_MARKS)
    later = replace(package, project=replace(PROJECTS["US"], date="2031-02-03"))
    moved = replace(detail, bolts=(replace(detail.bolts[0], y=detail.bolts[0].y + 1 / 64), *detail.bolts[1:]))
    path = tmp_path / "a.step"
    texts = []
    for d, p in ((detail, package), (detail, later), (moved, package)):
        write_step(d, p, path)
        texts.append(path.read_text())
    assert texts[1].replace("2031-02-03", PROJECTS["US"].date) == texts[0]
    assert texts[2] != texts[0]
    with pytest.raises(ValueError, match="isoformat"):
        write_step(detail, replace(package, project=replace(PROJECTS["US"], date="soon")), path)


def test_more_bolts_add_instances_and_not_solids(tmp_path):
    detail = splice_detail()
    many = replace(detail, bolts=tuple(replace(detail.bolts[0], x=3.0 * k, y=30.0 + r * 3) for k in range(20) for r in range(10)))
    sizes = []
    for d in (detail, many):
        write_step(d, package_of(d, "US", SPLICE_MARKS), tmp_path / "a.step")
        sizes.append((tmp_path / "a.step").stat().st_size)
    assert sizes[0] < 140_000
    assert (sizes[1] - sizes[0]) / 188 < 800  # bytes for each further bolt with its nut and washers
