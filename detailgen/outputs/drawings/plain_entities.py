"""Lines and texts that write themselves in one go: they are nine tenths of a sheet, and asking the library tag by tag is half of the time that
a drawing takes. What they write is what the library would write, byte for byte (a test holds one against the other)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ezdxf.entities.line import Line
from ezdxf.entities.text import Text
from ezdxf.math import Vec3

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.base import BaseLayout
    from ezdxf.lldxf.tagwriter import AbstractTagWriter

_POINTS = frozenset(("start", "end", "insert", "align_point"))
_COMMON = frozenset(("handle", "owner", "layer", "paperspace", "lineweight"))
_LINE, _TEXT = _COMMON | {"start", "end"}, _COMMON | {"insert", "height", "text", "rotation", "style", "width", "halign", "valign", "align_point"}


def _head(kind: str, d: dict[str, Any]) -> str:
    paper = " 67\n1\n" if d.get("paperspace") else ""
    weight = f"370\n{d['lineweight']}\n" if d.get("lineweight", -1) != -1 else ""
    return f"  0\n{kind}\n  5\n{d['handle']}\n330\n{d['owner']}\n100\nAcDbEntity\n{paper}  8\n{d['layer']}\n{weight}100\n"


class PlainLine(Line):
    def export_dxf(self, tagwriter: AbstractTagWriter) -> None:
        d = _said(self)
        if self.xdata or not d.keys() <= _LINE:
            super().export_dxf(tagwriter)
            return
        (x, y, z), (u, v, w) = d["start"], d["end"]
        tagwriter.write_str(f"{_head('LINE', d)}AcDbLine\n 10\n{x}\n 20\n{y}\n 30\n{z}\n 11\n{u}\n 21\n{v}\n 31\n{w}\n")


class PlainText(Text):
    def export_dxf(self, tagwriter: AbstractTagWriter) -> None:
        d = _said(self)
        if self.xdata or not d.keys() <= _TEXT:
            super().export_dxf(tagwriter)
            return
        x, y, z = d["insert"]
        out = f"{_head('TEXT', d)}AcDbText\n 10\n{x}\n 20\n{y}\n 30\n{z}\n 40\n{d['height']}\n  1\n{d['text']}\n"
        if d.get("rotation", 0.0) != 0.0:
            out += f" 50\n{d['rotation']}\n"
        if d["style"] != "Standard":
            out += f"  7\n{d['style']}\n"
        if d.get("width", 1.0) != 1.0:
            out += f" 41\n{d['width']}\n"
        if d.get("halign", 0):
            out += f" 72\n{d['halign']}\n"
        if "align_point" in d:
            x, y, z = d["align_point"]
            out += f" 11\n{x}\n 21\n{y}\n 31\n{z}\n"
        tagwriter.write_str(out + "100\nAcDbText\n" + (f" 73\n{d['valign']}\n" if d.get("valign", 0) else ""))


def _said(entity: Line | Text) -> dict[str, Any]:
    """The attributes that were given, by name."""
    return {k: v for k, v in vars(entity.dxf).items() if k[0] != "_"}


def add_line(space: BaseLayout, document: Document, attributes: dict[str, Any]) -> None:
    _add(space, document, PlainLine(), attributes)


def add_text(space: BaseLayout, document: Document, attributes: dict[str, Any]) -> None:
    _add(space, document, PlainText(), attributes)


def _add(space: BaseLayout, document: Document, entity: Line | Text, attributes: dict[str, Any]) -> None:
    """Attributes are not checked one by one: layers were when the templates were read, and all else is ours."""
    from ezdxf.entities.factory import bind

    entity.doc = document
    said = {name: Vec3(value) if name in _POINTS else value for name, value in attributes.items()}
    vars(entity.dxf).update(handle=None, owner=None, **said)
    bind(entity, document)
    space.add_entity(entity)
