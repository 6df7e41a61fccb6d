"""Every layer of a drawing: what it is for, its names, and how it is drawn. Nothing else names a layer.

US names follow the pattern of the US National CAD Standard (discipline, major group, minor groups, status), SI names the field pattern of
ISO 13567-2 (agent 2, element 6, presentation 2, status 1). The full texts of both were not read: names are from memory.
Widths are of the ISO 128 series (mm).
"""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.units import UnitSystem

BLACK = "#000000"
GREY = "#6e6e6e"
ACCENT = "#c4320a"


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


LAYERS: dict[str, Layer] = {
    "existing": Layer("S-TRUS-WOOD-E", "S-TRWOODE-E", GREY, 8, 0.35, "existing timber, as measured"),
    "over": Layer("S-TRUS-WOOD-OVER-E", "S-TROVERE-E", ACCENT, 1, 0.7, "existing timber with a ratio over 1.0"),
    "bolts": Layer("S-TRUS-BOLT-E", "S-TRBOLTE-E", GREY, 8, 0.18, "existing bolts, as measured"),
    "over bolts": Layer("S-TRUS-BOLT-OVER-E", "S-TRBOVRE-E", ACCENT, 1, 0.5, "existing bolted ends and splices with a ratio over 1.0"),
    "splices": Layer("S-TRUS-SPLC-E", "S-TRSPLCE-E", BLACK, 7, 0.35, "existing splices"),
    "hatch": Layer("S-DETL-PATT", "S-DEPATTH--", GREY, 8, 0.13, "hatch of cut steel and end grain"),
    "hidden": Layer("S-TRUS-HIDN", "S-TRHIDDH--", BLACK, 7, 0.25, "edges behind other parts", linetype="HIDDEN"),
    "new wood": Layer("S-TRUS-WOOD-N", "S-TRWOODE-N", BLACK, 7, 0.5, "new timber"),
    "new steel": Layer("S-TRUS-PLAT-N", "S-TRPLATE-N", BLACK, 7, 0.5, "new steel"),
    "new bolts": Layer("S-TRUS-BOLT-N", "S-TRBOLTE-N", BLACK, 7, 0.35, "new bolts, nuts and washers"),
    "holes": Layer("S-TRUS-HOLE-N", "S-TRHOLEE-N", BLACK, 7, 0.35, "new holes, in the shop and in the field"),
    "cut": Layer("S-DETL-MCUT", "S-DEMCUTE--", BLACK, 7, 0.5, "outlines of what a section cuts"),
    "supports": Layer("S-TRUS-SUPT-E", "S-TRSUPTE-E", BLACK, 7, 0.35, "supports"),
    "damage": Layer("S-TRUS-DAMG-E", "S-TRDAMGE-E", BLACK, 7, 0.5, "damage found in the survey"),
    "over text": Layer("S-ANNO-OVER", "S-ANOVERT--", ACCENT, 1, 0.25, "ratios over 1.0 and what must not be missed"),
    "ratios": Layer("S-ANNO-RATO", "S-ANRATOT--", BLACK, 7, 0.25, "ratios"),
    "dimensions": Layer("S-ANNO-DIMS", "S-ANDIMSD--", BLACK, 7, 0.18, "dimensions"),
    "centre": Layer("S-ANNO-CNTR", "S-ANCNTRE--", BLACK, 7, 0.18, "centre lines", linetype="CENTER"),
    "notes": Layer("S-ANNO-NOTE", "S-ANNOTET--", BLACK, 7, 0.25, "notes"),
    "symbols": Layer("S-ANNO-SYMB", "S-ANSYMBE--", BLACK, 7, 0.18, "joint marks, leaders, symbols"),
    "tables": Layer("S-ANNO-TABL", "S-ANTABLE--", BLACK, 7, 0.18, "rules between notes"),
    "title": Layer("S-ANNO-TTLB", "S-ANTTLBB--", BLACK, 7, 0.35, "title block"),
    "border": Layer("S-ANNO-TTLB-BRDR", "S-ANBRDRB--", BLACK, 7, 0.7, "sheet border"),
    "remove": Layer("S-TRUS-WOOD-D", "S-TRWOODE-D", BLACK, 7, 0.5, "existing timber that is cut out"),
    "temporary": Layer("S-TRUS-SHOR-T", "S-TRSHORE-T", BLACK, 7, 0.35, "shores and other temporary work", linetype="HIDDEN"),
    "limits": Layer("S-ANNO-LIMT", "S-ANLIMTB--", BLACK, 7, 0.35, "limits of details", linetype="PHANTOM"),
    "zones": Layer("S-TRUS-ZONE-NPLT", "S-TRZONEE--", GREY, 8, 0.18, "no-drill zones, not plotted", plots=False, linetype="PHANTOM"),
    "viewport": Layer("S-ANNO-NPLT", "S-ANNPLT---", GREY, 8, 0.18, "viewport frames, not plotted", plots=False),
}
"""By role, in drawing order: later ones lie on top."""

LINETYPES: dict[str, tuple[float, ...]] = {
    "CENTER": (0.5, -0.08, 0.1, -0.08),
    "HIDDEN": (0.16, -0.08),
    "PHANTOM": (0.5, -0.08, 0.1, -0.08, 0.1, -0.08),
}
"""Dashes (+) and gaps (-) in inches of paper."""
