"""A small writer of sheets for these tests: face views, plan extents and a few dimensions of a detail, tagged as a sheet is; and edits of them.

It shares nothing with the product's own sheets, so that the checker is not tested with drawings made by the hands that it must judge.
"""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import ezdxf.math
from splice_fixture import splice_detail

from detailgen.checker import check_file
from detailgen.core.result import State

APP = "DETAILGEN"
MM = 25.4
DIRECTIONS = {"ply-near-left": 0, "ply-near-right": 180}
OPEN = {"ply-near-left": "left", "ply-near-right": "right", "ply-far": "both"}


def tag(entity, *texts):
    entity.set_xdata(APP, [(1000, t) for t in texts])


def tags_of(entity):
    return [t.value for t in entity.get_xdata(APP)] if entity.has_xdata(APP) else []


def value(entity, key):
    return next((t.split("=", 1)[1] for t in tags_of(entity) if t.startswith(f"{key}=")), "")


def set_value(entity, key, new):
    """Change one tag; None takes it away."""
    kept = [t for t in tags_of(entity) if not t.startswith(f"{key}=")]
    tag(entity, *kept, *([] if new is None else [f"{key}={new}"]))


def outline_tags(detail, part):
    wood = part.material == "wood"
    tags = ["kind=outline", "view=face", f"detail={detail.key}", f"part={part.key}", "mark=", f"material={part.material}"]
    tags += [f"specification={part.specification}", f"standard={'nds_2018' if wood else 'aisc360_16'}"]
    tags += ["wood=softwood", f"grain={math.degrees(part.grain):g}"] if wood else []
    tags += [f"{name}={value}" for name, value in part.facts]
    tags += [f"existing={'yes' if part.existing else 'no'}", f"open={OPEN.get(part.key, 'none')}"]
    for group in detail.groups:
        tags += [
            f"load={group.key};tension={tension:g};compression={compression:g};direction={DIRECTIONS[x.part]};duration={lasts}"
            for x in group.loads if x.part == part.key for lasts, tension, compression in x.lasting
        ]  # fmt: skip
    return tags


def new_document(version="R2018", *, metric=False):
    doc = ezdxf.new(version, setup=True)
    doc.appids.add(APP)
    doc.header["$INSUNITS"] = 4 if metric else 1
    return doc


def build(detail=None, *, version="R2018", metric=False):
    """The sheet as a document: face views one above the other, plan extents beside them, one dimension over each part's length."""
    detail = detail or splice_detail()
    doc, k = new_document(version, metric=metric), MM if metric else 1.0
    msp = doc.modelspace()
    style = doc.dimstyles.duplicate_entry("EZDXF", "PLAIN")
    style.dxf.dimlfac, style.dxf.dimtxt, style.dxf.dimdec = 1.0, 0.5 * k, 4
    for number, part in enumerate(detail.parts):
        up = 20.0 * number
        outline = msp.add_lwpolyline([((v.x) * k, (v.y + up) * k, v.bulge) for v in part.outline], format="xyb", close=True)
        tag(outline, *outline_tags(detail, part))
        for h in part.holes:
            bolt = "bolt 19 mm" if metric else "bolt 3/4 in"
            circle = msp.add_circle((h.x * k, (h.y + up) * k), h.diameter / 2 * k)
            tag(
                circle,
                "kind=hole",
                "view=face",
                f"part={part.key}",
                f"group={h.bolt}",
                f"fastener={bolt}",
                f"made={h.made}",
                f"template={h.template}",
            )
        xs = [v.x for v in part.outline]
        low, high, t = min(xs), max(xs), part.thickness
        if part.placement.angle:  # turned by half
            low, high = -high, -low
        a, b = (200 + part.placement.x + x for x in (low, high))
        plan = msp.add_lwpolyline([(x * k, (y + up) * k) for x, y in ((a, 0), (b, 0), (b, t), (a, t))], close=True)
        low, high = min(xs), max(xs)
        tag(plan, "kind=outline", "view=plan", f"part={part.key}")
        y = (up + min(v.y for v in part.outline)) * k
        dim = msp.add_linear_dim(base=(low * k, y - 2 * k), p1=(low * k, y), p2=(high * k, y), dimstyle="PLAIN")
        dim.render()
        dim.dimension.dxf.text = "<>"
    return doc


def saved(doc, folder: Path, name="sheet.dxf") -> Path:
    path = folder / name
    doc.saveas(path)
    return path


def failing(path):
    """What the checker finds wrong with a file, or cannot check, in words."""
    return [f"{r.state.value}: {r.where}: {r.check} {r.missing}" for r in check_file(path) if r.state is not State.PASSES]


def outlines(doc, part, view="face"):
    return [e for e in doc.modelspace() if value(e, "kind") == "outline" and value(e, "part") == part and value(e, "view") == view]


def outline(doc, part, view="face"):
    return outlines(doc, part, view)[0]


def holes(doc, part):
    """Holes of a part, left to right, then upward."""
    found = [e for e in doc.modelspace() if value(e, "kind") == "hole" and value(e, "part") == part]
    return sorted(found, key=lambda e: (round(e.dxf.center.x, 3), e.dxf.center.y))


def move(entity, dx, dy=0.0):
    entity.dxf.center = entity.dxf.center + ezdxf.math.Vec3(dx, dy)


def one_part(corners, bored, *, fastener="bolt 3/4 in", thickness=2.5, load="B1;tension=1000;compression=0;direction=180;duration=snow", **facts):
    """A sheet with one wood part (corners x, y), holes (x, y, diameter), its plan, and other facts; it ends at the left and runs on at the right."""
    doc = new_document()
    msp = doc.modelspace()
    said = {
        "detail": "D", "part": "chord", "material": "wood", "specification": "Douglas Fir-Larch No.1", "wood": "softwood", "standard": "nds_2018",
        "grain": "0", "existing": "yes", "open": "right", "product": "sawn", "service": "dry", "load": load,
    } | facts  # fmt: skip
    tag(msp.add_lwpolyline(corners, close=True), "kind=outline", "view=face", *(f"{k}={v}" for k, v in said.items() if v))
    for x, y, d in bored:
        tag(msp.add_circle((x, y), d / 2), "kind=hole", "view=face", "part=chord", "group=B1", f"fastener={fastener}", "made=field", "template=")
    xs = [c[0] for c in corners]
    low, high = min(xs), max(xs)
    plan = msp.add_lwpolyline([(200 + low, 0), (200 + high, 0), (200 + high, thickness), (200 + low, thickness)], close=True)
    tag(plan, "kind=outline", "view=plan", "part=chord")
    return doc


def box(length, width):
    return [(0, 0), (length, 0), (length, width), (0, width)]
