"""Regression: the sheets of the samples as they were when last agreed to, read back from DXF and compared by meaning.

By meaning: how many entities of each kind lie on each layer, every text, every dimension with its value, every field of the title block.
How to accept a change: see ``test_golden_assessments``.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import ezdxf
import pytest
from sample_trusses import SI_SAMPLE, US_SAMPLE, decided
from test_golden_assessments import TO_DO, flat

from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.sheet_set import draw_set

HERE = Path(__file__).parent


def meaning(path: Path) -> dict[str, object]:
    """What a reader takes from a sheet."""
    doc = ezdxf.readfile(path)
    found: dict[str, object] = {}
    for name, space in (("model", doc.modelspace()), ("sheet", doc.paperspace("Sheet"))):
        entities = [e for e in space if not (e.dxftype() == "VIEWPORT" and e.dxf.id == 1)]
        layers = Counter(f"{e.dxf.layer} {e.dxftype()}" for e in entities)
        dimensions = Counter()
        for d in space.query("DIMENSION"):
            shown = next(iter(doc.blocks.get(d.dxf.geometry).query("TEXT"))).dxf.text
            dimensions[f"{shown} | {d.get_measurement():.3f}"] += 1
        texts = Counter(t.dxf.text for t in space.query("TEXT"))
        fields = {a.dxf.tag: a.dxf.text for i in space.query("INSERT") for a in i.attribs if a.dxf.text}
        windows = [v.dxf for v in entities if v.dxftype() == "VIEWPORT"]
        views = [f"{v.width:.2f} x {v.height:.2f} at 1:{v.view_height / v.height:.4g}" for v in windows]
        parts = {"entities": layers, "texts": texts, "dimensions": dimensions, "fields": fields, "views": Counter(views)}
        found |= {f"{name} {what}": dict(sorted(some.items())) for what, some in parts.items() if some}
    return found


def differences(before: object, after: object) -> list[str]:
    """What is different, path by path."""
    old, new = flat(before), flat(after)
    return [f"{p}: was {old.get(p, 'nothing')}, is {new.get(p, 'nothing')}" for p in sorted(old.keys() | new.keys()) if old.get(p) != new.get(p)]


@pytest.mark.parametrize("sample", [US_SAMPLE, SI_SAMPLE])
def test_the_sheets_are_as_agreed(sample: str, tmp_path: Path) -> None:
    now = {}
    for sheet in draw_set(decided(sample)):
        write_dxf(sheet.drawing, tmp_path / "a.dxf")
        now[sheet.file] = meaning(tmp_path / "a.dxf")
    file = HERE / f"sheets_{sample}.json"
    if not file.exists():
        file.write_text(json.dumps(now, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")
        pytest.fail(f"{file.name} was missing: it is written now. Read it, commit it, and run again.")
    moved = differences(json.loads(file.read_text(encoding="utf-8")), now)
    assert not moved, "\n".join([f"{len(moved)} counts or words moved. {TO_DO.format(name=file.name)}", *moved[:40]])


def test_the_comparison_sees_a_moved_dimension_and_a_lost_text() -> None:
    one = {"a": {"model dimensions": {'6" | 6.000': 2}, "sheet texts": {"NOTES": 1}}}
    assert differences(one, one) == []
    assert differences(one, {"a": {"model dimensions": {'6" | 6.010': 2}, "sheet texts": {"NOTES": 1}}}) == [
        'a > model dimensions > 6" | 6.000: was 2, is nothing', 'a > model dimensions > 6" | 6.010: was nothing, is 2',
    ]  # fmt: skip
    assert len(differences(one, {"a": {"model dimensions": {'6" | 6.000': 2}}})) == 1
