"""What stands written on a sheet, held against what is drawn: counting what agrees, telling what does not, finding which view a name means."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from detailgen.checker.dimensions import HALF_STEP_IN, HALF_STEP_MM, length_in
from detailgen.checker.drawing import Drawing, Face, length_words
from detailgen.checker.rules import READING_IN
from detailgen.checker.sheet_tables import Paragraph, paragraphs
from detailgen.checker.tags import fastener
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked

WRITTEN = Cite("tables and captions", "text against what is drawn")


@dataclass
class Told:
    """What was found: statements that hold are counted, others listed."""

    drawing: Drawing
    results: list[CheckResult] = field(default_factory=list)
    sound: int = 0

    @property
    def half(self) -> float:
        return (HALF_STEP_MM if self.drawing.metric else HALF_STEP_IN) + READING_IN

    def words(self, value: float) -> str:
        return length_words(value, self.drawing.metric)

    def length(self, text: str) -> float:
        """inches; nan where the text states none"""
        text = text.strip()
        sign = -1.0 if text.startswith("-") else 1.0
        try:
            return sign * length_in(text.removeprefix("-"), self.drawing.metric)
        except ValueError:
            return math.nan

    def same(self, where: str, what: str, stated: float, drawn: float) -> None:
        """One length against another (in)."""
        if abs(stated - drawn) <= self.half:
            self.sound += 1
        else:
            said = self.words(stated) if math.isfinite(stated) else "no length"
            self.differs(where, f"{what} {said}, drawn {self.words(drawn)}", stated, drawn, "in")

    def equal(self, where: str, what: str, stated: object, drawn: object) -> None:
        if stated == drawn:
            self.sound += 1
        else:
            a, b = (float(v) if isinstance(v, int) else math.nan for v in (stated, drawn))
            self.differs(where, f"{what} {stated}, drawn {drawn}", a, b)

    def differs(self, where: str, check: str, stated: float = math.nan, drawn: float = math.nan, unit: str = "") -> None:
        found = CheckResult(where, check, stated, drawn, unit, math.inf, State.DOES_NOT_PASS, "", "", math.nan, WRITTEN)
        if found not in self.results:
            self.results.append(found)

    def known(self, where: str, mark: str, marks: Mapping[str, Face]) -> None:
        if mark in marks:
            self.sound += 1
        else:
            self.differs(where, f"no face view shows {mark}")

    def says(self, where: str, specification: str, text: str) -> None:
        if specification in text:
            self.sound += 1
        else:
            self.differs(where, f"does not name the material of its face view, {specification}")

    def take(self, other: Told) -> None:
        self.results += [r for r in other.results if r not in self.results]
        self.sound += other.sound

    def unread(self, where: str, missing: str) -> None:
        self.results.append(cannot_be_checked(where, "table", missing, WRITTEN))


class Names:
    """Which face view a name in a table or a caption means."""

    def __init__(self, drawing: Drawing, elsewhere: Mapping[str, Face] | None = None) -> None:
        """elsewhere: face views on other sheets, by mark"""
        self.drawing = drawing
        self.paragraphs = paragraphs(drawing.texts)
        self.sentences = [*(p.text for p in self.paragraphs), *(p.text for p in paragraphs(drawing.texts, paper=True))]
        self.by_mark = {f.mark: f for f in drawing.faces if f.mark}
        self.anywhere = {**(elsewhere or {}), **self.by_mark}
        self.boxes = [(f, drawn_box(f)) for f in drawing.faces if not f.layout]
        self.titles: dict[int, list[str]] = defaultdict(list)
        for p in self.paragraphs:
            above = [(b[1] - p.at[1] + max(b[0] - p.at[0], 0, p.at[0] - b[2]), k) for k, (_, b) in enumerate(self.boxes) if b[1] > p.at[1]]
            if above:  # a sentence belongs to the view that it stands under
                self.titles[id(self.boxes[min(above)[1]][0])].append(p.text)

    def faces(self, name: str) -> list[Face]:
        """Existing parts have no mark: their view's title, which several may share, is the name."""
        if name in self.by_mark:
            return [self.by_mark[name]]
        return [f for f, _ in self.boxes if f.existing and next((t for t in self.titles[id(f)] if t.startswith(("(E) ", "(N) "))), "") == name]

    def beside(self, p: Paragraph) -> Face | None:
        """The face view that a callout stands at: the nearest one below or above it."""

        def away(box: tuple[float, float, float, float]) -> float:
            x0, y0, x1, y1 = box
            return math.hypot(max(x0 - p.at[0], 0, p.at[0] - x1), max(y0 - p.at[1], 0, p.at[1] - y1))

        best = min(self.boxes, key=lambda item: away(item[1]), default=None)
        return best[0] if best is not None else None


def drawn_box(face: Face) -> tuple[float, float, float, float]:
    return face.outline.mapped(face.frame).box


def size_of(told: Told, face: Face, text: str, where: str) -> None:
    """Thickness x width x length; a part that runs on has no length."""
    stated = [told.length(v) for v in text.replace(" mm", "").split(" x ")]
    x0, _, x1, _ = face.outline.box
    drawn = [told.drawing.thickness(face), face.outline.depth, *([x1 - x0] if face.open_ends == "none" else [])]
    if len(stated) != len(drawn):
        told.differs(where, f"states the size {text}: {len(drawn)} figures are due")
        return
    for what, a, b in zip(("thickness", "width", "length"), stated, drawn, strict=False):
        if b is None:
            told.unread(where, "the thickness of the part (its plan view)")
        else:
            told.same(where, f"states the {what}", a, b)


def drawn_bolts(drawing: Drawing) -> Counter[float]:
    """Bolts by diameter: a group has as many as the part with most of its holes."""
    out: Counter[float] = Counter()
    for detail, group in sorted({(f.detail, g) for f in drawing.faces for g in f.groups if g}):
        most = max((f.of_group(group) for f in drawing.joint(detail)), key=len)
        for h in most:
            try:
                one = fastener(h.fastener)
            except NotCovered:
                continue
            if one.kind not in ("strand", "rod"):
                out[round(one.diameter, 4)] += 1
    return out
