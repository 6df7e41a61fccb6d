"""What every sheet of the set shares: frame, title block, status and cautions. Lengths in inches of paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_lines
from detailgen.model.package import ISSUED, PRELIMINARY, PROPOSED, Package
from detailgen.model.project import Project
from detailgen.outputs.drawings.blocks import Listing, cautions_block, fill
from detailgen.outputs.drawings.detail_words import MM_DECIMALS
from detailgen.outputs.drawings.layers import LAYERS, firm_layers
from detailgen.outputs.drawings.lettering import text_width
from detailgen.outputs.drawings.shapes import Drawing, Line, Point, Polyline, Shape, Stamp, Text, View, moved
from detailgen.outputs.drawings.sheets import Lettering, Scale, Sheet
from detailgen.outputs.drawings.title_block import FILES, NARROW, filled, read_title_block

CONTINUED = 0.25
"""Room for saying where the rest is, in of paper."""
EDGE = 0.2
"""Kept free at the frame."""
NOTHING_NEW = ("kind=sheet", "shows=existing")
"""On the frame of a sheet on which no part is made: what is new stands on the sheets of details, and is measured there."""

MANY = 10
"""More marks than these are not listed in the title block, which has one line for them."""


@dataclass(frozen=True)
class Heading:
    """What the title block says of one sheet. ``purpose``: design sheet, shop sheet, form."""

    number: str
    title: str
    place: str
    status: str
    scale: str
    purpose: str
    under: str = ""  # one line on how the sheet was drawn


def least_settled(statuses: list[str]) -> str:
    """PROPOSED before PRELIMINARY before ISSUED; a sheet without repairs is PRELIMINARY."""
    return next((s for s in (PROPOSED, PRELIMINARY, ISSUED) if s in statuses), PRELIMINARY)


def status_meaning(status: str, templates: str) -> str:
    """What the firm's template says that a status means. Raises OutputError where it says nothing."""
    meaning = next((line.split(":", 1)[1].strip() for line in template_lines("notes/status.txt", templates) if line.startswith(f"{status}:")), "")
    if not meaning:
        raise OutputError(f"template notes/status.txt: no line says what {status} means; write '{status}: ...'")
    return meaning


def looking(project: Project, *, behind: bool = False) -> str:
    """Which way an elevation looks, as the survey says it; from the far side the other way. Empty where nobody says."""
    view = project.view.removeprefix("looking").strip()
    if not view:
        return ""
    return f"looking {_opposite(view) if behind else view}".rstrip()


def _opposite(view: str) -> str:
    words = ("north", "south", "east", "west")
    turned = {"north": "south", "south": "north", "east": "west", "west": "east"}
    if not any(w in view.lower() for w in words):
        return f"against the direction '{view}'"
    out = view.lower()
    for word in words:
        out = out.replace(word, word.upper())
    for word in words:
        out = out.replace(word.upper(), turned[word])
    return out


def trusses_words(marks: Sequence[str]) -> str:
    """Which trusses a sheet speaks of, for the title block: each by its mark, of many the first, the last and how many."""
    return f"trusses {', '.join(marks)}" if len(marks) <= MANY else f"trusses {marks[0]} to {marks[-1]}, {len(marks)} in all"


def framed(package: Package, heading: Heading, sheet: Sheet, left: float, *, tags: tuple[str, ...] = NOTHING_NEW) -> tuple[list[Shape], float]:
    """Border, and from ``left`` to the right edge the title block with status and cautions on it. Returns shapes and their upper edge."""
    project, letters = package.project, sheet.letters
    block = read_title_block(sheet, project.units, project.templates)
    _, y0, x1, y1 = sheet.inner
    words = {
        "SHEET": heading.number, "TITLE": heading.title, "PROJECT": project.name, "REVISION": project.revision, "DATE": project.date,
        "SCALE": heading.scale, "UNITS": "feet and inches" if project.units.name == "US" else "millimetres", "PURPOSE": heading.purpose,
        "STATUS": heading.status, "STATUS_MEANING": status_meaning(heading.status, project.templates), "PLACE": heading.place,
        "NUMBER": project.number, "LOCATION": project.location, "STANDARDS": ", ".join(package.standards), "DRAWN": heading.under,
        "PAPER": sheet.name,
    }  # fmt: skip
    fields = filled(block, words, letters.note, FILES[project.units.name])
    border = tuple(replace(s, tags=tags) if isinstance(s, Polyline) and s.layer == "border" else s for s in block.frame)
    shapes: list[Shape] = [Stamp("border", "FRAME", (0.0, 0.0), border), Stamp("title", "TITLE", (x1, y0), block.shapes, fields)]
    y = y0 + block.height
    cautions = cautions_block(x1 - left - 2 * EDGE, letters, project.templates)
    shapes += [moved(s, left + EDGE, y + cautions.height - 0.08) for s in cautions.shapes]
    y += cautions.height
    shapes += [Line("title", (left, y), (x1, y)), Line("border", (left, y0), (left, y1))]
    return shapes, y + 0.1


def continued_words(
    rest: Sequence[Listing], number: str, at: Point, width: float, letters: Lettering, page: int = 2, views: Sequence[str] = (),
) -> Text:  # fmt: skip
    """Where the views and lists are for which this sheet has no room; ``at``: lower left corner of the free line over the title block."""
    what = list(dict.fromkeys((*views, *(x.title.split(",")[0].lower() for x in rest))))
    for shown in range(len(what), 0, -1):
        words = f"Continued on sheet {number}-{page}: {', '.join(what[:shown])}{' and more' if shown < len(what) else ''}."
        stretch = min(1.0, width / text_width(words, letters.note))
        if stretch >= NARROW[-1]:
            break
    return Text("notes", words, (at[0] + width / 2, at[1] + 0.02), letters.note, 0.0, "middle", round(stretch, 4))


def continuations(
    package: Package, heading: Callable[[str, int], Heading], sheet: Sheet, rest: Sequence[Listing], number: str, after: int = 1,
) -> list[list[Shape]]:  # fmt: skip
    """Sheets of lists and notes in columns, each with the same title block, until nothing is left.

    heading: takes number and page; after: pages before
    Raises: OutputError where an item is higher than a sheet
    """
    x0, y0, x1, y1 = sheet.inner
    right = sheet.column
    widest = max((one.least for one in rest), default=0.0) + 2 * EDGE
    usual = widest <= right or widest > x1 - right - x0  # columns as wide as the title block, but where a table needs a wider one
    wide = right if usual else (x1 - right - x0) / int((x1 - right - x0) / widest)
    rooms = [(x0 + k * wide + EDGE, y0 + EDGE, x0 + (k + 1) * wide - EDGE, y1 - EDGE) for k in range(int((x1 - right - x0 + 1e-9) / wide))]
    pages: list[list[Shape]] = []
    while rest:
        page = len(pages) + 1 + after
        frame, top = framed(package, heading(f"{number}-{page}", page), sheet, x1 - right)
        shapes, left = fill(rest, [*rooms, (x1 - right + EDGE, top, x1 - EDGE, y1 - EDGE)], wide - 2 * EDGE)
        if len(shapes) == 0:
            raise OutputError(f"sheet {number}: {rest[0].title.lower()} is higher than a sheet")
        pages.append([*frame, *shapes])
        rest = left
    return pages


def sheet_drawing(
    package: Package, sheet: Sheet, number: str, title: str, paper: Sequence[Shape], first: View | None = None, model: Sequence[Shape] = (),
    more: Sequence[View] = (), unseen: Sequence[View] = (),
) -> Drawing:  # fmt: skip
    """A finished sheet of the set. ``first``: its main view, whose scale the drawing's styles take."""
    project = package.project
    scale = first.scale if first is not None else Scale(1.0, "none")
    window, centre = (first.window, first.centre) if first is not None else ((0.0, 0.0, 1.0, 1.0), (0.0, 0.0))
    return Drawing(
        name=number, title=title, sheet=sheet, units=project.units, scale=scale, window=window, view_centre=centre, model=tuple(model),
        paper=tuple(paper), project=f"{project.name} {project.number}".strip(), revision=project.revision, date=project.date, more=tuple(more),
        unseen=tuple(unseen), decimals=MM_DECIMALS, layers=firm_layers(project.templates) if project.templates else LAYERS,
    )  # fmt: skip


def with_continuations(
    package: Package, sheet: Sheet, heading: Callable[[str, int], Heading], number: str, title: str, paper: Sequence[Shape],
    rest: Sequence[Listing], top: float, views: Sequence[View] = (),
) -> list[Drawing]:  # fmt: skip
    """A sheet, and those on which the lists go on that found no room on it; where there are any, it says so over its title block.

    ``views``: the main one first; ``top``: upper edge of the title block
    """
    shapes = list(paper)
    if rest:
        shapes.append(continued_words(rest, number, (sheet.inner[2] - sheet.column + EDGE, top), sheet.column - 2 * EDGE, sheet.letters))
    first, model = (views[0], views[0].shapes) if views else (None, ())
    drawings = [sheet_drawing(package, sheet, number, f"{number} {title}", shapes, first, model, views[1:])]
    for page, more in enumerate(continuations(package, heading, sheet, rest, number), 2):
        drawings.append(sheet_drawing(package, sheet, f"{number}-{page}", f"{number}-{page} {title}, continued", more))
    return drawings
