"""Every layer of a drawing: what it is for, its names, and how it is drawn. Nothing else names a layer; the table is a template that a firm edits.

US names follow the pattern of the US National CAD Standard (discipline, major group, minor groups, status), SI names the field pattern of
ISO 13567-2 (agent 2, element 6, presentation 2, status 1). The full texts of both were not read: names are from memory.
Widths are of the ISO 128 series (mm).
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, replace

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_path, template_value
from detailgen.core.units import UnitSystem

_NAME, _COLOUR, _WIDTH = re.compile(r"[A-Za-z0-9_-]{1,255}"), re.compile(r"#[0-9a-fA-F]{6}"), re.compile(r"\d+(\.\d+)?")


@dataclass(frozen=True)
class Layer:
    us: str
    iso: str
    colour: str
    aci: int  # colour index for programs that read no true colour
    width: float  # mm
    purpose: str
    plots: bool = True
    linetype: str = "Continuous"

    def name(self, units: UnitSystem) -> str:
        return self.us if units.name == "US" else self.iso


HEADER = ("role", "us_name", "iso_name", "colour", "colour_index", "width_mm", "linetype", "plots", "purpose")
TABLE, STYLES_TEXT = "sheets/layers.csv", "sheets/styles.txt"
MAPS = {"us_name": "us", "iso_name": "iso"}
"""The two maps of names, by their column in the table."""


def read_layers(folder: str) -> dict[str, Layer]:
    """The layers of a firm's templates ("": those of the tool), by role in drawing order: later ones lie on top.

    Raises: OutputError for a role that is missing or unknown, a name that stands twice, or a value that cannot be read
    """
    path = template_path(TABLE, folder)
    try:
        with path.open(encoding="utf-8", newline="") as stream:
            rows = list(csv.reader(stream))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise OutputError(f"template {TABLE}: it cannot be read ({error})") from None
    if not rows or tuple(rows[0]) != HEADER:
        raise OutputError(f"template {TABLE}: the first row must be {','.join(HEADER)}")
    found: dict[str, Layer] = {}
    for number, row in enumerate(rows[1:], start=2):
        if row:
            role, layer = _layer(number, row)
            found[role] = layer
    for system in ("us", "iso"):
        names = [getattr(layer, system) for layer in found.values()]
        twice = next((n for n in names if names.count(n) > 1), None)
        if twice:
            raise OutputError(f"template {TABLE}: the layer name {twice} stands twice; every role needs its own")
    return found


def _layer(number: int, row: list[str]) -> tuple[str, Layer]:
    def wrong(what: str, allowed: str) -> OutputError:
        return OutputError(f"template {TABLE}, line {number}: found {what}; allowed: {allowed}")

    if len(row) != len(HEADER):
        raise wrong(f"{len(row)} cells", f"{len(HEADER)} cells: {', '.join(HEADER)}")
    role, us, iso, colour, index, width, linetype, plots, purpose = row
    for name in (us, iso):
        if not _NAME.fullmatch(name):
            raise wrong(f"the layer name '{name}'", "letters, digits, hyphen and underscore")
    if not _COLOUR.fullmatch(colour):
        raise wrong(f"the colour '{colour}'", "# and six hexadecimal digits")
    if not index.isdigit() or not 1 <= int(index) <= 255:
        raise wrong(f"the colour index '{index}'", "a whole number from 1 to 255")
    if not _WIDTH.fullmatch(width) or not 0.05 <= float(width) <= 2.0:
        raise wrong(f"the width '{width}'", "millimetres from 0.05 to 2.0")
    if linetype != "Continuous" and linetype not in LINETYPES:
        raise wrong(f"the line type '{linetype}'", f"Continuous, {', '.join(LINETYPES)}")
    if plots not in ("yes", "no"):
        raise wrong(f"'{plots}' under plots", "yes or no")
    return role, Layer(us, iso, colour, int(index), float(width), purpose, plots == "yes", linetype)


def firm_layers(folder: str) -> dict[str, Layer]:
    """The layers of a firm, all roles of the tool and no others."""
    found = read_layers(folder)
    missing, unknown = sorted(set(LAYERS) - set(found)), sorted(set(found) - set(LAYERS))
    if missing or unknown:
        what = "; ".join(w for w in (f"missing: {', '.join(missing)}" if missing else "", f"unknown: {', '.join(unknown)}" if unknown else "") if w)
        raise OutputError(f"template {TABLE}: the roles in the first column must stay as they are ({what})")
    return _chosen(found, folder)


def _chosen(found: dict[str, Layer], folder: str) -> dict[str, Layer]:
    """Each unit system with the map of names that the firm wants for it."""
    columns = []
    for system, usual in (("US", "us_name"), ("SI", "iso_name")):
        column = template_value(STYLES_TEXT, folder, f"{system} layers", usual)
        if column not in MAPS:
            raise OutputError(f"template {STYLES_TEXT}, {system} layers: found '{column}'; allowed: {', '.join(MAPS)} (columns of {TABLE})")
        columns.append(MAPS[column])
    return {role: replace(x, us=getattr(x, columns[0]), iso=getattr(x, columns[1])) for role, x in found.items()}


LINETYPES: dict[str, tuple[float, ...]] = {
    "CENTER": (0.5, -0.08, 0.1, -0.08),
    "HIDDEN": (0.16, -0.08),
    "PHANTOM": (0.5, -0.08, 0.1, -0.08, 0.1, -0.08),
}
"""Dashes (+) and gaps (-) in inches of paper."""

LAYERS: dict[str, Layer] = read_layers("")
"""By role, in drawing order, as the tool ships them."""
