"""Further lists for shop and supplier: plates by thickness, timber by stock length, the joints side by side, what is measured on site."""

from __future__ import annotations

import itertools
import math

from detailgen.core.tolerance import rounded, rounded_length
from detailgen.core.units import FOOT, MM
from detailgen.model.detail import ACROSS, BAR, EDGES, Detail, Part, Timber
from detailgen.model.outlines import depth_of
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.model.work_points import arc_of, measured_along
from detailgen.outputs.drawings.register import detail_number
from detailgen.outputs.schedules.lists import Cell, Listing, grain_extent, length_of, natural, weight_of
from detailgen.outputs.schedules.stock_lengths import cut_stock
from detailgen.stock.plates import lumber_lengths

KERF = {"US": 1 / 8, "SI": 3 * MM}
"""Lost with each cut (ours)."""
ACCEPT = {"US": 1 / 8, "SI": 3 * MM}
"""What differs more from the drawing than this is reported before anything is ordered (ours; the notes of the sheets say the same)."""


STEP = {"US": 1 / 16, "SI": 1 * MM}
"""What a tape reads."""


def plates_list(package: Package) -> Listing:
    """Plates by thickness, grade and finish: what the shop draws from its store."""
    units = package.project.units
    u, w = units.length_unit, "lb" if units.name == "US" else "kg"
    groups: dict[tuple[float, str, str], list[tuple[str, int, float, float]]] = {}
    for m in sorted(package.marks, key=lambda m: natural(m.mark)):
        if m.part.material == "steel" and m.part.kind != BAR:
            key = (rounded_length(m.part.thickness), m.part.specification, m.part.finish or "none")
            groups.setdefault(key, []).append((m.mark, m.quantity, m.part.area, weight_of(m.part.weight, units)))
    rows: list[tuple[Cell, ...]] = []
    for (thickness, grade, finish), found in sorted(groups.items()):
        area = rounded(round(sum(q * a for _, q, a, _ in found) * units.length**2, 1))
        weight = round(sum(q * each for _, q, _, each in found), 2)
        marks = "; ".join(f"{mark} x{q}" for mark, q, _, _ in found)
        rows.append((length_of(thickness, units), grade, finish, sum(q for _, q, _, _ in found), area, weight, marks))
    return Listing("plates", (f"thickness_{u}", "material", "finish", "quantity", f"net_area_{u}2", f"weight_total_{w}", "marks"), tuple(rows))


def timber_order(package: Package) -> Listing:
    """What is ordered of new timber: product, size along the grain, camber, treatment, quantity, net volume, and what it is made out of where that
    matters; glued laminated timber first."""
    units = package.project.units
    u = units.length_unit
    cube, factor = ("ft3", 1 / FOOT**3) if units.name == "US" else ("m3", (units.length / 1000) ** 3)
    groups: dict[tuple[str, str, float, float, float, float, str, str, str], list[tuple[str, int]]] = {}
    for m in sorted(package.marks, key=lambda m: natural(m.mark)):
        if m.part.material != "wood":
            continue
        along, across = grain_extent(m.part)
        said = m.part.timber or Timber()
        sizes = (rounded_length(m.part.thickness), rounded_length(across), rounded_length(along), rounded_length(said.camber))
        key = (said.product, m.part.specification, *sizes, said.treatment or "none", said.appearance, said.made_of)
        groups.setdefault(key, []).append((m.mark, m.quantity))
    rows: list[tuple[Cell, ...]] = []
    for (product, grade, thickness, width, long, camber, treatment, appearance, made_of), found in sorted(groups.items()):
        count = sum(q for _, q in found)
        volume = round(thickness * width * long * factor * count, 3)
        written = tuple(length_of(v, units) for v in (thickness, width, long, camber))
        marks = "; ".join(f"{mark} x{q}" for mark, q in found)
        rows.append((product, grade, *written, treatment, appearance or "none asked for", count, volume, made_of, marks))
    header = ("product", "species_grade", f"thickness_{u}", f"width_{u}", f"length_{u}", f"camber_{u}", "treatment", "appearance", "quantity")
    return Listing("timber_order", (*header, f"volume_{cube}", "made_of", "marks"), tuple(rows))


def timber_stock(package: Package) -> Listing:
    """What to buy for the cut list, and what is cut from each piece. A piece that no stock is long enough for is ordered to length."""
    units = package.project.units
    u, kerf, stock = units.length_unit, KERF[units.name], lumber_lengths(units.name)
    groups: dict[tuple[float, float, str], dict[float, list[tuple[str, int]]]] = {}
    for m in sorted(package.marks, key=lambda m: natural(m.mark)):
        if m.part.material != "wood":
            continue
        if m.part.timber is not None and m.part.timber.product != "sawn":
            continue  # made to its length
        along, across = grain_extent(m.part)
        group = groups.setdefault((rounded_length(m.part.thickness), rounded_length(across), m.part.specification), {})
        group.setdefault(rounded_length(along), []).append((m.mark, m.quantity))
    rows: list[tuple[Cell, ...]] = []
    for (thickness, width, grade), pieces in sorted(groups.items()):
        size = (length_of(thickness, units), length_of(width, units), grade)
        fit = sorted((x for x in pieces if x + kerf <= max(stock)), reverse=True)
        for x in sorted(set(pieces) - set(fit), reverse=True):
            count = sum(q for _, q in pieces[x])
            rows.append((*size, length_of(x, units), count, f"{_marks(pieces[x])}, to order", 0.0))
        if fit:
            wanted = [sum(q for _, q in pieces[x]) for x in fit]
            for one in cut_stock(fit, wanted, stock, kerf):
                cut = "; ".join(f"{n} of {_marks(pieces[x])}" for n, x in zip(one.counts, fit, strict=True) if n)
                rows.append((*size, length_of(one.stock, units), one.times, cut, length_of(max(one.left_over(fit, kerf), 0.0), units)))
    header = (f"thickness_{u}", f"width_{u}", "species_grade", f"stock_length_{u}", "pieces", "cut_from_each", f"left_over_{u}")
    return Listing("timber_stock", header, tuple(rows))


def _marks(found: list[tuple[str, int]]) -> str:
    return ", ".join(mark for mark, _ in found)


def joints_list(package: Package) -> Listing:
    """All joints side by side, so that what differs from truss to truss is seen at once.

    ``times``: how often it is built; its bolts and parts are those of one. A size that a joint does not have is told as none.
    """
    units = package.project.units
    u = units.length_unit
    rows: list[tuple[Cell, ...]] = []

    def size_of(value: float) -> Cell:
        return length_of(value, units) if value else "none"

    for d in package.details:
        group = d.groups[0] if d.groups else None
        bolts = (len(d.bolts), *((size_of(d.bolts[0].diameter), size_of(d.bolts[0].length)) if d.bolts else ("none", "none")))
        side = {"splice": " each side", "replacement": " each side of two cuts"}.get(d.remedy, "")
        layout = f"{group.rows} row{'s' if group.rows > 1 else ''} of {group.per_row}{side}" if group else "none"
        if len(d.groups) > 1:
            layout = "as drawn"
        if group is not None and d.remedy == "side_member":
            layout = f"{group.rows} row{'s' if group.rows > 1 else ''} of {sum(g.per_row for g in d.groups)}"
        alike = len({(g.spacing, g.gauge) for g in d.groups}) == 1 and group is not None
        pitch = (size_of(group.spacing), size_of(group.gauge)) if alike and group else ("none", "none")
        marks: dict[str, int] = {}
        for p in d.parts:
            mark = package.mark_of(d.key, p.key)
            if mark:
                marks[mark] = marks.get(mark, 0) + 1
        parts = "; ".join(f"{mark} x{n}" for mark, n in sorted(marks.items(), key=lambda item: natural(item[0])))
        where = (detail_number(d.key, package), d.key, d.truss, d.member, length_of(d.station, units))
        rows.append((*where, d.times, *bolts, layout, *pitch, parts))
    size = ("bolts", f"diameter_{u}", f"bolt_length_{u}")
    header = ("sheet", "joint", "truss", "member", f"work_point_{u}", "times", *size)
    return Listing("joints", (*header, "layout", f"spacing_{u}", f"gauge_{u}", "parts"), tuple(rows))


FieldRow = tuple[str, str, float]
"""Sheet, what is measured, drawn length (in)."""


def _across(detail: Detail, part: Part) -> tuple[float, float]:
    """From where to where an old ply stands across the truss, seen from its middle."""
    if detail.axis in EDGES:
        half = depth_of(part.outline) / 2
        return part.placement.x - half, part.placement.x + half
    return part.placement.z, part.placement.z + part.thickness


def _gaps(detail: Detail) -> list[tuple[str, float]]:
    """Clear distances across the truss between existing plies, at this joint."""
    plies: dict[str, tuple[float, float]] = {}
    for p in detail.parts:
        if p.existing and p.kind == "ply":
            plies[p.name.split(",")[0] if detail.axis == ACROSS else p.name] = _across(detail, p)
    ordered = sorted(plies.items(), key=lambda item: item[1])
    return [(f"gap between {a} and {b}", hi[0] - lo[1]) for (a, lo), (b, hi) in itertools.pairwise(ordered) if hi[0] - lo[1] > 1e-6]


def field_rows(detail: Detail, truss: Truss, sheet: str) -> list[FieldRow]:
    """What has to be measured at a joint before steel is ordered or timber is cut."""
    rows: list[FieldRow] = []
    member = next((m for m in truss.members if m.name == detail.member), None)
    if member is not None and member.kind == "web":  # its work point is its middle, and it is measured along it
        whole = math.dist(*(truss.joints[j] for j in member.joints))
        rows.append((sheet, f"web {member.name} along its axis, from the work point of {' to that of '.join(member.joints)}", whole))
        return list(dict.fromkeys([*rows, *_sections_and_zones(detail, sheet)]))
    joints = [(name, truss.joints[name][0]) for m in truss.members if m.name == detail.member for name in m.joints]
    before = max((j for j in joints if j[1] <= detail.station), key=lambda j: j[1], default=None)
    after = min((j for j in joints if j[1] > detail.station), key=lambda j: j[1], default=None)
    for joint in (before, after):
        if member is not None and joint is not None and abs(detail.station - joint[1]) > 1e-6:
            along = measured_along(truss, member, joint[1], detail.station)
            curve = ", along the curve" if arc_of(truss, member) is not None else ""
            rows.append((sheet, f"work point of the joint to {joint[0]}{curve}", along))
    return list(dict.fromkeys([*rows, *_sections_and_zones(detail, sheet)]))


def _sections_and_zones(detail: Detail, sheet: str) -> list[FieldRow]:
    """Old timbers, the gaps between them, and how near each thing that bars new work comes to the work point."""
    rows: list[FieldRow] = []
    for part in (p for p in detail.parts if p.existing and p.kind != "brace"):
        thick = part.thickness if detail.axis == ACROSS else max(v.x for v in part.outline) - min(v.x for v in part.outline)
        deep = depth_of(part.outline)
        if detail.axis in EDGES:  # the edge faces the viewer, and its grain runs along the outline
            thick, deep = deep, part.thickness
        rows += [(sheet, f"depth of {part.name}", deep), (sheet, f"thickness of {part.name}", thick)]
    rows += [(sheet, words, value) for words, value in _gaps(detail)]
    for zone in detail.zones:
        edge = min(abs(zone.x - zone.length / 2), abs(zone.x + zone.length / 2))
        rows.append((sheet, f"work point to the nearest of {zone.why}", edge))
    return rows


def field_dimensions(package: Package) -> Listing:
    """The form: drawn length, what may pass, and room for what is measured."""
    units = package.project.units
    u, accept, step = units.length_unit, ACCEPT[units.name], STEP[units.name]
    rows: list[tuple[Cell, ...]] = []
    for one in package.trusses:
        for detail in one.details:
            for sheet, what, value in field_rows(detail, one.before.truss, detail_number(detail.key, package)):
                drawn = round(value / step) * step
                low, high = length_of(drawn - accept, units), length_of(drawn + accept, units)
                rows.append((len(rows) + 1, sheet, one.before.truss.mark, what, length_of(drawn, units), low, high, "", "", ""))
    header = ("item", "sheet", "truss", "what", f"drawn_{u}", f"accept_low_{u}", f"accept_high_{u}", f"measured_{u}", "by", "date")
    return Listing("dimensions", header, tuple(rows))
