"""What a new piece is made of: sawn timber as the ply, or glued laminated timber of one grade throughout, and how it is ordered."""

from __future__ import annotations

from dataclasses import replace

from detailgen.core.tolerance import at_most
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Timber
from detailgen.model.member import Ply, Wood
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job
from detailgen.remedies.replacement import parameters as p
from detailgen.stock.plates import glulam_widths, sawn_stock_fits

ITEM = "replacement timber"
"""Item of a truss's overrides: "sawn", or "glulam" with one of the grades that the wood standard has for the species."""
SAWN, GLULAM = "sawn", "glulam"


def combinations(job: Job, ply: Ply) -> list[Wood]:
    """Axial combinations that the standard has for the ply's species, in the order in which they are tried."""
    known = job.wood.known_woods().get(f"{GLULAM}: {ply.wood.species}", ())
    return [_glulam(ply, grade) for grade in p.COMBINATIONS if grade in known]


def _glulam(ply: Ply, grade: str) -> Wood:
    return replace(ply.wood, product=GLULAM, grade=grade, values=(), source="")


def wished(job: Job, truss: Truss, ply: Ply) -> tuple[Wood | None, str]:
    """The wood that an override asks for (None: none does), and what is wrong with it."""
    for override in truss.overrides:
        if override.item != ITEM:
            continue
        product, _, grade = override.value.partition(" ")
        known = job.wood.known_woods().get(f"{GLULAM}: {ply.wood.species}", ())
        if override.value == SAWN:
            return ply.wood, ""
        if product == GLULAM and grade in known:
            return _glulam(ply, grade), ""
        allowed = ", ".join([SAWN, *(f"{GLULAM} {g}" for g in known)])
        return None, f"override '{ITEM}': found '{override.value}'; allowed for {ply.wood.species}: {allowed}"
    return None, ""


def in_stock(ply: Ply, length: float, units: UnitSystem) -> bool:
    return sawn_stock_fits(ply.thickness, ply.depth, length, units.name)


def ordered(ply: Ply, wood: Wood, units: UnitSystem) -> Timber:
    """How a piece of the ply's own size is ordered: it is dressed to the ply beside it, so the stock that it is made of is larger or as large."""
    write = units.write_length
    if wood.product == SAWN:
        rough = f"rough stock of at least {write(ply.thickness + p.OVER)} x {write(ply.depth + p.OVER)}, seasoned, planed to size"
        return Timber(SAWN, made_of=f"{rough}; ripped stock loses its grade until it is graded again")
    widths = glulam_widths(wood.species)
    same = any(at_most(abs(w - ply.thickness), 1e-3) for w in widths)
    wider = next((w for w in widths if w > ply.thickness), None)
    if same:
        width = f"a stock width of the maker's, {write(ply.thickness)}: not ripped"
    elif wider is not None:
        width = (
            f"stock width {write(wider)}, planed to {write(ply.thickness)} by the maker before it is marked; ripped only from a layup graded for that"
        )
    else:
        width = f"no stock width is known: the maker finishes it to {write(ply.thickness)} before it is marked"
    return Timber(GLULAM, appearance=p.APPEARANCE, made_of=f"{width}; the certificate names the finished size")
