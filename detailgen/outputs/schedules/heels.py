"""The heels that were surveyed, as free bodies: a table of every structure and combination, and what of it the report says."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np

from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Assessed, TrussAssessment
from detailgen.model.heel_bodies import HeelBody, heel_body
from detailgen.model.project import Truss
from detailgen.outputs.schedules.cells import cell


def bodies(truss: Truss, assessed: Assessed) -> list[HeelBody]:
    """The surveyed heels of one structure; none where it has no forces, or members were imported without them."""
    forces = assessed.forces
    if forces is None:
        return []
    ends = ("-".join(truss.bottom[:2]), "-".join(truss.bottom[-2:]), "-".join(truss.top[:2]), "-".join(truss.top[-2:]))
    return [heel_body(truss, forces, h.joint) for h in truss.heels] if all(e in forces.members for e in ends) else []


def write_heels_csv(path: Path, assessments: Sequence[TrussAssessment], units: UnitSystem, repaired: Mapping[str, Assessed]) -> None:
    """Every combination: thrust of the top chord (compression positive), pull of the bottom chord, what the bearing pushes back."""
    u, f, m = units.length_unit, units.force_unit, units.moment_unit
    forces = tuple(f"{name}_{f}" for name in ("reaction_inward", "reaction_upward", "loaded_on_heel"))
    header = ("truss", "structure", "heel", "combination", f"top_chord_thrust_{f}", "top_chord_slope_deg", f"bottom_chord_pull_{f}",
              f"bottom_chord_across_{f}", f"bottom_chord_moment_{m}", *forces, f"reaction_inside_{u}", f"reaction_above_{u}",
              f"rest_of_moments_{m}")  # fmt: skip
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(_rows(assessments, units, repaired))


def _settled(values: np.ndarray, least: float) -> list[float]:
    """Rounding of the solver is no force."""
    return [0.0 if abs(v) < least else float(v) for v in values]


def _rows(assessments: Sequence[TrussAssessment], units: UnitSystem, repaired: Mapping[str, Assessed]) -> Iterator[list[str]]:
    for one in assessments:
        after = repaired.get(one.truss.mark)
        for assessed in (one.intact, one.as_found, *([after] if after is not None else [])):
            for b in bodies(one.truss, assessed):
                least = 1e-6 * max(float(np.abs(b.thrust).max()), 1.0)
                forces = [_settled(v, least) for v in (b.thrust, b.tension, b.across, b.reaction[0], b.reaction[1], b.loaded)]
                moments = [_settled(v, 12 * least) for v in (b.moment, b.rest)]
                for k, name in enumerate(b.combinations):
                    thrust, pull, across, inward, up, loaded = (cell(v[k], units.force) for v in forces)
                    moment, rest = (cell(v[k], units.moment) for v in moments)
                    start = (one.truss.mark, assessed.structure, b.joint, name, thrust, cell(math.degrees(b.slope)), pull, across, moment)
                    yield [*start, inward, up, loaded, cell(b.offset[0], units.length), cell(b.offset[1], units.length), rest]
