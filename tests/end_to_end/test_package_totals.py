"""The workbook against the drawings: every weight is the volume of what is drawn times its density, on each sample that a repair is made for.

Steel 490 lb/ft3 (AISC Steel Construction Manual, table 17-11; 7850 kg/m3 in EN 1991-1-1, table A.4), wood as the survey says.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict

import ezdxf
import openpyxl
import pytest
from command_line import SAMPLES
from package_runs import Made, sample_package

STEEL = 490.0
WOOD = re.compile(r"wood weight: ([\d.]+) (pcf|kN/m3)")
GRAVITY = 9.80665


def made(sample: str) -> tuple[Made, str]:
    return sample_package(sample), (SAMPLES / sample / "project.yaml").read_text(encoding="utf-8")


def sheet(folder, name):
    rows = openpyxl.load_workbook(folder / "schedules" / "schedules.xlsx")[name].iter_rows(values_only=True)
    header = next(rows)
    return [dict(zip(header, row, strict=True)) for row in rows]


def tags(entity):
    if not entity.has_xdata("DETAILGEN"):
        return {}
    return dict(t.value.split("=", 1) for t in entity.get_xdata("DETAILGEN") if t.code == 1000 and "=" in t.value)


def drawn_faces(folder):
    """Net area of each mark in the unit of the drawing, by its face views: outline with its arcs, less its holes."""
    found = defaultdict(set)
    for path in sorted((folder / "drawings").glob("*.dxf")):
        model = ezdxf.readfile(path).modelspace()
        for e in model.query("LWPOLYLINE"):
            said = tags(e)
            if said.get("kind") != "outline" or said.get("view") != "face" or not said.get("mark"):
                continue
            points = list(e.get_points("xyb"))
            area = 0.0
            for a, b in zip(points, (*points[1:], points[0]), strict=True):
                area += (a[0] * b[1] - b[0] * a[1]) / 2
                if a[2]:
                    turn = 4 * math.atan(a[2])
                    radius = math.dist(a[:2], b[:2]) / (2 * math.sin(abs(turn) / 2))
                    area += math.copysign(radius**2 * (abs(turn) - math.sin(abs(turn))) / 2, turn)
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            for c in model.query("CIRCLE"):
                at = c.dxf.center
                if tags(c).get("part") == said["part"] and min(xs) < at.x < max(xs) and min(ys) < at.y < max(ys):
                    area -= math.pi * c.dxf.radius**2
            for s in model.query("LWPOLYLINE"):
                slot = [p[:2] for p in s.get_points("xyb")] if tags(s).get("kind") == "slot" and tags(s).get("part") == said["part"] else []
                if slot and all(min(xs) < x < max(xs) and min(ys) < y < max(ys) for x, y in slot):
                    long, wide = (max(p[k] for p in slot) - min(p[k] for p in slot) for k in (0, 1))  # between the middles of its round ends
                    area -= long * wide + math.pi * wide**2 / 4
            found[said["mark"]].add(round(area, 3))
    return found


@pytest.mark.parametrize("sample", ["printworks", "printworks_si", "boathouse"])
def test_totals_are_volumes_times_densities(sample):
    run, text = made(sample)
    assert run.answer.code == 0, run.answer
    metric = sample.endswith("_si")
    unit, weigh, tolerance = ("mm", "kg", 0.0051) if metric else ("in", "lb", 0.0051)
    value, of = WOOD.search(text).groups()
    wood = float(value) * 1000 / GRAVITY if of == "kN/m3" else float(value) * 16.018463374
    cube = 1e-9 if metric else 0.0254**3
    densities = {"steel": STEEL * 16.018463374, "wood": wood}
    areas = drawn_faces(run.folder)
    rows = sheet(run.folder, "parts")
    assert rows
    total = 0.0
    for row in rows:
        assert len(areas[row["mark"]]) == 1, "one mark, one piece"
        (area,) = areas[row["mark"]]
        kind = "steel" if row["file"] else "wood"
        mass = area * row[f"thickness_{unit}"] * cube * densities[kind]
        each = mass if metric else mass / 0.45359237
        assert row[f"weight_each_{weigh}"] == pytest.approx(each, abs=tolerance + 1e-4 * each), row
        assert row[f"weight_total_{weigh}"] == pytest.approx(row["quantity"] * row[f"weight_each_{weigh}"], abs=1e-6)
        total += row["quantity"] * each
    listed = sum(row[f"weight_total_{weigh}"] for row in rows)
    assert listed == pytest.approx(total, abs=tolerance * sum(r["quantity"] for r in rows) + 1e-4 * total)
    steel = [r for r in rows if r["file"]]
    if steel:
        plates = sheet(run.folder, "plates")
        assert sum(r["quantity"] for r in plates) == sum(r["quantity"] for r in steel)
        assert sum(r[f"weight_total_{weigh}"] for r in plates) == pytest.approx(sum(r[f"weight_total_{weigh}"] for r in steel), abs=0.01)
    timber = [r for r in rows if not r["file"]]
    order = sheet(run.folder, "timber_order")
    assert sum(r["quantity"] for r in order) == sum(r["quantity"] for r in timber)
    volume = sum(r["quantity"] * r[f"thickness_{unit}"] * r[f"width_{unit}"] * r[f"length_{unit}"] for r in timber) * (1e-9 if metric else 1 / 1728)
    assert sum(r["volume_m3" if metric else "volume_ft3"] for r in order) == pytest.approx(volume, abs=0.0005 * len(order) + 1e-9)


@pytest.mark.parametrize("sample", ["printworks", "printworks_si", "boathouse"])
def test_bolts_are_those_of_the_joints_with_spares(sample):
    run, _ = made(sample)
    bolts, joints = sheet(run.folder, "bolts"), sheet(run.folder, "joints")
    assert sum(b["quantity"] for b in bolts) == sum(j["times"] * j["bolts"] for j in joints)
    for b in bolts:
        unit = "mm" if sample.endswith("_si") else "in"
        assert b["nuts"] == b["quantity"] + b["spares"]
        assert b["spares"] >= max(2, 0.05 * b["quantity"])
        assert b[f"grip_min_{unit}"] <= b[f"grip_max_{unit}"] < b[f"length_{unit}"]
