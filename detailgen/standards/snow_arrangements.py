"""Where snow lies on a roof over a truss, by the rules of one edition: balanced, unbalanced, in part, in valleys, drifted.

No number of a document stands here: ``SnowRules`` brings them. psf, ft and degrees inside; psi and inches outside.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN, RELATIVE
from detailgen.core.units import FOOT, UNITS
from detailgen.standards.interface import DriftSource, Floats, RoofCurve, RoofPressure, SnowSite
from detailgen.standards.snow_shapes import HalfRoof, circular_roof, halves, with_breaks

PSF = UNITS["area load"]["psf"]
SITE = Cite("project file", "snow")
SIDES = ("left", "right")
Clause = Callable[..., Number]


@dataclass(frozen=True)
class SnowRules:
    """The clauses of one edition, as functions of the document's symbols, and its tables ``slope_factor`` and ``snow_numbers``."""

    document: str
    tables: Path
    flat: Callable[[SnowSite, Calculation], float]
    """Flat roof snow load, psf."""
    least: Callable[[SnowSite, Calculation], float]
    """Least load of roofs of low slope, psf."""
    drift_height: Callable[[float, SnowSite, Calculation], float]
    """Height (ft) of a leeward drift behind so many feet of roof."""
    C_s: Clause
    p_s: Clause
    p_crown: Clause
    p_lee: Clause
    p_valley: Clause
    p_partial: Clause
    gamma: Clause
    h_windward: Clause
    w: Clause
    p_d: Clause
    p_windward: Clause
    p_ridge: Clause
    l_ridge: Clause

    def number(self, what: str) -> float:
        return float(read_table(self.tables, "snow_numbers").find(what=what)["value"])

    def cite(self, what: str) -> Cite:
        table = read_table(self.tables, "snow_numbers")
        return table.cite(table.find(what=what))

    def slope_limits(self, C_t: float, slippery: bool) -> tuple[float, float, Cite]:
        """Slopes (deg) up to which all snow stays and from which none does. Raises NotCovered for a thermal factor that no row holds."""
        table = read_table(self.tables, "slope_factor")
        for row in table:
            low, high = float(row["thermal_from"]), float(row["thermal_to"])
            if row["surface"] == ("slippery" if slippery else "other") and low * (1 - RELATIVE) <= C_t <= high * (1 + RELATIVE):
                return float(row["full_to"]), float(row["none_from"]), table.cite(row)
        raise NotCovered(f"no slope factor for a thermal factor of {C_t:g}", f"{self.document} 7.4")

    def is_unbalanced_needed(self, chord_slope: float) -> bool:
        """Does a curved roof whose eave-to-crown line has this slope (deg) need the unbalanced case? At both bounds it does."""
        return self.number("least chord slope") * (1 - RELATIVE) <= chord_slope <= self.number("greatest chord slope") * (1 + RELATIVE)


@dataclass(frozen=True)
class UnbalancedHalf:
    """Snow of the half that carries it: distance from the crown (ft), psf, and the values that the figure names."""

    case: int
    distance: tuple[float, ...]
    pressure: tuple[float, ...]
    C_s_eave: float
    at_crown: float
    at_30: float | None
    at_eave: float


def unbalanced_half(
    rules: SnowRules, half: HalfRoof, flat: float, C_e: float, C_t: float, slippery: bool, sheet: Calculation, *, near: bool = False,
) -> UnbalancedHalf:  # fmt: skip
    """Unbalanced snow of the lee half of a curved roof: Case 1, 2 or 3 by the eave slope.

    flat: flat roof snow load, psf
    near: another roof or the ground lies so close below the eave that the value of the inner point runs on to the eave
    """
    full_to, none_from, cite = rules.slope_limits(C_t, slippery)
    sheet.given("full_to", full_to, "deg", cite)
    sheet.given("none_from", none_from, "deg", cite)
    crown_factor = sheet.given("crown_factor", rules.number("crown factor"), "-", rules.cite("crown factor"))
    eave_factor = sheet.given("eave_factor", rules.number("eave factor"), "-", rules.cite("eave factor"))
    eave, edge = float(half.slope[-1]), float(half.distance[-1])

    def lee(slope: float) -> tuple[float, float]:
        factor = sheet(rules.C_s, slope=slope, full_to=full_to, none_from=none_from)
        return float(factor), float(sheet(rules.p_lee, eave_factor=eave_factor, p_f=flat, C_s=factor, C_e=C_e))

    crown = float(sheet(rules.p_crown, crown_factor=crown_factor, p_f=flat))
    inner_slope = rules.number("slope of the inner point")
    inner, bare = half.first_at(inner_slope), half.first_at(rules.number("slope free of snow"))
    if inner is None:
        factor, at_eave = lee(eave)
        return UnbalancedHalf(1, (0.0, edge), (crown, at_eave), factor, crown, None, at_eave)
    inner_factor, at_inner = lee(inner_slope)
    places: tuple[float, ...]
    values: tuple[float, ...]
    if near:
        case, factor, at_eave = (2 if bare is None else 3), inner_factor, at_inner
        places, values = (0.0, inner, edge), (crown, at_inner, at_inner)
    elif bare is None:
        factor, at_eave = lee(eave)
        case, places, values = 2, (0.0, inner, edge), (crown, at_inner, at_eave)
    else:
        factor, at_eave = 0.0, 0.0
        case, places, values = 3, (0.0, inner, bare, edge), (crown, at_inner, 0.0, 0.0)
    kept = [k for k in range(len(places)) if k == len(places) - 1 or places[k] < places[k + 1] * (1 - 1e-9)]
    return UnbalancedHalf(case, tuple(places[k] for k in kept), tuple(values[k] for k in kept), factor, crown, at_inner, at_eave)


class Arrangements:
    """All arrangements of snow on one roof. The name of an unbalanced load says which half carries the snow."""

    def __init__(self, rules: SnowRules, roof: RoofCurve, site: SnowSite) -> None:
        self.rules, self.roof, self.site = rules, roof, site
        self.halves = halves(roof)
        bare = rules.number("slope free of snow")
        self.chords = {side: half.chord_slope(bare) for side, half in self.halves.items()}
        self.valleys = [side for side, eave in zip(SIDES, site.eaves, strict=True) if eave == "valley"]
        self.balanced = self._balanced()

    def all(self) -> tuple[RoofPressure, ...]:
        """Balanced first, then unbalanced (left half, right half), in part, drifts. Raises OutOfRange, NotCovered."""
        found = [*(self._unbalanced(side) for side in SIDES), *self._valley(), *self._partial(), *self._drifts()]
        told = tuple(one for one in found if isinstance(one, str))
        first = replace(self.balanced, notes=(*self.balanced.notes, *told))
        return (first, *(one for one in found if isinstance(one, RoofPressure)))

    def _flat(self, sheet: Calculation) -> float:
        return self.rules.flat(self.site, sheet)

    def _balanced(self) -> RoofPressure:
        rules, site, roof = self.rules, self.site, self.roof
        sheet = Calculation()
        flat = self._flat(sheet)
        notes = []
        full_to, none_from, cite = rules.slope_limits(site.thermal, site.slippery)
        sheet.given("full_to", full_to, "deg", cite)
        sheet.given("none_from", none_from, "deg", cite)
        x, slope = with_breaks(np.asarray(roof.x, dtype=float), np.abs(np.degrees(np.asarray(roof.slope, dtype=float))), (full_to, none_from))
        if self.valleys:
            # Barrels side by side: nothing slides off them.
            factor = sheet.given("C_s", 1.0, "-", Cite(rules.document, "7.4.4"))
            notes.append("An adjoining barrel holds the snow: no reduction for the slope (7.4.4).")
        else:
            factor = sheet(rules.C_s, slope=slope, full_to=full_to, none_from=none_from)
        pressure = np.asarray(sheet(rules.p_s, C_s=factor, p_f=flat), dtype=float) * np.ones_like(x)
        chord = min(self.chords.values())
        reach = max(float(half.distance[-1]) for half in self.halves.values())
        ground = site.ground_snow / PSF
        if 0 < ground <= self._rain_limit() * (1 + RELATIVE) and chord < reach / rules.number("rain slope divisor"):
            rain = rules.number("rain surcharge")
            sheet.given("rain", rain, "psf", rules.cite("rain surcharge"))
            pressure = pressure + rain
            notes.append("Rain on snow is added, as the roof is flat for its width (7.10).")
        if chord < rules.number("least chord slope"):
            least = rules.least(site, sheet)
            if (pressure < least).any():
                notes.append("Raised to the least load of low slopes (7.3) where the balanced load is smaller.")
            pressure = np.maximum(pressure, least)
        return RoofPressure("S balanced", x, pressure * PSF, sheet, tuple(notes))

    def _rain_limit(self) -> float:
        table = read_table(self.rules.tables, "rain_limit")
        return float(table.find(risk=self.site.risk if any(r["risk"] == self.site.risk for r in table) else "any")["p_g"])

    def _joined(self, name: str, left: tuple[Floats, Floats], right: tuple[Floats, Floats], sheet: Calculation, note: str) -> RoofPressure:
        """Halves given from the crown outward (in, psi); where the load steps at the crown the place stands twice."""
        crown = self.roof.crown
        x = np.concatenate([(crown - left[0])[::-1], crown + right[0]])
        return RoofPressure(name, x, np.concatenate([left[1][::-1], right[1]]), sheet, (note,))

    def _bare(self, side: str) -> tuple[Floats, Floats]:
        reach = self.roof.crown - float(self.roof.x[0]) if side == "left" else float(self.roof.x[-1]) - self.roof.crown
        return np.array([0.0, reach]), np.zeros(2)

    def _unbalanced(self, side: str) -> RoofPressure | str:
        """Snow on one half, the other half bare; or why there is none."""
        half, site, rules = self.halves[side], self.site, self.rules
        if side in self.valleys:
            return f"Unbalanced snow of the {side} half is that of its valley (7.6.3)."
        if half.straight is not None and all(h.straight is not None for h in self.halves.values()):
            return self._gable(side)
        if not rules.is_unbalanced_needed(self.chords[side]):
            chord = self.chords[side]
            return f"No unbalanced snow on the {side} half: the line from eave to crown slopes {chord:.1f} degrees, outside of 10 to 60 (7.6.2)."
        sheet = Calculation()
        flat = self._flat(sheet)
        near = site.eaves[SIDES.index(side)] == "near"
        loaded = unbalanced_half(rules, half, flat, site.exposure, site.thermal, site.slippery, sheet, near=near)
        here = (np.array(loaded.distance) * FOOT, np.array(loaded.pressure) * PSF)
        other = "right" if side == "left" else "left"
        cause = f"case {loaded.case} by the eave slope of {half.slope[-1]:.1f} degrees"
        cause += "; the value of 30 degrees runs on to the eave, below which another roof or the ground is near" if near and loaded.case > 1 else ""
        note = f"Snow on the {side} half, the {other} half bare (wind from the {other}); {cause}."
        pair = {side: here, other: self._bare(other)}
        return self._joined(f"S unbalanced {side}", pair["left"], pair["right"], sheet, note)

    def _gable(self, side: str) -> RoofPressure | str:
        """Two straight slopes: the lee slope carries balanced snow and a drift near the ridge, the windward slope a part of it."""
        rules, half, site = self.rules, self.halves[side], self.site
        slope = half.straight or 0.0
        low, high = rules.number("least gable slope"), rules.number("greatest gable slope")
        if not low * (1 - RELATIVE) <= slope <= high * (1 + RELATIVE):
            return f"No unbalanced snow on the {side} slope: it slopes {slope:.1f} degrees, outside of {low:g} to {high:g} (7.6.1)."
        other = "right" if side == "left" else "left"
        sheet = Calculation()
        self._flat(sheet)
        W, S = float(self.halves[other].distance[-1]), 1 / float(np.tan(np.radians(slope)))
        x, pressure = self.balanced.x, self.balanced.pressure / PSF
        outside = (x < self.roof.crown) if side == "left" else (x > self.roof.crown)
        p_s = float(pressure[outside].mean())
        density = float(sheet(rules.gamma, p_g=site.ground_snow / PSF))
        height = rules.drift_height(W, site, sheet)
        surcharge = float(sheet(rules.p_ridge, h_d=height, gamma=density, S=S))
        length = min(float(sheet(rules.l_ridge, h_d=height, S=S)), float(half.distance[-1]))
        windward = float(sheet(rules.p_windward, p_s=p_s))
        edge = float(half.distance[-1])
        here = (np.array([0.0, length, length, edge]) * FOOT, np.array([p_s + surcharge, p_s + surcharge, p_s, p_s]) * PSF)
        away = self._bare(other)
        pair = {side: here, other: (away[0], np.full(2, windward * PSF))}
        note = f"Wind from the {other}: balanced snow and a drift beside the ridge on the {side} slope (7.6.1)."
        return self._joined(f"S unbalanced {side}", pair["left"], pair["right"], sheet, note)

    def _valley(self) -> list[RoofPressure]:
        """Snow gathered in the valleys between barrels: each by itself, and both where there are two."""
        rules, site = self.rules, self.site
        sets = [[side] for side in self.valleys] + ([self.valleys] if len(self.valleys) == 2 else [])
        found = []
        for sides in sets:
            sheet = Calculation()
            flat = self._flat(sheet)
            crown_factor = sheet.given("crown_factor", rules.number("crown factor"), "-", rules.cite("crown factor"))
            eave_factor = sheet.given("eave_factor", rules.number("eave factor"), "-", rules.cite("eave factor"))
            density = float(sheet(rules.gamma, p_g=site.ground_snow / PSF))
            crown = float(sheet(rules.p_crown, crown_factor=crown_factor, p_f=flat))
            pair = {}
            for side in SIDES:
                pair[side] = self._bare(side)
                if side in sides:
                    valley = float(sheet(rules.p_valley, eave_factor=eave_factor, p_f=flat, C_e=site.exposure, p_crown=crown, gamma=density,
                                         rise=self.halves[side].rise))  # fmt: skip
                    pair[side] = (pair[side][0], np.array([crown, valley]) * PSF)
            note = f"Snow gathered in the valley on the {' and the '.join(sides)} (7.6.3); it does not stand higher there than at the crown."
            found.append(self._joined(f"S valley {' and '.join(sides)}", pair["left"], pair["right"], sheet, note))
        return found

    def _partial(self) -> list[RoofPressure]:
        """Balanced snow on one half and a part of it on the other."""
        rules, x, pressure = self.rules, self.balanced.x, self.balanced.pressure
        found = []
        crown = self.roof.crown
        at_crown = float(np.interp(crown, x, pressure))
        for side in SIDES:
            sheet = Calculation()
            flat = self._flat(sheet)
            factor = sheet.given("part", rules.number("partial factor"), "-", rules.cite("partial factor"))
            sheet(rules.p_partial, part=factor, p_s=flat)
            full, part = 1.0, float(factor)
            scale = {"left": full if side == "left" else part, "right": full if side == "right" else part}
            left, right = x < crown - LENGTH_IN, x > crown + LENGTH_IN
            halves_of = {
                "left": (np.concatenate([[0.0], (crown - x[left])[::-1]]), np.concatenate([[at_crown], pressure[left][::-1]]) * scale["left"]),
                "right": (np.concatenate([[0.0], x[right] - crown]), np.concatenate([[at_crown], pressure[right]]) * scale["right"]),
            }
            note = f"Balanced snow on the {side} half, {part:g} of it on the other (7.5)."
            found.append(self._joined(f"S partial {side}", halves_of["left"], halves_of["right"], sheet, note))
        return found

    def _drifts(self) -> list[RoofPressure | str]:
        found: list[RoofPressure | str] = []
        for number, source in enumerate(self.site.drifts, start=1):
            same = [s for s in self.site.drifts if s.side == source.side]
            name = f"S drift {source.side}" + (f" {number}" if len(same) > 1 else "")
            found.append(self._drift(name, source))
        return found

    def _drift(self, name: str, source: DriftSource) -> RoofPressure | str:
        """Balanced snow and the drift beside something higher; or why there is none."""
        rules, site, sheet = self.rules, self.site, Calculation()
        self._flat(sheet)
        x, pressure = self.balanced.x, self.balanced.pressure
        place = {"left": float(x[0]), "right": float(x[-1])}.get(source.side)
        beside = float(np.interp(place, x, pressure)) if place is not None else float(pressure.max())
        density = float(sheet(rules.gamma, p_g=site.ground_snow / PSF))
        snow_depth = beside / PSF / density
        clear = source.height / FOOT - snow_depth
        where = f"beside the {source.kind} ({source.side})"
        if snow_depth > 0 and clear / snow_depth < rules.number("least clear height"):
            return f"No drift {where}: it hardly stands above the balanced snow (7.7)."
        windward = float(sheet(rules.h_windward, h_d=rules.drift_height(source.lower / FOOT, site, sheet)))
        leeward = rules.drift_height(source.upper / FOOT, site, sheet) if source.upper > 0 else 0.0
        height = max(windward, leeward)
        clear = sheet.given("h_c", clear, "ft", SITE)
        width = float(sheet(rules.w, h_d=height, h_c=clear))
        height = min(height, clear)
        peak = float(sheet(rules.p_d, h_d=height, gamma=density))
        kind = "lee" if leeward >= windward else "windward"
        note = f"Balanced snow and a {kind} drift {where} (7.7, 7.8)."
        if place is None:
            low, high = (source.distance - source.width / 2) / FOOT, (source.distance + source.width / 2) / FOOT
            reached = (min(max(low, 0.0), width), min(high, width))
            mean = peak * (reached[1] - reached[0]) * (1 - sum(reached) / 2 / width) / (source.width / FOOT)
            return RoofPressure(name, x, pressure + mean * PSF, sheet, (f"{note} On this truss its mean over the width that the truss carries.",))
        end = place + (width if source.side == "left" else -width) * FOOT
        added = np.unique(np.concatenate([x, np.clip([end], float(x[0]), float(x[-1]))]))
        drift = peak * PSF * np.clip(1 - np.abs(added - place) / (width * FOOT), 0.0, 1.0)
        return RoofPressure(name, added, np.interp(added, x, pressure) + drift, sheet, (note,))


@dataclass(frozen=True)
class CurvedRoofSnow:
    """The named values of the unbalanced case on a symmetrical circular roof: degrees and psf."""

    eave_slope: float
    chord_slope: float
    needed: bool
    half: UnbalancedHalf


def curved_roof_snow(rules: SnowRules, span: float, rise: float, flat: float, C_e: float, C_t: float, slippery: bool) -> CurvedRoofSnow:
    """Unbalanced snow of a roof on a circle.

    span, rise: ft
    flat: flat roof snow load, psf
    """
    half = halves(circular_roof(span * FOOT, rise * FOOT))["left"]
    chord = half.chord_slope(rules.number("slope free of snow"))
    values = unbalanced_half(rules, half, flat, C_e, C_t, slippery, Calculation())
    return CurvedRoofSnow(float(half.slope[-1]), chord, rules.is_unbalanced_needed(chord), values)
