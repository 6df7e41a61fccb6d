"""A slot that strands pass: wide enough for them, and with its part whole about it."""

from __future__ import annotations

from detailgen.checker.drawing import Drawing, Face, FaceHole
from detailgen.checker.rules import at_least
from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult

ROOM, BESIDE = 1 / 16, 0.5
"""Between a strand and its slot's side; of the part between slot and edge (in; common practice, no published source)."""
PRACTICE = Cite("common practice", "no published source")


def judge_strand_slot(drawing: Drawing, face: Face, slot: FaceHole, strand: float) -> list[CheckResult]:
    """``strand``: diameter (in). What the slot takes from the part's strength is the remedy's check, by what the part carries."""
    where, spots = f"{face.name}, {face.hole_name(slot, drawing.metric)}", (face.frame.at(slot.at),)
    edge = face.outline.nearest(slot.at) - slot.length / 2 if face.outline.contains(slot.at) else -slot.length
    return [
        at_least(where, "slot for its strand: room on both sides", strand + 2 * ROOM, slot.diameter, PRACTICE, spots=spots),
        at_least(where, "slot for its strand: part whole about it", BESIDE, edge, PRACTICE, spots=spots),
    ]
