"""Imported force tables."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from openpyxl import Workbook
from surveys import SHORT, project_of, swapped

from detailgen.core.errors import InputError
from detailgen.core.units import KN, MM, SI, US
from detailgen.survey import read_forces
from detailgen.survey.forces import between_joints

TRUSS = project_of(swapped("    damage:", "    forces: {file: f.csv, durations: {theirs: snow}}\n    damage:"), f_csv="x").trusses[0]
HEAD = "truss,structure,stage,combination,member,station_in,axial_lb,shear_lb,moment_in_lb"
KNOWN = ("D + S", "D")


def table(combinations: tuple[str, ...] = ("D + S", "theirs"), structure: str = "intact") -> list[str]:
    """A whole table: axial counts up, shear 1, moment 2, at both ends and in the middle."""
    rows = [HEAD]
    for c, combination in enumerate(combinations):
        for m, (member, length) in enumerate(between_joints(TRUSS).items()):
            rows += [f"T1,{structure},service,{combination},{member},{length * f:.4f},{100 * c + m},1,2" for f in (1, 0, 0.5)]
    return rows


def faults(rows: list[str], tmp_path: Path) -> list[tuple[int, str]]:
    path = tmp_path / "f.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_forces(path, TRUSS, KNOWN, US)
    return [(p.line, str(p)) for p in caught.value.problems]


def test_members_between_joints() -> None:
    names = list(between_joints(TRUSS))
    assert names[:7] == ["L0-L1", "L1-L2", "L2-L3", "L3-L4", "L4-L5", "L5-L6", "L0-U1"]
    assert names[11:13] == ["U5-L6", "U1-L1"]
    assert len(names) == 6 + 6 + 9
    curved = project_of(swapped("rise: 7 ft", "rise: 7 ft\n      pieces: curved")).trusses[0]
    assert between_joints(curved)["U1-U2"] > between_joints(TRUSS)["U1-U2"]


def test_a_whole_table(tmp_path: Path) -> None:
    path = tmp_path / "f.csv"
    path.write_text("\n".join([*table(), *table(structure="as found")[1:], "T9,intact,service,x,y,z,,,"]) + "\n", encoding="utf-8")
    read = read_forces(path, TRUSS, KNOWN, US)
    assert list(read) == ["intact", "as found"]
    names, members = read["intact"]
    assert names == ["D + S", "theirs"]
    web = members["U1-L1"]
    assert web.station.tolist() == pytest.approx([0, web.station[2] / 2, TRUSS.joints["U1"][1]], abs=1e-3)
    assert web.axial.tolist() == [[12] * 3, [112] * 3]
    assert (web.shear == 1).all()
    assert (web.moment == 2).all()


def test_a_jump_has_two_rows_at_one_station(tmp_path: Path) -> None:
    rows = [line for row in table(("D",)) for line in ([row, row.replace(",1,2", ",-7,2")] if ",L0-L1,48.0000" in row else [row])]
    path = tmp_path / "f.csv"
    path.write_text("\n".join(rows), encoding="utf-8")
    member = read_forces(path, TRUSS, KNOWN, US)["intact"][1]["L0-L1"]
    assert member.station.tolist() == [0, 48, 48, 96]
    assert member.shear.tolist() == [[1, 1, -7, 1]]


def test_si_columns(tmp_path: Path) -> None:
    rows = ["truss,structure,stage,combination,member,station_mm,axial_kN,shear_kN,moment_kN_m"]
    for member, length in between_joints(TRUSS).items():
        rows += [f"T1,intact,service,D,{member},{x},10,0,1" for x in (0, length / MM)]
    path = tmp_path / "f.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    web = read_forces(path, TRUSS, KNOWN, SI)["intact"][1]["U1-L1"]
    assert web.axial[0, 0] == pytest.approx(10 * KN)
    assert web.moment[0, 0] == pytest.approx(KN * 1000 * MM)
    assert web.station[1] == pytest.approx(TRUSS.joints["U1"][1], abs=1e-5)
    again = read_forces(path, TRUSS, KNOWN, US)["intact"][1]["U1-L1"]  # the header's units count, not the project's
    assert (again.axial == web.axial).all()


def test_faults_with_their_lines(tmp_path: Path) -> None:
    rows = table()
    rows[5] = rows[5].replace("L1-L2", "L1-L7")
    rows[8] = rows[8].replace(",1,2", ",one,2")
    rows[11] = rows[11].replace("intact", "untouched")
    rows[14] = "T1,intact,service,D + S"
    found = dict(faults(rows, tmp_path))
    assert "L1-L7" in found[6]
    assert "shear_lb" in found[9]
    assert "'one'" in found[9]
    assert "untouched" in found[12]
    assert "4 cells" in found[15]


def test_a_member_that_is_not_covered(tmp_path: Path) -> None:
    rows = [r for r in table() if not ("theirs" in r and ",U3-L3," in r)]
    [(line, text)] = faults(rows, tmp_path)
    assert "no forces of U3-L3 in 'theirs'" in text
    assert "theirs" in rows[line - 1]


def test_an_unknown_combination_needs_a_duration(tmp_path: Path) -> None:
    rows = table(("D + S", "other"))
    [(line, text)] = faults(rows, tmp_path)
    assert rows[line - 1].split(",")[3] == "other"
    assert "durations" in text


@pytest.mark.parametrize(
    ("change", "part"),
    [
        (lambda rows: [r.rpartition(",")[0] for r in rows], "moment_in_lb"),
        (lambda rows: rows[:1], "no row of truss T1"),
        (lambda rows: [*rows, rows[4]], "2 times"),
        (lambda rows: [*rows, rows[3], rows[3]], "3 times"),
        (lambda rows: [r.replace(",L0-L1,", ",L1-L0,") for r in rows], "turn name, stations and signs around"),
        (lambda rows: [r for r in rows if not (",L0-L1," in r and ",0.0000," in r)], "both ends included"),
        (lambda rows: [r for r in rows if not (",L0-L1," in r and "theirs" in r and ",48.0000," in r)], "other stations"),
        (lambda rows: [*rows, rows[4].replace("service", "jacked")], "one stage"),
        (lambda rows: [*rows[:3], rows[3].replace("0,1,2", "nan,1,2"), *rows[4:]], "a number"),
        (lambda rows: [*rows, "T1,intact,service,D + S,L0-L1,500,1,1,1"], "a station of L0-L1, from 0 to 8'-0\""),
        (lambda rows: [*rows, 'T1,"intact'], "cannot be read"),
        (lambda rows: [], "no such column"),
    ],
)
def test_faults_of_the_table(change: object, part: str, tmp_path: Path) -> None:
    assert callable(change)
    assert any(part in text for _, text in faults(change(table()), tmp_path))


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_forces(tmp_path / "f.csv", TRUSS, KNOWN, US)


def test_the_survey_keeps_the_durations() -> None:
    assert TRUSS.forces is not None
    assert (TRUSS.forces.file, TRUSS.forces.durations) == ("f.csv", (("theirs", "snow"),))
    assert project_of(SHORT).trusses[0].forces is None


HEADERS = [
    ("station (ft)", "axial [kip]", "shear kip", "Moment (kip-ft)"),
    ("station_m", "axial_kN", "shear_N", "moment_N_mm"),
    ("Station_mm", "AXIAL_lb", "shear_lbf", "moment in-lb"),
]


@pytest.mark.parametrize("names", HEADERS)
def test_units_stand_in_the_header(names: tuple[str, ...], tmp_path: Path) -> None:
    """The same forces in other units, columns in another order, one column more that nobody asked for."""
    length = {"ft": 12.0, "m": 1000 / 25.4, "mm": 1 / 25.4}[re.sub(r"\W", "", names[0].lower().replace("station", "").replace("_", ""))]
    force = {"kip": 1000.0, "kn": 224.8089431, "n": 0.2248089431, "lb": 1.0, "lbf": 1.0}
    axial, shear = (force[re.sub(r"\W", "", n.lower().replace(w, "").replace("_", ""))] for n, w in zip(names[1:3], ("axial", "shear"), strict=True))
    moment = {"(kip-ft)": 12000.0, "N_mm": 0.2248089431 / 25.4, "in-lb": 1.0}[re.sub(r"(?i)moment[ _]", "", names[3])]
    rows = [",".join([names[3], names[2], names[1], names[0], "note", "member", "combination", "stage", "structure", "truss"])]
    for member, reach in between_joints(TRUSS).items():
        rows += [f"{6 / moment!r},{4 / shear!r},{500 / axial!r},{x / length!r},by hand,{member},D,service,intact,T1" for x in (0, reach)]
    path = tmp_path / "f.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    web = read_forces(path, TRUSS, KNOWN, US)["intact"][1]["U1-L1"]
    assert web.axial[0] == pytest.approx([500, 500], rel=1e-7)
    assert web.shear[0] == pytest.approx([4, 4], rel=1e-7)
    assert web.moment[0] == pytest.approx([6, 6], rel=1e-7)
    assert web.station[1] == pytest.approx(TRUSS.joints["U1"][1], abs=1e-5)


@pytest.mark.parametrize(("old", "new", "part"), [
    ("axial_lb", "axial", "without a unit"), ("axial_lb", "axial_psf", "the unit 'psf'"), ("moment_in_lb", "moment_lb", "the unit 'lb'"),
    ("shear_lb", "axial_kip", "the column axial twice"), ("combination", "load", "no such column"),
])  # fmt: skip
def test_faults_of_the_header(old: str, new: str, part: str, tmp_path: Path) -> None:
    rows = table()
    rows[0] = rows[0].replace(old, new)
    assert any(part in text for _, text in faults(rows, tmp_path))


def test_a_workbook_is_read_like_a_table(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    for row in table():
        sheet.append([float(c) if re.fullmatch(r"-?\d+(\.\d+)?", c) else c for c in row.split(",")])
    sheet.append([])
    book.save(tmp_path / "f.xlsx")
    (tmp_path / "f.csv").write_text("\n".join(table()) + "\n", encoding="utf-8")
    ours, theirs = (read_forces(tmp_path / name, TRUSS, KNOWN, US)["intact"] for name in ("f.xlsx", "f.csv"))
    assert ours[0] == theirs[0]
    for member in theirs[1]:
        assert (ours[1][member].axial == theirs[1][member].axial).all()
        assert (ours[1][member].station == theirs[1][member].station).all()


def test_a_workbook_that_is_none_and_its_faults(tmp_path: Path) -> None:
    (tmp_path / "f.xlsx").write_bytes(b"PK no workbook")
    with pytest.raises(InputError, match="a workbook that cannot be read"):
        read_forces(tmp_path / "f.xlsx", TRUSS, KNOWN, US)
    with pytest.raises(InputError, match="no such file"):
        read_forces(tmp_path / "g.xlsx", TRUSS, KNOWN, US)
    book = Workbook()
    for row in table()[:4]:
        book.active.append(row.split(","))
    book.active["G3"] = "much"
    book.save(tmp_path / "h.xlsx")
    with pytest.raises(InputError) as caught:
        read_forces(tmp_path / "h.xlsx", TRUSS, KNOWN, US)
    assert any(p.line == 3 and "'much'" in str(p) for p in caught.value.problems)
