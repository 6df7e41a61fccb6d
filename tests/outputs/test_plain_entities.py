"""Lines and texts that write themselves: what they write is what the library writes, byte for byte."""

from __future__ import annotations

import pytest
from detail_package import make_package
from ezdxf.entities.line import Line

from detailgen.core.units import SI, US
from detailgen.outputs.drawings import plain_entities
from detailgen.outputs.drawings.dxf import dxf_text
from detailgen.outputs.drawings.sheet_set import draw_set


@pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])
def test_the_library_writes_the_same(units, monkeypatch):
    drawings = [s.drawing for s in draw_set(make_package(units))]
    ours = [dxf_text(d) for d in drawings]
    assert sum(text.count("\nAcDbLine\n") + text.count("\nTEXT\n") for text in ours) > 1000
    monkeypatch.setattr(plain_entities, "add_line", lambda space, _, look: space.new_entity("LINE", look))
    monkeypatch.setattr(plain_entities, "add_text", lambda space, _, look: space.new_entity("TEXT", look))
    assert [dxf_text(d) for d in drawings] == ours


def test_what_is_not_plain_the_library_writes_itself():
    import io

    from ezdxf.filemanagement import new
    from ezdxf.lldxf.tagwriter import TagWriter

    doc = new("R2018")
    doc.appids.add("OTHER")
    out = []
    for kind in (Line, plain_entities.PlainLine):
        line = kind.new(handle="FF", owner="1", dxfattribs={"start": (0, 0), "end": (1, 2, 3), "layer": "A", "color": 3}, doc=doc)
        line.set_xdata("OTHER", [(1000, "word")])
        stream = io.StringIO()
        line.export_dxf(TagWriter(stream))
        out.append(stream.getvalue())
    assert out[0] == out[1]
    assert "word" in out[0]
    assert " 62\n3\n" in out[0]
