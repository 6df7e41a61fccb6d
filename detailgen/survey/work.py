"""The time of the work: what may lie on a truss meanwhile, and where shores may stand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from detailgen.model.project import WorkWindow
from detailgen.survey.document import Node, Report
from detailgen.survey.fill import choice, suggest
from detailgen.survey.form import Unusable
from detailgen.survey.forms import AccessForm, WorkForm


def work_of(own: WorkForm | None, shared: WorkForm | None, access: AccessForm | None, bottom: tuple[str, ...], report: Report) -> WorkWindow:
    """What counts for one truss: its own entries, then those of the whole file.

    bottom: joints of its bottom chord
    Raises: Unusable where an entry is faulty
    """
    forms = [f for f in (own, shared) if f is not None]

    def given(value: Callable[[WorkForm], Any]) -> Any:  # noqa: ANN401 - whatever the entry holds
        return next((v for f in forms if (v := value(f)) is not None), None)

    for form in forms:
        for key in ("shores at", "no shores at"):
            _known(getattr(form, key.replace(" ", "_")) or [], form.place(key), bottom[1:-1], report)
    allowed, barred = tuple(given(lambda f: f.shores_at) or ()), tuple(given(lambda f: f.no_shores_at) or ())
    both = [j for j in allowed if j in barred]
    if both:
        holder = next(f for f in forms if f.no_shores_at is not None)
        report.add(holder.place("no shores at"), f"'{both[0]}', which 'shores at' allows", "each joint in one of the two lists only")
        raise Unusable("no shores at")
    height = given(lambda f: f.shore_height)
    if height is None and access is not None:
        height = access.below
    base = given(lambda f: f.base)
    return WorkWindow(
        given(lambda f: f.snow) or 0.0, given(lambda f: f.construction) or 0.0, given(lambda f: f.construction_on) or "roof", allowed, barred,
        given(lambda f: f.jack_stop) or 0.0, given(lambda f: f.jack_force) or 0.0, height or 0.0,
        base.kind if base is not None else "", (base.carries or 0.0) if base is not None else 0.0,
    )  # fmt: skip


def _known(joints: list[str], place: Node, inner: tuple[str, ...], report: Report) -> None:
    for joint in joints:
        if joint not in inner:
            found = f"'{joint}', no joint of the bottom chord between the heels"
            if not any(p.line == place.line and p.found == found for p in report.problems):  # entries of the whole file are read once a truss
                report.add(place, found, choice(inner), suggest(joint, inner))
            raise Unusable("shores at")
