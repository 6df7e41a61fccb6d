"""Sheets that repeat parts without tags (every mark by itself, for the shop), against the face views of the same package."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace

from detailgen.checker.alike import SAME, as_known, off_shape, shape_of
from detailgen.checker.captions import judge_captions
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face
from detailgen.checker.rules import wrong
from detailgen.checker.statements import Names, Told
from detailgen.core.result import CheckResult, State, cannot_be_checked

_MARK = re.compile(r"^(?P<mark>[A-Z]+-\d+), \d+ required")


def judge_repeated(drawing: Drawing, known: Mapping[str, tuple[str, Face, float | None]]) -> list[CheckResult]:
    """Outline, holes and captions of each part that a sheet repeats. ``known``: by mark, the file, the face view and its thickness (in)."""
    blank = Face("", "", "", "", "", "", "", None, existing=False, open_ends="none", loads=(), outline=drawing.shown[0][0], holes=(), facts={})
    bare = tuple(replace(blank, part=str(k), outline=o, holes=holes) for k, (o, holes) in enumerate(drawing.shown))
    names = Names(replace(drawing, faces=bare))
    out: list[CheckResult] = []
    faces: list[Face] = []
    plan: dict[tuple[str, str], tuple[float, float]] = {}
    for view in bare:
        mark = next((m["mark"] for t in names.titles[id(view)] if (m := _MARK.match(t))), "")
        if not mark:
            continue  # not the view of a marked part
        if mark not in known:
            out.append(cannot_be_checked(mark, "repeated view", f"a face view of {mark} in the files that are checked together", FACE_VIEW))
            continue
        file, face, thickness = known[mark]
        again = replace(as_known(face, view.outline, view.holes), frame=view.frame)
        off = off_shape(shape_of("", face), shape_of("", again))
        check = f"shows what the face view in {file} shows"
        if off > SAME:
            out.append(wrong(mark, f"outline or holes differ from the face view in {file}", off, FACE_VIEW, spots=(view.outline.corners[0],)))
        else:
            out.append(CheckResult(mark, check, off, SAME, "in", off / SAME, State.PASSES, "", "", math.nan, FACE_VIEW))
        faces.append(again)
        if thickness is not None:
            plan[again.detail, again.part] = (0.0, thickness)
    told = Told(replace(drawing, faces=tuple(faces), plan=plan))
    judge_captions(told, Names(told.drawing, {mark: face for mark, (_, face, _) in known.items()}), [])
    return out + told.results
