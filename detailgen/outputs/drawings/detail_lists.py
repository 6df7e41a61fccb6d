"""The lists and notes of a detail's sheet."""

from __future__ import annotations

from detailgen.core.units import UnitSystem
from detailgen.model.detail import OLD_HOLES, PUT_BACK, Hole, Part
from detailgen.model.outlines import bounds
from detailgen.model.work_points import arc_of, measured_along
from detailgen.outputs.drawings.blocks import Listing, listing, paragraphs
from detailgen.outputs.drawings.detail_faces import faces, hole_groups
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import alike, diameter_words, length, number, size, standing
from detailgen.outputs.drawings.face_dims import curved_edges
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.sheets import Lettering

POUND = 0.45359237
"""kg per pound (exact by definition)."""


def parts_list(scene: Scene, letters: Lettering) -> Listing:
    """New parts by mark, then the existing ones that are cut or drilled."""
    units = scene.package.project.units
    rows = []
    for face in faces(scene):
        part = face.part
        if part.existing:
            continue
        total = next((m.quantity for m in scene.package.marks if m.mark == face.mark), len(face.alike))
        specification = f"{part.specification}{', ' + part.finish if part.finish else ''}"
        rows.append((face.mark, f"{len(face.alike)} / {total}", part.kind, size(part, units), specification, _made(part), _weight(part, units)))
    for part in scene.existing:
        if part.holes:
            rows.append((standing(part), "1", part.name, size(part, units), part.specification, _made(part), ""))
    header = ("Mark", "Qty", "Part", "Thickness x width x length", "Material", "Holes", "lb" if units.name == "US" else "kg")
    return listing("PARTS", header, rows, letters, right=(6,), under="Quantity here / in the project; weight of one piece.")


def _made(part: Part) -> str:
    kinds = sorted({h.made for h in part.holes}, reverse=True)
    if part.slots:
        kinds = sorted({*kinds, "shop"}, reverse=True)
    return " and ".join(kinds) if kinds else "none"


def _weight(part: Part, units: UnitSystem) -> str:
    return f"{part.weight:.1f}" if units.name == "US" else f"{part.weight * POUND:.1f}"


def bolt_list(scene: Scene, letters: Lettering) -> Listing:
    units = scene.package.project.units
    rows = []
    for group in alike(scene.detail.bolts):
        b = group[0]
        rows.append((str(len(group)), diameter_words(b.diameter, units), length(b.length, units), b.grade, length(b.high - b.low, units),
                     str(len(group) * b.washers), str(len(group))))  # fmt: skip
    header = ("Qty", "Diameter", "Length", "Grade", "Grip", "Washers", "Nuts")
    return listing("BOLTS", header, rows, letters, under="Spares are in the bolt list of the package.")


def hole_table(scene: Scene, letters: Lettering) -> Listing:
    """Running ordinates of all holes, part by part: from the left end (or from WP) and from the lower edge. Nothing adds up from hole to hole."""
    units = scene.package.project.units
    rows: list[tuple[str, ...]] = []
    for face in faces(scene):
        part = face.part
        curved = curved_edges(part)
        x0, y0, _, _ = bounds(part.outline)
        y0 = 0.0 if curved else y0
        shared = not part.open_ends
        name = face.mark or f"{standing(part)} {part.name}"
        for group in hole_groups(part, scene):
            by_row: dict[float, list[float]] = {}
            for hole in group:
                by_row.setdefault(round(hole.y - y0, 6), []).append(hole.x - (x0 if shared else 0.0))
            same: dict[tuple[str, ...], list[float]] = {}
            for y, xs in sorted(by_row.items()):
                same.setdefault(tuple(number(x, units) for x in sorted(xs)), []).append(y)
            for texts, ys in same.items():
                made = _made_where(scene, group[0])
                where = "; ".join(texts) + ("" if shared else " (WP)")
                up = "; ".join(number(y, units) for y in ys) + (" (WP)" if curved else "")
                rows.append((name, number(group[0].diameter, units), where, up, made))
    under = "Running ordinates from the left end of the face view (WP: from the work point) and from the lower edge."
    if any(curved_edges(face.part) for face in faces(scene)):
        under += " Of a curve y is measured from the tangent of its centre line at WP."
    return listing("HOLES", ("Part", "Dia", "x", "y", "Made"), rows, letters, under=under)


def _made_where(scene: Scene, hole: Hole) -> str:
    if hole.bolt == PUT_BACK:
        return f"field, {OLD_HOLES}"  # whoever laid them out by these ordinates would miss them
    mark = scene.package.mark_of(scene.detail.key, hole.template) if hole.template else ""
    return f"field, {mark}" if mark else hole.made


def why_table(scene: Scene, letters: Lettering) -> Listing:
    """Governing dimensions: what rule asks for how much."""
    units = scene.package.project.units
    rows = [
        (w.dimension, w.rule, length(w.required, units), length(w.provided, units), f"{w.cite.document} {w.cite.clause}") for w in scene.detail.whys
    ]
    return listing("WHY", ("Dimension", "Rule", "Required", "Provided", "Clause"), rows, letters, under="What governs each dimension.")


def general_notes(scene: Scene, letters: Lettering) -> Listing:
    """The firm's notes, then those of this detail."""
    firm = note_lines("notes/detail_sheet.txt", scene.package)
    return paragraphs("NOTES", [*firm, *scene.detail.notes, *_zone_notes(scene), *_turned(scene), *_curved(scene)], letters)


def _curved(scene: Scene) -> list[str]:
    """How a place on a curve is set out."""
    truss, units = scene.truss, scene.package.project.units
    member = next((m for m in truss.members if m.name == scene.detail.member), None)
    arc = arc_of(truss, member) if member is not None else None
    if member is None or arc is None:
        return []
    start = max((j for j in member.joints if truss.joints[j][0] <= scene.detail.station), key=lambda j: truss.joints[j][0])
    along = length(measured_along(truss, member, truss.joints[start][0], scene.detail.station), units)
    return [
        f"The {member.name} is curved, R {length(arc.radius, units)} on its centre line; WP is on it, {along} along the curve from that of {start}.",
        "Dimensions run along the tangent at WP and square to it, not along the curve. Edges of the curve are arcs about one centre.",
    ]


def _turned(scene: Scene) -> list[str]:
    """From the far side everything runs the other way than on the sheets of the truss."""
    turned = "This detail is drawn from the far side: left and right are exchanged against the sheets of the truss; ends are named by their joints."
    return [turned] if scene.behind else []


def _zone_notes(scene: Scene) -> list[str]:
    units = scene.package.project.units

    def side(x: float) -> str:
        return f"{length(abs(x), units)} {'right' if x > 0 else 'left'} of WP" if abs(x) > 1e-6 else "WP"

    sentences = [f"No-drill zone, {z.why}: from {side(z.x - z.length / 2)} to {side(z.x + z.length / 2)}." for z in scene.detail.zones]
    return list(dict.fromkeys(sentences))


def order_block(scene: Scene, letters: Lettering) -> Listing:
    return paragraphs("ORDER OF WORK", scene.detail.order, letters)
