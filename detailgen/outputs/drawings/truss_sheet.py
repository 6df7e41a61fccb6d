"""What the sheets of a truss share: paper, room for views, title block, the column of lists over it, and the sheets on which those go on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.outputs.drawings.blocks import Box, Listing, fill
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.shapes import Drawing, Shape, View
from detailgen.outputs.drawings.sheet_frame import CONTINUED, EDGE, Heading, framed, looking, with_continuations
from detailgen.outputs.drawings.sheets import Lettering, Sheet


def place_words(truss: Truss) -> str:
    """Where a truss stands, for the title block."""
    bay = truss.bay if " " in truss.bay or not truss.bay else f"bay {truss.bay}"
    return ", ".join(p for p in (f"truss {truss.mark}", f"type {truss.type}" if truss.type else "", bay) if p)


@dataclass(frozen=True)
class TrussSheet:
    """``elevations``: whether the title block speaks of one view or of several."""

    package: Package
    number: str
    title: str
    place: str
    status: str
    purpose: str = "Design sheet"
    elevations: str = "elevation"

    @cached_property
    def paper(self) -> Sheet:
        return set_paper(self.package.project.units, self.package.project.templates)

    @property
    def letters(self) -> Lettering:
        return self.paper.letters

    @property
    def left(self) -> float:
        """Left edge of the title block."""
        return self.paper.inner[2] - self.paper.column

    @property
    def room(self) -> Box:
        """For the views and what stands under them."""
        x0, y0, _, y1 = self.paper.inner
        return x0 + EDGE, y0 + EDGE, self.left - EDGE, y1 - EDGE

    def drawn(
        self, scale: str, views: Sequence[View], beside: Sequence[Shape], lists: Sequence[Listing], waiting: Sequence[Listing] = (),
    ) -> list[Drawing]:  # fmt: skip
        """The finished sheets. ``beside``: what stands on the paper beside and under the views; ``lists``: for the column over the title block;
        ``waiting``: what found no room under the views and goes on on the next sheet."""
        seen = looking(self.package.project)
        under = "Drawn from the survey" + (f"; {self.elevations} {seen}" if seen else "")

        def heading(number: str, page: int) -> Heading:
            title = self.title + (", continued" if page > 1 else "")
            return Heading(number, title, self.place, self.status, scale if page == 1 else "none", self.purpose, under)

        frame, top = framed(self.package, heading(self.number, 1), self.paper, self.left)
        x1, y1 = self.paper.inner[2:]
        column, width = (self.left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE), self.paper.column - 2 * EDGE
        filled, rest = fill(lists, [column], width)
        shapes = [*frame, *beside, *filled]
        return with_continuations(self.package, self.paper, heading, self.number, self.title, shapes, [*waiting, *rest], top, views)
