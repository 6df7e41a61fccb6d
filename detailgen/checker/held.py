"""Wood that steel holds: how far apart the outer rows may stand that one steel part does not let shrink, and how far its bolts."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Sequence

from detailgen.checker import measure
from detailgen.checker.bridging import bridges, loaded
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole, length_words
from detailgen.checker.placing import Laid
from detailgen.checker.rules import GREATEST_COLUMNS, at_most, cite_of, rows_of
from detailgen.checker.steel import far_pitches
from detailgen.checker.tags import fastener
from detailgen.checker.wood_values import product_of
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.tolerance import rounded_length

TOUCH = 1e-3


def judge_held(drawing: Drawing, a: Face, b: Face, laid: Laid, group: str) -> list[CheckResult]:
    """Two parts of which one is wood and one steel."""
    if {a.material, b.material} != {"steel", "wood"}:
        return []
    wood, steel = (a, b) if a.material == "wood" else (b, a)
    pairs = [(p, q) if a is wood else (q, p) for p, q in laid.pairs]
    return _outer_rows(drawing, wood, steel, [p for p, q in pairs if not q.slot], group) + _apart(drawing, wood, steel, [q for _, q in pairs], group)


def _apart(drawing: Drawing, wood: Face, steel: Face, held: Sequence[FaceHole], group: str) -> list[CheckResult]:
    """Bolts by which a plate holds one part that loads it; over the joint, where that part ends, nothing is asked."""
    if not held or not loaded(wood, group) or bridges(drawing, wood, group):
        return []
    low, high = min(h.x for h in held) - TOUCH, max(h.x for h in held) + TOUCH
    between = [h for h in steel.of_group(group) if low <= h.x <= high]
    try:
        return far_pitches(drawing, steel, measure.rows(between, (1.0, 0.0)))
    except NotCovered as missing:
        return [cannot_be_checked(steel.name, "greatest distance between bolts", missing.what, FACE_VIEW)]


def _outer_rows(drawing: Drawing, wood: Face, steel: Face, held: Sequence[FaceHole], group: str) -> list[CheckResult]:
    """Rows of a wood part that one steel part holds with round holes: how far the outer ones stand apart across the grain."""
    if wood.grain is None or not held:
        return []  # the missing grain is reported with the distances
    g = math.radians(wood.grain)
    across = [h.y * math.cos(g) - h.x * math.sin(g) for h in held]
    where, what = f"{wood.name} and {steel.name}, group {group}", "outer rows through one steel part"
    kinds = set()
    for h in held:
        with contextlib.suppress(NotCovered):
            kinds.add(fastener(h.fastener).kind)
    try:
        found = [(t, r) for kind in sorted(kinds) for t, r in rows_of(wood.standard, GREATEST_COLUMNS, kind) if r["quantity"] == "outer_rows"]
    except NotCovered as missing:
        return [cannot_be_checked(where, what, missing.what, FACE_VIEW)]
    if not found:
        return []  # the standard sets no greatest distance for this fastener
    product, table = product_of(wood), found[0][0]
    rows = [r for _, r in found]
    rows = [r for r in rows if not product or r["product"] in (product, "any")]
    for fact in ("made", "service"):
        if told := wood.facts.get(fact, ""):
            rows = [r for r in rows if r[fact] in (told, "any")]
    span = max(across) - min(across)
    if not rows:
        return [cannot_be_checked(where, what, f"a row for {product}", FACE_VIEW)]
    strict = min(rows, key=lambda r: float(r["greatest"]))
    if rounded_length(span) > float(strict["greatest"]) and len({float(r["greatest"]) for r in rows}) > 1:
        stated = {"sawn or glulam": product, "moisture when made": wood.facts.get("made"), "moisture in service": wood.facts.get("service")}
        missing_facts = " and ".join(name for name, value in stated.items() if not value)
        return [cannot_be_checked(where, f"{what}: {length_words(span, drawing.metric)} apart", missing_facts, cite_of(table, strict))]
    return [at_most(where, what, float(strict["greatest"]), span, cite_of(table, strict))]
