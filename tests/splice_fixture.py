"""A bottom-chord splice detail written by hand, for the tests of sheets, cut files, solids, lists and the checker.

Near ply of a two-ply chord (2-1/2 x 9-1/2, gap 3-1/2), cut over 6 in. of damage, steel plates on both its faces, a filler block at the bolt
columns between inner plate and far ply, 3/4 in. bolts through all of it: two rows of three on each side of the cut.
"""

from __future__ import annotations

import math

from detailgen.core.clause import Cite
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Vertex, Why, Zone

GAP, END, SPACING, GAUGE, PER_ROW = 6.0, 7.0, 4.5, 4.0, 3
PLATE_END, WIDTH, PLATE = 1.25, 7.0, 0.25
PLY, DEPTH, BETWEEN = 2.5, 9.5, 3.5
BOLT, HOLE = 0.75, 0.8125
STEEL, WOOD = 490 / 1728, 35 / 1728

COLUMNS = [side * (GAP / 2 + END + k * SPACING) for side in (-1, 1) for k in range(PER_ROW)]
BOLTS = sorted((x, y) for x in COLUMNS for y in (-GAUGE / 2, GAUGE / 2))
HALF = GAP / 2 + END + (PER_ROW - 1) * SPACING + PLATE_END
NEAR_Z, FAR_Z = BETWEEN / 2, -BETWEEN / 2 - PLY  # far faces of the two plies


def rectangle(x1: float, x2: float, y1: float, y2: float) -> tuple[Vertex, ...]:
    return (Vertex(x1, y1), Vertex(x2, y1), Vertex(x2, y2), Vertex(x1, y2))


def holes(template: str, keep=lambda x: True) -> tuple[Hole, ...]:
    return tuple(Hole(x, y, HOLE, "B1", template) for x, y in BOLTS if keep(x))


def splice_detail() -> Detail:
    reach = HALF + 12
    steel = {"material": "steel", "specification": "ASTM A36", "grain": math.nan, "existing": False, "unit_weight": STEEL, "finish": "galvanized"}
    timber = {"material": "wood", "specification": "Douglas Fir-Larch No.1", "grain": 0.0, "existing": True, "unit_weight": WOOD,
              "facts": (("product", "sawn"), ("service", "dry"))}
    block = {"material": "wood", "specification": "Douglas Fir-Larch No.2", "grain": 0.0, "existing": False, "unit_weight": WOOD}
    plate = rectangle(-HALF, HALF, -WIDTH / 2, WIDTH / 2)
    filler = rectangle(0.0, HALF - GAP / 2 - END + 2.5, -WIDTH / 2, WIDTH / 2)
    at = GAP / 2 + END - 2.5
    filler_holes = tuple(Hole(x - at, y, HOLE, "B1", "plate-near") for x, y in BOLTS if x > 0)
    parts = (
        Part("plate-near", "plate", "outer splice plate", plate, holes(""), (), PLATE, Placement(0, 0, NEAR_Z + PLY), **steel),
        Part("plate-inner", "plate", "inner splice plate", plate, holes(""), (), PLATE, Placement(0, 0, NEAR_Z - PLATE), **steel),
        Part("filler-right", "filler", "filler block", filler, filler_holes, (), BETWEEN - PLATE, Placement(at, 0, -BETWEEN / 2), **block),
        Part("filler-left", "filler", "filler block", filler, filler_holes, (), BETWEEN - PLATE, Placement(-at, 0, -BETWEEN / 2, math.pi), **block),
        Part("ply-near-left", "ply", "near ply", rectangle(-reach, -GAP / 2, -DEPTH / 2, DEPTH / 2), holes("plate-near", lambda x: x < 0), (), PLY,
             Placement(0, 0, NEAR_Z), open_ends=(-reach,), **timber),
        Part("ply-near-right", "ply", "near ply", rectangle(GAP / 2, reach, -DEPTH / 2, DEPTH / 2), holes("plate-near", lambda x: x > 0), (), PLY,
             Placement(0, 0, NEAR_Z), open_ends=(reach,), **timber),
        Part("ply-far", "ply", "far ply", rectangle(-reach, reach, -DEPTH / 2, DEPTH / 2), holes("plate-near"), (), PLY,
             Placement(0, 0, FAR_Z), open_ends=(-reach, reach), **timber),
    )  # fmt: skip
    top = NEAR_Z + PLY + PLATE
    bolts = tuple(Bolt("B1", x, y, BOLT, FAR_Z, top, 10.0, "ASTM A307", 2) for x, y in BOLTS)
    force = 13600.0
    lasting = ("permanent", force / 3, 0.0), ("snow", force, 0.0)
    cite = Cite("NDS 2018", "12.5.1", "bolt_least_distances")
    group = Group(
        key="B1", diameter=BOLT, positions=tuple(BOLTS), parts=("ply-far", "filler-left", "filler-right", "plate-inner", "ply-near-left",
                                                                 "ply-near-right", "plate-near"),
        interfaces=(
            Interface("plate-inner", "ply-near-right", force / 2, 9057.0, "III_s"),
            Interface("ply-near-right", "plate-near", force / 2, 9057.0, "III_s"),
        ),
        loads=tuple(PlyLoad(f"ply-near-{side}", force, 0.0, 0.0, lasting) for side in ("left", "right")),
        rows=2, per_row=PER_ROW, spacing=SPACING, gauge=GAUGE,
    )  # fmt: skip
    return Detail(
        key="T2-splice-near", title="Splice of the near ply of the bottom chord", truss="T2", remedy="splice", member="bottom chord", station=225.0,
        parts=parts, bolts=bolts, groups=(group,),
        zones=(Zone(reach - 4.0, 0.0, 8.0, DEPTH, "bolts of web U3-L3"),),
        whys=(
            Why("end distance", "7 D, full value in tension, softwood", 5.25, END, cite),
            Why("spacing in a row", "4 D, full value", 3.0, SPACING, cite),
            Why("edge distance", "1.5 D", 1.125, DEPTH / 2 - GAUGE / 2, cite),
            Why("gauge", "2-2/3 d of the plate", 2.0, GAUGE, Cite("AISC 360-16", "J3.3")),
        ),
        order=(
            "Shore the truss and prove that the ply carries no tension before it is cut.",
            "Cut out the damaged length square, 6 in.; fit the filler blocks tight.",
            "Clamp the outer plate on its centre line and drill through it, square to the face.",
            "Slide in the inner plate, set bolts with a washer on the far ply, tighten snug.",
        ),
        notes=("Old plates of splice S1 stay.",),
    )  # fmt: skip
