"""A load combination's factors are those that its own name writes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from detailgen import standards
from detailgen.core.table import read_index, read_table

KINDS = ("D", "L", "Lr", "S", "R", "W")
FOLDERS = sorted(Path(standards.__path__[0]).glob("asce7_*/tables"))
ROWS = [(f, name, row) for f in FOLDERS for name in read_index(f) if name.endswith("combinations") for row in read_table(f, name)]


@pytest.mark.parametrize("row", [r for _, _, r in ROWS], ids=[f"{f.parent.name} {r['name']}" for f, _, r in ROWS])
def test_factors_are_those_of_the_name(row):
    written = dict.fromkeys(KINDS, 0.0)
    for term in str(row["name"]).split(" + "):
        factor, kind = re.fullmatch(r"([0-9.]*)([A-Z][a-z]?)", term).groups()
        assert written[kind] == 0.0, "a kind of load stands twice"
        written[kind] = float(factor or 1)
    assert {kind: row[kind] for kind in KINDS} == written


def test_both_methods_of_both_editions_are_looked_at():
    assert {(f.parent.name, name) for f, name, _ in ROWS} >= {
        (edition, table) for edition in ("asce7_16", "asce7_22") for table in ("asd_combinations", "strength_combinations")
    }
