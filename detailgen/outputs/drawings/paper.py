"""Paper, lettering and layer names of the set, as the firm's templates say. Lengths in inches of paper."""

from __future__ import annotations

from dataclasses import replace

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_value
from detailgen.core.units import MM, QuantityError, UnitSystem, parse
from detailgen.outputs.drawings.layers import STYLES_TEXT
from detailgen.outputs.drawings.sheets import SI_LETTERS, US_LETTERS, Lettering, Sheet
from detailgen.outputs.drawings.title_block import read_title_block

SIZES = {
    "ANSI D": (34.0, 22.0), "ARCH D": (36.0, 24.0), "ISO A1": (841 * MM, 594 * MM), "ISO A3": (420 * MM, 297 * MM),
}  # fmt: skip
"""Width and height in landscape (ASME Y14.1, ISO 216; ARCH D is common practice). At half size, ANSI D is ANSI B and ISO A1 is ISO A3."""
PAPER_TEXT = "sheets/paper.txt"
LEAST = 1.8 * MM
"""Smallest letters of ISO 3098."""


def letters_of(units: UnitSystem, folder: str) -> Lettering:
    """Heights of letters (in of paper) on the paper of the set, without its frame. Raises OutputError for a paper or heights that are not allowed."""
    return lettering(_paper_name(units, folder), folder)


def set_paper(units: UnitSystem, folder: str) -> Sheet:
    """The paper of the set with its frame, title block and lettering. Raises OutputError for one that is not known."""
    name = _paper_name(units, folder)
    letters = lettering(name, folder)
    bare = Sheet(name, *SIZES[name], (0.0, 0.0, 0.0, 0.0), letters)
    block = read_title_block(bare, units, folder)
    return replace(bare, margins=block.margins, column=block.width)


def _paper_name(units: UnitSystem, folder: str) -> str:
    name = template_value(PAPER_TEXT, folder, units.name, next(iter(SIZES)))
    if name not in SIZES:
        raise OutputError(f"template {PAPER_TEXT}: found the paper '{name}'; allowed: {', '.join(SIZES)}")
    return name


def lettering(paper: str, folder: str) -> Lettering:
    """Heights of notes, headings and titles (in) on a paper. Raises OutputError for heights that are not allowed."""
    usual = SI_LETTERS if paper.startswith("ISO") else US_LETTERS
    line = template_value(STYLES_TEXT, folder, f"{paper} letters", ", ".join(f"{h:g} in" for h in (usual.note, usual.heading, usual.title)))
    try:
        heights = [parse(text, "length") for text in line.split(",")]
    except QuantityError as error:
        raise OutputError(f"template {STYLES_TEXT}, {paper} letters: found {error.found}; allowed: {error.allowed}") from None
    if len(heights) != 3 or heights != sorted(heights) or heights[0] < LEAST - 1e-9:
        raise OutputError(f"template {STYLES_TEXT}, {paper} letters: found '{line}'; allowed: heights of notes, headings and titles, none smaller "
                          "than the one before, notes at least 1.8 mm")  # fmt: skip
    return Lettering(*heights)
