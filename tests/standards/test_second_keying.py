"""Every recalled table, keyed a second time by somebody who saw only its title and the empty grid; what differs is printed.

The second keying is in ``second_keying/``, as it came; a cell left empty is one that was not known. Neither keying is print: a table that agrees
stays "from memory" all the same. A difference is allowed only where it stands below, with what became of it.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

STANDARDS = Path(__file__).parents[2] / "detailgen" / "standards"
KEYED = sorted((Path(__file__).parent / "second_keying").glob("*.csv"))
SAME_TABLE_OTHER_ORDER = "the three ranges of the unloaded end stand in another order, or begin at the other end of the angle"
EXPLAINED = {
    "aci318_19__expansion": {("steel", "per_degree"): "ours is in millionths"},
    "aisc360_16__omega": {
        ("bending rupture", "omega"): "J4.5 names no factor: that of rupture (D2, J4.1) stands, as in the manual",
        ("bending rupture", "phi"): "as for omega",
    },
    "asce7_22__residual_capacity": {("S", "factor"): "the larger of both stands; keyed again with the doubt that it may be 0.15"},
    "en1995_1_1__fastener_lead_holes": {
        ("screw over 6 mm", "least"): "'about 70 %': ours allows 5 % to either side",
        ("screw over 6 mm", "greatest"): "as for the least",
    },
    "en1995_1_1__nails": {("staple", "k_M"): "0: the nails' formula is not used, 8.29 of A1 has 150 d^3; keyed again as what stood before it"},
    "nds_2018__connection_factors": {("E_steel", "value"): "29,000 ksi everywhere in this house"},
    "nds_2018__connector_values": {
        ("4 in. split ring", "Q"): "the lower value stands (errata)",
        ("2-5/8 in. shear plate", "P"): "the lower value stands (errata)",
    },
    "nds_2018__size_factor": {("4B", "Fb"): "the increase by 1.1 of 4 in. thickness is left out, as the table says: safe side"},
    "nds_2018__fastener_lead_holes": {(f, "G_to"): "no upper end: specific gravity is below 1" for f in ("lag screw", "wood screw", "nail")},
}


def read(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.open(encoding="utf-8", newline="")))


def number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def differences(keyed: Path) -> Iterator[tuple[str, str, str, str]]:
    """(name of the row, column, ours, theirs) for every number that both hold and that is not the same to the digits keyed."""
    document, table = keyed.stem.split("__")
    for ours, theirs in zip(read(STANDARDS / document / "tables" / f"{table}.csv"), read(keyed), strict=True):
        for column, said in theirs.items():
            a, b = number(ours.get(column, "")), number(said)
            if a is not None and b is not None and a != b and abs(a - b) > 2e-3 * abs(a):
                yield next(iter(ours.values())), column, ours[column], said


@pytest.mark.parametrize("keyed", KEYED, ids=[k.stem for k in KEYED])
def test_both_keyings_say_the_same(keyed: Path) -> None:
    found = list(differences(keyed))
    for row, column, ours, theirs in found:
        print(f"{keyed.stem}: {row}, {column}: {ours} here, {theirs} keyed again")
    if keyed.stem == "en1995_1_1__bolt_least_distances":
        assert {row for row, *_ in found} <= {"B-a3c-1", "B-a3c-2", "B-a3c-3", "D-a3c-1", "D-a3c-2", "D-a3c-3"}, SAME_TABLE_OTHER_ORDER
        return
    known = EXPLAINED.get(keyed.stem, {})
    assert {(row, column) for row, column, *_ in found} == set(known)


def test_the_second_keying_is_of_nearly_all_numbers() -> None:
    """So that an empty file cannot agree: of some 4,000 numbers fewer than a fiftieth were not known."""
    compared = empty = 0
    for keyed in KEYED:
        document, table = keyed.stem.split("__")
        for ours, theirs in zip(read(STANDARDS / document / "tables" / f"{table}.csv"), read(keyed), strict=True):
            for column, said in theirs.items():
                if number(ours.get(column, "")) is not None:
                    compared, empty = compared + 1, empty + (said == "")
    assert compared > 3500
    assert empty < compared / 50
