"""Odd but honest surveys: whatever the truss looks like, the answer is numbers that hold or words that say what is missing."""

from __future__ import annotations

import csv
import json
import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from command_line import SAMPLES, only_project

from detailgen.cli import main

Survey = dict
BOLTS = {"diameter": "3/4 in", "at": [["7 in", "-2 in"], ["7 in", "2 in"], ["13 in", "-2 in"], ["13 in", "2 in"]]}
PLATE = {"thickness": "1/4 in", "width": "7 in", "bearing strength": "87000 psi", "end": "20 in"}


class _Plain(yaml.SafeDumper):
    """Writes values out where the same object stands twice: a project file may hold no references."""

    def ignore_aliases(self, data: object) -> bool:
        return True


def survey(name: str) -> Survey:
    """A sample's project file with every value as text; only its first truss."""
    found = yaml.load((SAMPLES / name / "project.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)
    found["trusses"] = found["trusses"][:1]
    return found


def spliced_everywhere(s: Survey) -> None:
    ways = ["hinge", "one ply continuous", "fixed", "semi-rigid"]
    s["types"]["A"]["splices"] = [
        {"chord": chord, "ply": ply, "at": f"{x + shift} ft", "behaviour": way, "bolts": BOLTS, "plates": [{**PLATE, "z": z}]}
        | ({"stiffness": "900 kip-in/rad"} if way == "semi-rigid" else {})
        for chord in ("bottom chord", "top chord")
        for x, way in zip((10, 19, 34, 40), ways, strict=True)
        for ply, shift, z in (("near", 0, "4-3/8 in"), ("far", 2, "-4-3/8 in"))
    ]


def glulam_chord(s: Survey) -> None:
    chord = s["types"]["A"]["top chord"]
    chord["wood"] = {"product": "glulam", "species": "Douglas Fir-Larch", "grade": "24F-V4"}
    chord["plies"] = {"one": {"thickness": "5-1/8 in", "depth": "12 in"}}


def layered_chord(fastening: str) -> Callable[[Survey], None]:
    def change(s: Survey) -> None:
        layers = {"thickness": "2-1/2 in", "layers": ["1-9/16 in"] * 6, "gap": "3-1/2 in", "fastening": fastening}
        s["types"]["A"]["top chord"]["plies"] = {"two": layers}

    return change


def two_pins(s: Survey) -> None:
    s["types"]["A"]["supports"] = {"left": "pin", "right": "pin"}
    s["trusses"][0]["overrides"] = [{"item": "two pinned supports", "reason": "buttressed walls"}]


def wet_wood(s: Survey) -> None:
    s["types"]["A"]["wood"]["moisture"] = "wet"


def straight_pieces(s: Survey) -> None:
    s["types"]["A"]["top chord"]["pieces"] = "straight"


def every_damage(s: Survey) -> None:
    s["trusses"][0]["damage"] = [
        {"kind": "break", "member": "U3-L4", "at": "4 ft", "photo": "1"},
        {"kind": "split", "member": "top chord", "at": "20 ft", "length": "3 ft", "photo": "2", "factor": "0.6", "basis": "seen"},
        {"kind": "check", "member": "U2-L2", "at": "2 ft", "length": "1 ft", "photo": "3", "factor": "0.9", "basis": "seen"},
        {"kind": "decay", "member": "bottom chord", "ply": "far", "at": "1 ft", "length": "1 ft", "photo": "4", "factor": "0.8", "basis": "awl"},
        {"kind": "failed connector", "connection": "U1-L1 at L1", "photo": "5", "factor": "0.5", "basis": "pulled"},
        {"kind": "bow", "member": "U4-L4", "amount": "1/2 in", "photo": "6"},
        {"kind": "missing bolt", "connection": "bottom chord at L8", "count": "1", "photo": "7"},
        {"kind": "sag", "member": "bottom chord", "amount": "2 in", "photo": "8"},
    ]


def failed_splice(s: Survey) -> None:
    s["trusses"][0]["damage"] = [{"kind": "failed connector", "connection": "S2", "photo": "5", "factor": "0", "basis": "its bolts are gone"}]


def all_of_the_chord_broken(s: Survey) -> None:
    s["trusses"][0]["damage"] = [{"kind": "break", "member": "bottom chord", "at": "22 ft", "photo": "1"}]


def panels(count: int) -> Callable[[Survey], None]:
    def change(s: Survey) -> None:
        kind, half = s["types"]["A"], count // 2
        upright = [f"U{k}-L{k}" for k in range(1, count)]
        slanted = [f"U{k}-L{k + 1}" for k in range(1, half)] + [f"U{k}-L{k - 1}" for k in range(count - 1, count - half, -1)]
        kind["panels"], kind["splices"], s["trusses"][0]["damage"] = str(count), [], []
        for group, members in zip(kind["webs"], (upright, slanted), strict=True):
            group["members"] = members
        for group in kind["connections"]:
            outer, last = [upright[0], upright[-1]], upright[1:-1]
            group["members"] = {"U1-L1": outer, "U2-L2": last, "U1-L2": slanted}.get(group["members"][0], group["members"])
            if group["members"] == "bottom chord":
                group["joints"] = ["L0", f"L{count}"]

    return change


def nothing_surveyed_at_the_joints(s: Survey) -> None:
    kind = s["types"]["A"]
    for key in ("connections", "end bearings", "splices"):
        kind.pop(key)
    s["trusses"][0].pop("damage")


def no_snow(s: Survey) -> None:
    s["loads"]["snow"] = "none"


def much_snow(s: Survey) -> None:
    s["loads"]["snow"]["ground"] = "200 psf"


def five_panels_between(s: Survey) -> None:
    kind = s["types"]["B"]
    kind["panels"] = "5"
    kind["webs"][0]["members"] = ["U1-L1", "L1-U2", "U2-L2", "L2-U3", "U3-L3", "L3-U4", "U4-L4", "L4-U5"]
    for group in kind["connections"]:
        if "joints" in group:
            group["joints"] = ["L0", "L5"]


CASES: dict[str, tuple[str, Callable[[Survey], None], str]] = {
    # name: sample, change, words that the page must hold
    "spliced everywhere": ("printworks", spliced_everywhere, "splice of the far ply of the bottom chord at"),
    "glulam chord": ("printworks", glulam_chord, "overlap across the truss as surveyed"),
    "nailed layers": ("printworks", layered_chord("nailed"), "each is taken to act by itself"),
    "glued layers": ("printworks", layered_chord("glued"), "does not pass as found"),
    "two pins": ("printworks", two_pins, "its length between braces is"),
    "wet wood": ("printworks", wet_wood, "does not pass as found"),
    "straight pieces": ("printworks", straight_pieces, "does not pass as found"),
    "every damage": ("printworks", every_damage, "7 of 8 bolts are left"),
    "failed splice": ("printworks", failed_splice, "has nothing left to carry its force"),
    "whole chord broken": ("printworks", all_of_the_chord_broken, "NO SAFE LOAD PATH as found"),
    "16 panels": ("printworks", panels(16), "Truss T2"),
    "4 panels": ("printworks", panels(4), "Truss T2"),
    "nothing surveyed at the joints": ("printworks", nothing_surveyed_at_the_joints, "cannot be checked in full"),
    "no snow": ("printworks", no_snow, "there is no snow"),
    "much snow": ("printworks", much_snow, "NO SAFE LOAD PATH as found"),
    "5 panels, joints between": ("boathouse", five_panels_between, "too slender"),
}
NO_NUMBER = re.compile(r"(?<![\w-])(?:nan|inf|None|Infinity)(?![\w-])")


@pytest.mark.parametrize(("sample", "change", "said"), CASES.values(), ids=CASES)
def test_an_odd_survey_has_a_sound_answer(sample: str, change: Callable[[Survey], None], said: str, tmp_path: Path) -> None:
    data = survey(sample)
    change(data)
    (tmp_path / "project.yaml").write_text(yaml.dump(data, Dumper=_Plain, sort_keys=False), encoding="utf-8")
    for file in (SAMPLES / sample).glob("*.csv"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    answer = CliRunner().invoke(main, ["assess", str(tmp_path), "--out", str(tmp_path / "out")])
    assert answer.exit_code in (0, 1), answer.output
    assert answer.exception is None or isinstance(answer.exception, SystemExit)
    page = " ".join(answer.stdout.split())
    assert said in page, answer.stdout
    assert not NO_NUMBER.search(answer.stdout.replace("None in the survey", ""))
    folder = only_project(tmp_path / "out")
    rows = list(csv.DictReader((folder / "assessment.csv").read_text(encoding="utf-8").splitlines()))
    for row in rows:
        numbers = [float(row[key]) for key in ("demand", "capacity", "ratio") if row[key] not in ("", "inf")]
        assert all(math.isfinite(n) and n >= 0 for n in numbers), row
        # a row has its ratio, or says why it has none
        assert row["ratio"] or ": " in row["check"], row
        assert (row["state"] == "cannot be checked") == (": " in row["check"] and not row["check"].startswith("safe load path")), row
        if row["ratio"] not in ("", "inf") and row["state"] != "cannot be checked":
            assert (row["state"] == "passes") == (float(row["ratio"]) <= 1.000011), row
    as_found = [r for r in rows if r["structure"] == "as found"]
    if "NO SAFE LOAD PATH" in page:
        assert [r["check"].partition(":")[0] for r in as_found] == ["safe load path"]
        assert "none can be stated" in page
    else:
        assert max(float(r["ratio"]) for r in as_found if r["ratio"] and r["unit"] != "in") <= 3.0
    json.loads((folder / "analysis" / "truss_model.json").read_text(encoding="utf-8"), parse_constant=lambda word: pytest.fail(word))
    for drawing in (folder / "drawings").glob("*.svg"):
        words = re.sub(r"<[^>]*>", " ", drawing.read_text(encoding="utf-8"))
        assert not NO_NUMBER.search(words.replace("None in the survey", "").replace("None can", ""))


def test_forces_written_by_the_tool_can_be_given_back_to_it(tmp_path: Path) -> None:
    """forces.csv of a run as the imported forces of the next: the same checks with the same numbers."""
    data = survey("boathouse")
    (tmp_path / "project.yaml").write_text(yaml.dump(data, Dumper=_Plain, sort_keys=False), encoding="utf-8")
    CliRunner().invoke(main, ["assess", str(tmp_path), "--out", str(tmp_path / "first")])
    (tmp_path / "theirs.csv").write_bytes((only_project(tmp_path / "first") / "analysis" / "forces.csv").read_bytes())
    data["trusses"][0]["forces"] = {"file": "theirs.csv"}
    (tmp_path / "project.yaml").write_text(yaml.dump(data, Dumper=_Plain, sort_keys=False), encoding="utf-8")
    answer = CliRunner().invoke(main, ["assess", str(tmp_path), "--out", str(tmp_path / "second")])
    assert "come from theirs.csv" in " ".join(answer.stdout.split()), answer.output
    texts = [(only_project(tmp_path / run) / "assessment.csv").read_text(encoding="utf-8") for run in ("first", "second")]
    tables = [list(csv.DictReader(text.splitlines())) for text in texts]
    assert len(tables[0]) == len(tables[1])
    for own, given in zip(*tables, strict=True):
        assert [own[k] for k in ("structure", "combination", "where", "check", "state")] == [
            given[k] for k in ("structure", "combination", "where", "check", "state")
        ]
        if own["ratio"]:
            assert float(given["ratio"]) == pytest.approx(float(own["ratio"]), rel=1e-4, abs=1e-6)
