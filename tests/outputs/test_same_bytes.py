"""The same input gives the same bytes: over hash seeds and time zones, in fresh processes; and quickly."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

from hand_made import make_assessment, make_project, make_truss

from detailgen.outputs.drawings import draw_truss, write_dxf

HERE = Path(__file__).parent
SCRIPT = """
import sys, time, hashlib, pathlib
sys.path.insert(0, {here!r})
from hand_made import OVER, make_assessment, make_project, make_truss
from detailgen.outputs.drawings import draw_truss, write_dxf, write_svg
from detailgen.outputs.schedules.assessment_tables import checks_of, forces_of, write_assessment_csv, write_forces_csv
from detailgen.outputs.schedules.truss_model import model_of, write_truss_model_json
truss = make_truss()
assessment, project = make_assessment(truss, OVER), make_project(truss)
folder = pathlib.Path(sys.argv[1])
drawing = draw_truss(assessment, project)
write_svg(drawing, folder / "a.svg")
assert "ezdxf" not in sys.modules
write_dxf(drawing, folder / "a.dxf")
write_assessment_csv(folder / "a.csv", [checks_of(assessment, project.units)], project.units)
write_forces_csv(folder / "f.csv", [forces_of(assessment, project.units)], project.units)
write_truss_model_json(folder / "m.json", [model_of(assessment, project)], project)
"""


def _write(folder: Path, seed: str, zone: str) -> dict[str, str]:
    folder.mkdir()
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(HERE.parents[1])}
    subprocess.run([sys.executable, "-c", SCRIPT.format(here=str(HERE)), str(folder)], check=True, env=environment)
    return {f.name: hashlib.sha256(f.read_bytes()).hexdigest() for f in sorted(folder.iterdir())}


def test_bytes_do_not_depend_on_seed_or_zone(tmp_path):
    runs = [_write(tmp_path / f"r{k}", seed, zone) for k, (seed, zone) in enumerate((("0", "UTC"), ("1", "Asia/Tokyo"), ("4242", "America/Denver")))]
    assert set(runs[0]) == {"a.svg", "a.dxf", "a.csv", "f.csv", "m.json", "m.schema.json"}
    assert runs[0] == runs[1] == runs[2]


def test_dates_and_identities_come_from_the_revision(tmp_path):
    from dataclasses import replace

    import ezdxf

    truss = make_truss(damage=False)
    project = make_project(truss)
    header = []
    for k, p in enumerate((project, replace(project, revision="B", date="2024-03-06"))):
        write_dxf(draw_truss(make_assessment(truss, {}), p), tmp_path / f"{k}.dxf")
        header.append(ezdxf.readfile(tmp_path / f"{k}.dxf").header)
    # Julian date of 2000-01-01 0h is 2451544.5 (from memory, the common epoch J2000.0 less half a day); 2024-03-05 is 8830 days later.
    assert header[0]["$TDUPDATE"] == 2451544.5 + 8830
    assert header[1]["$TDUPDATE"] - header[0]["$TDUPDATE"] == 1
    assert header[0]["$VERSIONGUID"] != header[1]["$VERSIONGUID"]
    assert header[0]["$FINGERPRINTGUID"] != "{00000000-0000-0000-0000-000000000000}"
