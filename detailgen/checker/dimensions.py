"""Every dimension against what it spans: its text, the picture that a program shows, and the features at its two points."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence

from detailgen.checker.drawing import Drawing, Face, Stretch, length_words
from detailgen.checker.geometry import Point
from detailgen.checker.rules import READING_IN, Found, falls_short, wrong
from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import MM, QuantityError, parse

DIMENSIONS = Cite("dimensions", "text against measured distance")
HALF_STEP_IN = 1 / 32
"""Drawings round dimensions to sixteenths."""
HALF_STEP_MM = 0.5 * MM
AT_A_FEATURE = 1 / 64
MOST = 30_000_000
"""Dimensions times holes that are gone through."""
_NUMBER = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d+|\.\d+|\d+)"
_LENGTH = re.compile(rf"(?<![A-Za-z]-)(?<![A-Za-z\d])(?:(?:\d+\s*'\s*-?\s*)?{_NUMBER}\s*\"|\d+\s*'|{_NUMBER}(?:\s*mm\b)?)")
_CHAIN = re.compile(rf"(?P<count>\d+)\s*(?:SPA|spaces|x|×)\.?\s*@?\s*(?P<step>(?:\d+\s*'\s*-?\s*)?{_NUMBER}\s*(?:\"|mm\b)?)", re.IGNORECASE)
_CODES = ((re.compile(r"%%[cC]|\\U\+2205|[Ø⌀∅]"), ""), (re.compile(r"\\S([^;]*?)[#^]([^;]*?);"), r" \1/\2"), (re.compile(r"\\S([^;]*);"), r" \1"),
          (re.compile(r"\\[AHWQTCFfp][^;]*;"), ""), (re.compile(r"\\[LlOoKk]"), ""), (re.compile(r"\\[Xx].*"), ""), (re.compile(r"\\P"), " "),
          (re.compile(r"[{}]"), ""))  # fmt: skip

_ANGLE = re.compile(r"(\d+(?:\.\d+)?)\s*(?:°|%%d)")


def plain(text: str) -> str:
    """Dimension text without its formatting codes."""
    for pattern, instead in _CODES:
        text = pattern.sub(instead, text)
    return " ".join(text.replace("″", '"').replace("”", '"').replace("’", "'").replace("′", "'").split())


def length_in(text: str, metric: bool) -> float:
    """The length (in) that a dimension text states: the last one that names its unit, else the last number. Raises ValueError for none."""
    found = _LENGTH.findall(text)
    found = [f for f in found if f.strip().endswith(('"', "'", "mm"))] or found
    if not found:
        raise ValueError(f"no length in '{text}'")
    last = found[-1].strip()
    if not last.endswith(('"', "'", "mm")):
        last += " mm" if metric else '"'
    try:
        return parse(last, "length")
    except QuantityError as fault:
        raise ValueError(str(fault)) from fault


def _claims(text: str, stretch: Stretch, metric: bool) -> list[float]:
    """Every length that a text claims for the whole stretch: its own, and count times step where it states a chain."""
    text = plain(text)
    if "<>" in text:
        text = text.replace("<>", length_words(stretch.measured * stretch.factor, metric) if metric else f'{stretch.measured * stretch.factor:.6f}"')
    claims = [length_in(text.split("=")[-1], metric)] if "=" in text or not _CHAIN.search(text) else []
    if chain := _CHAIN.search(text):
        claims.append(int(chain["count"]) * length_in(chain["step"], metric))
    return claims


def judge_dimensions(drawing: Drawing) -> list[CheckResult]:
    """Texts that state another length than is there; pictures that show another; points at nothing."""
    half = HALF_STEP_MM if drawing.metric else HALF_STEP_IN
    out: list[CheckResult] = []
    checked = 0
    holes = sum(len(f.holes) for f in drawing.faces)
    if len(drawing.stretches) * max(holes, 100) > MOST:
        missing = f"fewer dimensions or holes: {len(drawing.stretches):,} and {holes:,} are too many to hold against each other"
        return [cannot_be_checked("dimensions", "dimensions", missing, DIMENSIONS)]
    for s in drawing.stretches:
        where = f"dimension of {length_words(s.measured, drawing.metric)} on layer {s.layer}" + _near(drawing, s)
        for text, what in ((s.text, "text"), (s.shown, "picture")):
            if not text or (text == "<>" and s.factor == 1.0):
                continue
            try:
                claims = _claims(text, s, drawing.metric)
            except ValueError:
                continue  # words such as VARIES claim no length
            checked += 1
            for claim in claims:
                if abs(claim - s.measured) > half + READING_IN:
                    check = f"dimension {what} '{plain(text)}' states {length_words(claim, drawing.metric)}"
                    out.append(_differs(where, check, claim, s))
        out += _at_nothing(drawing, s, where)
    for turn in drawing.turns:
        for text, what in ((turn.text, "text"), (turn.shown, "picture")):
            if (stated := _ANGLE.search(plain(text).replace("%%d", "°"))) is None:
                continue
            checked += 1
            _, _, decimals = stated[1].partition(".")
            off = min(abs(float(stated[1]) - a) for a in turn.possible)
            if off > 0.5 * 10 ** -len(decimals) + 1e-6:
                check = f"dimension {what} '{plain(text)}' states another angle than {' or '.join(f'{a:.2f}' for a in turn.possible)} degrees"
                out.append(wrong(f"dimension of an angle on layer {turn.layer}", check, off, DIMENSIONS, spots=(turn.at,)))
    if checked and not out:
        nan = math.nan
        check = f"{checked} dimension texts state what they span"
        out.append(CheckResult("dimensions", check, nan, nan, "", nan, State.PASSES, "", "", nan, DIMENSIONS))
    return out


def _differs(where: str, check: str, claim: float, s: Stretch) -> CheckResult:
    claim, measured = rounded_length(claim), rounded_length(s.measured)
    spots = (s.first, s.second)
    return Found(where, check, claim, measured, "in", math.inf, State.DOES_NOT_PASS, "", "", math.nan, DIMENSIONS, spots=spots)


def _near(drawing: Drawing, s: Stretch) -> str:
    face = _face_of(drawing.faces, s)
    return f" in the face view of {face.name}" if face else ""


def _face_of(faces: Sequence[Face], s: Stretch) -> Face | None:
    """The face view to whose outline both points of a dimension belong; none for a view that was turned back."""
    return next((f for f in faces if not f.turn and all(f.outline.in_box(p, AT_A_FEATURE) for p in (s.first, s.second))), None)


def _crosses(face: Face, a: Point, b: Point, d: Point) -> bool:
    """Is a line a centre line of the view: square to the dimension, and right across the part?"""
    n = (-d[1], d[0])
    if abs((b[0] - a[0]) * d[0] + (b[1] - a[1]) * d[1]) > AT_A_FEATURE:
        return False
    x0, y0, x1, y1 = face.outline.box
    corners = [x * n[0] + y * n[1] for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    ends = sorted(p[0] * n[0] + p[1] * n[1] for p in (a, b))
    return ends[0] <= min(corners) + AT_A_FEATURE and ends[1] >= max(corners) - AT_A_FEATURE


def _at_nothing(drawing: Drawing, s: Stretch, where: str) -> list[CheckResult]:
    """In a face view a dimension runs from and to a hole, a corner or the middle of the part or of two holes."""
    face = _face_of(drawing.faces, s)
    if face is None or s.direction is None:
        return []
    d = s.direction

    def along(p: Point) -> float:
        return p[0] * d[0] + p[1] * d[1]

    holes = [along(h.at) for h in face.holes]
    radii = [h.diameter / 2 for h in face.holes]
    x0, y0, x1, y1 = face.outline.box
    features = [along(p) for p in face.outline.corners] + [along(((x0 + x1) / 2, (y0 + y1) / 2))] + holes
    features += [h + sign * r for h, r in zip(holes, radii, strict=True) for sign in (-1, 1)]
    if holes:
        features.append((min(holes) + max(holes)) / 2)
    features += [along(a) for a, b in drawing.lines if _crosses(face, a, b, d)]
    ordered = sorted(holes)
    features += [(a + b) / 2 for a, b in itertools.pairwise(ordered)]
    out: list[CheckResult] = []
    for p in (s.first, s.second):
        # a point on a hole belongs to that hole, not to another one that happens to stand in line with it
        own = [h for h in face.holes if not h.slot and math.dist(h.at, p) <= h.diameter / 2 + AT_A_FEATURE]
        mine = [along(h.at) + sign * h.diameter / 2 for h in own for sign in (-1, 0, 1)]
        off = min(abs(along(p) - f) for f in mine or features)
        if not mine:  # the edge of a curve is measured wherever a tape is laid across it
            off = min([off, *(e.distance(p) for e in face.outline.edges if e.bulge)])
        if falls_short(AT_A_FEATURE, off):
            check = f"dimension begins or ends {length_words(off, drawing.metric)} beside the nearest hole, corner or middle"
            out.append(wrong(where, check, off, DIMENSIONS, spots=(p,)))
    return out
