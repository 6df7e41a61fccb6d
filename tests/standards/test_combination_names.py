"""A load combination's factors are those that its own name writes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from detailgen import standards
from detailgen.core.table import read_index, read_table

KINDS = ("D", "L", "Lr", "S", "R", "W")
FOLDERS = sorted(Path(standards.__path__[0]).glob("asce7_*/tables"))
TABLES = [(f, name) for f in FOLDERS for name in read_index(f) if name.endswith("combinations")]
ROWS = [(f, name, str(row["name"])) for f, name in TABLES for row in read_table(f, name)]


@pytest.mark.parametrize(("folder", "table", "name"), ROWS, ids=[f"{f.parent.name} {n}" for f, _, n in ROWS])
def test_factors_are_those_of_the_name(folder, table, name):
    row = read_table(folder, table).find(name=name)
    written = dict.fromkeys(KINDS, 0.0)
    for term in name.split(" + "):
        factor, kind = re.fullmatch(r"([0-9.]*)([A-Z][a-z]?)", term).groups()
        assert written[kind] == 0.0, "a kind of load stands twice"
        written[kind] = float(factor or 1)
    assert {kind: row[kind] for kind in KINDS} == written


def test_both_methods_of_both_editions_are_looked_at():
    assert {(f.parent.name, name) for f, name in TABLES} >= {
        (edition, table) for edition in ("asce7_16", "asce7_22") for table in ("asd_combinations", "strength_combinations")
    }
