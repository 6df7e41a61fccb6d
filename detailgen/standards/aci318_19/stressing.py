"""What is left in each strand of a straight external run, stressed in a stated order against the same wood chord."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Calculation, Cite, require
from detailgen.core.table import read_table
from detailgen.standards.aci318_19 import losses
from detailgen.standards.aci318_19.limits import TABLES
from detailgen.standards.anchorage import StressingForces, StressingRequest
from detailgen.standards.interface import Floats

PROJECT = Cite("project", "stressing")
FEET = 12.0


def _locked(request: StressingRequest, sheet: Calculation) -> tuple[float, float]:
    """Forces (lb) of one strand at its far end while it is pulled, and as its wedges have seated: the least along the run."""
    table = read_table(TABLES, "friction")
    row = table.find(run=request.run)
    jack = sheet.given("P_j", request.jack, "lb", PROJECT)
    mu, K = (sheet.given(name, float(row[name]), "-" if name == "mu" else "1/ft", table.cite(row)) for name in ("mu", "K"))
    far = sheet(losses.P_x, P_j=jack, K=K, l=request.length / FEET, mu=mu, alpha=request.deviation)
    seat = sheet(losses.delta_f_seat, slip=request.seating, L=request.length, E_p=request.strand.modulus)
    lost = sheet(losses.delta_P, delta_f=seat, A_p=request.strand.area)
    seated = sheet.given("force as the wedges have seated", far - lost, "lb", Cite("ACI 318-19", "20.3.2.6.1 (far end, less seating)"))
    return float(far), float(seated)


def stressing_forces(request: StressingRequest) -> StressingForces:
    """Forces of all strands (lb) at lock-off of the last one and in the long term, and the losses of one strand by their name.

    Raises: NotCovered for a run that the table of friction does not hold, OutOfRange for strands that go slack
    """
    sheet, strand, n = Calculation(), request.strand, request.count
    far, locked = _locked(request, sheet)
    wood = {"E_w": request.chord_modulus, "A_w": request.chord_area}
    steel = {"E_p": strand.modulus, "A_p": strand.area}
    pulls = request.pulls or tuple(((k,), 1.0) for k in range(n))
    after, lost_to_others = np.zeros(n), np.zeros(n)
    standing = np.zeros(n, dtype=np.bool_)
    for strands, share in pulls:
        mine = np.isin(np.arange(n), strands)
        seated = locked - (1.0 - share) * far
        require(seated > 0, "strands that seating leaves without force", "mechanics: a strand only pulls")
        others = standing & ~mine
        if others.any():
            added = float((seated - after[mine]).sum())
            loss = sheet(losses.delta_P_elastic, P_later=added, A_locked=float(others.sum()) * strand.area, **steel, **wood)
            after[others] -= loss
            lost_to_others[others] += loss
        after[mine], lost_to_others[mine] = seated, 0.0
        standing |= mine
    require(bool(standing.all()), "strands that are never pulled", "order of the pulls")
    total = float(after.sum())
    held = sheet.given("permanent compression of the chord", total - request.chord_tension, "lb", Cite("analysis", "dead load"))
    together = sheet(
        losses.delta_P_creep, P=held, phi=request.creep, chi=request.ageing, eps_sh=request.shrinkage, E_p=strand.modulus, A_p=n * strand.area,
        **wood,
    )  # fmt: skip
    table = read_table(TABLES, "relaxation")
    row = table.find(strand="low relaxation")
    divisor, share = (sheet.given(name, float(row[name]), "-", table.cite(row)) for name in ("divisor", "from_share"))
    relaxed = sheet(
        losses.delta_f_relaxation, f_pi=after / strand.area, f_py=strand.yield_load / strand.area, hours=request.hours, divisor=divisor,
        from_share=share,
    )  # fmt: skip
    expansion, (hot, wooden) = read_table(TABLES, "expansion"), losses.expansions()
    for name, value in (("alpha_steel", hot), ("alpha_wood", wooden)):
        sheet.given(name, value, "millionths", expansion.cite())
    warm = sheet(losses.strain_temperature, alpha_steel=hot, alpha_wood=wooden, dT=request.warming)
    heat = sheet(losses.delta_f_strain, strain=warm, E_p=strand.modulus)
    lost: dict[str, Floats] = {
        "friction and seating": np.full(n, request.jack - locked),
        "elastic interaction": lost_to_others,
        "creep and shrinkage": np.full(n, together / n),
        "relaxation": np.asarray(relaxed, dtype=float) * strand.area,
        "temperature": np.full(n, heat * strand.area),
    }
    require(after > 0, "strands that seating and later strands leave without force", "mechanics: a strand only pulls")
    long_term = after - lost["creep and shrinkage"] - lost["relaxation"] - lost["temperature"]
    require(long_term > 0, "strands that go slack in the long term", "mechanics: a strand only pulls")
    mean = sheet.given("P, mean along the run", (request.jack + far) / 2, "lb", Cite("ACI 318-19", "20.3.2.6.1 (jack and far end)"))
    own = float(sheet(losses.elongation, P=mean, L=request.length, A_p=strand.area, E_p=strand.modulus))
    at_once = max(len(strands) for strands, _ in pulls)
    chord = float(sheet(losses.elongation, P=mean * at_once, L=request.length, A_p=request.chord_area, E_p=request.chord_modulus))
    return StressingForces(locked, after, long_term, lost, own, own + chord, sheet)
