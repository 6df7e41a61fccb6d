"""What is marked on the elevation: ratios, joints, splices, bolted ends over 1.0, damage, supports, dimensions."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from detailgen.core.tolerance import rounded
from detailgen.core.units import UnitSystem
from detailgen.model.member import Connection, Damage
from detailgen.model.project import Truss
from detailgen.outputs.drawings.elevation import Axis
from detailgen.outputs.drawings.layout import View
from detailgen.outputs.drawings.lettering import text_width
from detailgen.outputs.drawings.ratings import NOT_CHECKED, Pair, Rating, Ratings, panels
from detailgen.outputs.drawings.shapes import Arc, Circle, Dimension, Line, Point, Polyline, Text

SHOWN_ENDS = 6
"""Labels of bolted ends that cannot be checked: more would bury the picture, they are counted in the notes instead."""


SHORT_NAME = 6
"""A longer name of a splice says where it is; the drawing shows that."""


def ratio_words(rating: Rating, of_intact: bool) -> str:
    """What is lettered: two decimals, a star where some checks are missing."""
    if not rating.checked:
        return "not checked"
    return f"{rating.ratio:.2f}" + ("*" if rating.gaps else "") + (" (intact)" if of_intact else "")


def letter_ratios(view: View, ratings: Ratings) -> list[tuple[Axis, list[str], str]]:
    """Letter every member between joints with its ratio. Returns those that have no room on themselves."""
    left = []
    for pair, axis in sorted(view.elevation.axes.items(), key=lambda item: (item[1].kind == "web", item[1].length, item[0])):
        rating = ratings.member(pair)
        words = ratio_words(rating, ratings.of_intact)
        layer = "over text" if rating.over else "ratios"
        rows = words.split(" ") if ratings.of_intact or not rating.checked else [words]
        if not (view.letter_on(axis, [words], layer) or (len(rows) > 1 and view.letter_on(axis, rows, layer))):
            left.append((axis, rows, layer))
    return left


def letter_beside(view: View, left: list[tuple[Axis, list[str], str]]) -> None:
    """Ratios beside their members, with a leader."""
    for axis, rows, layer in left:
        point, angle = axis.at(0.5)
        outward = {"bottom chord": -math.pi / 2, "top chord": angle + math.pi / 2}
        side = outward.get(axis.kind, angle - math.pi / 2 if point[0] < view.middle else angle + math.pi / 2)
        if not (view.note(point, rows, layer, side, dot=True) or view.note(point, rows, layer, side + math.pi, dot=True)):
            view.crowded.append(f"{axis.pair[0]}-{axis.pair[1]} {' '.join(rows)}")


def mark_joints(view: View, truss: Truss) -> None:
    """Joint names in circles outside the chords."""
    height, u = view.letters.note, view.u
    names = (*truss.bottom, *(j for j in truss.top if j not in truss.bottom))
    for joint in names:
        x, y = truss.joints[joint]
        radius = u * (math.hypot(text_width(joint, height) / 2, height / 2) + 0.03)
        touching = [a for pair, a in view.elevation.axes.items() if joint in pair and a.kind != "web"]
        depth = max(a.depth for a in touching)
        if joint in truss.bottom and joint in truss.top:
            outward = math.radians(-50 if x < view.middle else -130)
        elif joint in truss.bottom:
            outward = -math.pi / 2
        else:
            outward = math.pi / 2 + sum(a.at(0.0 if a.pair[0] == joint else 1.0)[1] for a in touching) / len(touching)
        for reach in (0.08, 0.16, 0.26, 0.38, 0.5, 0.65):
            for turn in (0, 15, -15, 30, -30, 45, -45, 60, -60, 90, -90, 120, -120, 150, -150, 180):
                way = outward + math.radians(turn)
                away = depth / 2 + reach * u + radius
                cx, cy = x + away * math.cos(way), y + away * math.sin(way)
                around = _round((cx, cy), radius + 0.03 * u)
                tick = ((x + depth / 2 * math.cos(way), y + depth / 2 * math.sin(way)), (cx - radius * math.cos(way), cy - radius * math.sin(way)))
                if view.free(around) and not view.words.hit(tick):
                    break
            else:
                continue
            break
        else:
            view.crowded.append(f"joint {joint}")
            continue
        view.draw(Line("symbols", *tick), Circle("symbols", (cx, cy), radius), Text("notes", joint, (cx, cy - u * height / 2), height, 0.0, "middle"))
        view.block(around)


def _round(centre: Point, radius: float) -> tuple[Point, ...]:
    """Twelve corners around a circle."""
    outer = radius / math.cos(math.pi / 12)
    return tuple((centre[0] + outer * math.cos(k * math.pi / 6), centre[1] + outer * math.sin(k * math.pi / 6)) for k in range(12))


def mark_supports(view: View, truss: Truss) -> None:
    """Pin and roller under the bearings."""
    u, height = view.u, view.letters.note
    for support in truss.supports:
        x, y = (a + b for a, b in zip(truss.joints[support.joint], support.offset, strict=True))
        depth = max(a.depth for pair, a in view.elevation.axes.items() if support.joint in pair and a.kind == "bottom chord")
        y = min(y, truss.joints[support.joint][1] - depth / 2) - 0.02 * u
        if support.kind == "pin":
            view.draw(Polyline("supports", ((x, y), (x - 0.1 * u, y - 0.17 * u), (x + 0.1 * u, y - 0.17 * u)), True))
        else:
            view.draw(Circle("supports", (x, y - 0.085 * u), 0.085 * u))
        ground = y - 0.17 * u - (0.0 if support.kind == "pin" else 0.02 * u)
        view.draw(Line("supports", (x - 0.17 * u, ground), (x + 0.17 * u, ground)))
        view.block(((x - 0.19 * u, ground - 0.02 * u), (x + 0.19 * u, ground - 0.02 * u), (x + 0.19 * u, y), (x - 0.19 * u, y)))
        view.draw(Text("notes", support.kind, (x, ground - u * (height + 0.06)), height, 0.0, "middle"))


def chord_axis(view: View, truss: Truss, chord: str, x: float) -> tuple[Point, float, Axis]:
    """The point of a chord's axis at x, and its direction."""
    member = truss.member(chord)
    pairs = panels(member)
    pair = next(
        (p for p in pairs if truss.joints[p[0]][0] <= x <= truss.joints[p[1]][0]), pairs[0] if x < truss.joints[pairs[0][0]][0] else pairs[-1]
    )
    axis = view.elevation.axes[pair]
    low, high = 0.0, 1.0
    for _ in range(40):  # arcs have no straight inverse that is worth its lines
        t = (low + high) / 2
        low, high = (t, high) if axis.at(t)[0][0] < x else (low, t)
    point, angle = axis.at((low + high) / 2)
    return point, angle, axis


def mark_splices(view: View, truss: Truss, ratings: Ratings, *, lettered: bool = True) -> list[tuple[Point, float, str, str]]:
    """Double ticks across the chord. Returns what is still to be lettered."""
    u = view.u
    waiting = []
    for splice in sorted(truss.splices, key=lambda s: (s.chord, s.x, s.name)):
        (x, y), angle, axis = chord_axis(view, truss, splice.chord, splice.x)
        rating = ratings.splices.get(splice.name, NOT_CHECKED)
        layer = "over bolts" if rating.over else "splices"
        half = axis.depth / 2 + 0.05 * u
        c, s = math.cos(angle), math.sin(angle)
        for side in (-0.02 * u, 0.02 * u):
            px, py = x + side * c, y + side * s
            view.draw(Line(layer, (px + half * s, py - half * c), (px - half * s, py + half * c)))
        name = f"splice {splice.name}" if len(splice.name) <= SHORT_NAME else "splice"
        words = f" {ratio_words(rating, ratings.of_intact)}" if lettered and (rating.checked or rating.gaps) else ""
        outward = angle - math.pi / 2 if axis.kind == "bottom chord" else angle + math.pi / 2
        waiting.append(((x + half * math.cos(outward), y + half * math.sin(outward)), outward, name + words, "over text" if rating.over else "notes"))
    return waiting


def _end_frame(view: View, truss: Truss, pair: Pair, joint: str) -> tuple[float, float, float, Point, Connection | None]:
    """Work point, direction into the member and its surveyed bolts, for the end of a member at a joint."""
    axis = view.elevation.axes[pair]
    first = pair[0] == joint
    point, angle = axis.at(0.0 if first else 1.0)
    holder = next((m for m in truss.members if pair in panels(m)), None)
    bolted = next((c for c in truss.connections if holder is not None and c.member == holder.name and c.joint == joint), None)
    return math.cos(angle) * (1 if first else -1), math.sin(angle) * (1 if first else -1), axis.depth, point, bolted


def _laid(dx: float, dy: float, origin: Point, along: float, across: float) -> Point:
    """A place of a member's axes in the truss: across counts upward (for an upright member to the left of the way up)."""
    ux, uy = (-dy, dx) if dx > 1e-9 or (abs(dx) <= 1e-9 and dy > 0) else (dy, -dx)
    return origin[0] + along * dx + across * ux, origin[1] + along * dy + across * uy


Frames = dict[tuple[Pair, str], tuple[Point, float]]
"""Centre and half width of the frame around a bolted end."""


def mark_bolts(view: View, truss: Truss, ratings: Ratings) -> Frames:
    """Bolts at true size, frames around the ends that are over 1.0 and around the few that cannot be checked."""
    frames: Frames = {}
    unchecked = [key for key, rating in ratings.ends.items() if not rating.checked]
    for member in truss.members:
        for pair in panels(member):
            for joint in pair:
                rating = ratings.ends.get((pair, joint))
                dx, dy, depth, origin, bolted = _end_frame(view, truss, pair, joint)
                mine = bolted is not None and (rating is not None or joint in (member.joints[0], member.joints[-1]))
                places = bolted.bolts.positions if bolted is not None and mine else ()
                over = rating is not None and rating.over
                for along, across in places:
                    centre = _laid(dx, dy, origin, along, across)
                    view.shapes.append(Circle("over bolts" if over else "bolts", centre, (bolted.bolts.diameter if bolted else 0.0) / 2))
                if rating is None or not (over or (not rating.checked and len(unchecked) <= SHOWN_ENDS)):
                    continue
                reach = [a for a, _ in places] or [0.0, depth]
                low, high = min(reach) - 0.03 * view.u - 1.0, max(reach) + 0.03 * view.u + 1.0
                wide = max([abs(b) for _, b in places] + [depth / 2]) + 0.02 * view.u
                corners = tuple(_laid(dx, dy, origin, a, b) for a, b in ((low, -wide), (high, -wide), (high, wide), (low, wide)))
                view.draw(*(Line("over bolts" if over else "bolts", p, q) for p, q in zip(corners, (*corners[1:], corners[0]), strict=True)))
                frames[pair, joint] = (_laid(dx, dy, origin, (low + high) / 2, 0.0), wide)
    return frames


def letter_bolts(view: View, truss: Truss, ratings: Ratings, frames: Frames) -> None:
    """One note per joint with framed ends: the worst of them, and how many there are."""
    for joint in sorted({joint for _, joint in frames}, key=lambda j: (truss.joints[j], j)):
        ends = {key: ratings.ends[key] for key in frames if key[1] == joint}
        over = {key: r for key, r in ends.items() if r.over}
        worst = max(over, key=lambda key: rounded(over[key].ratio)) if over else next(iter(ends))
        count = len(over or ends)
        words = f"bolts {ratio_words(ends[worst], ratings.of_intact)}" + (f", {count} ends" if count > 1 else "")
        down = joint in truss.bottom
        toward = math.radians(-45 if down else 45)
        if truss.joints[joint][0] > view.middle:
            toward = math.pi - toward
        point, half = frames[worst]
        if not view.note(point, [words], "over text" if over else "notes", toward, start=half):
            view.crowded.append(f"{joint} {words}")


@dataclass(frozen=True)
class Found:
    """A damage with its number on the sheet, where it is, and which way its note should go."""

    number: int
    damage: Damage
    point: Point
    outward: float
    half: float


def number_damage(truss: Truss) -> list[tuple[int, Damage]]:
    """Numbers by member and station, so that they do not depend on the order of the survey's pages."""
    return list(enumerate(sorted(truss.damage, key=lambda d: (d.member, d.at, d.kind, d.photo)), 1))


def mark_damage(view: View, truss: Truss) -> list[Found]:
    """A cross where the damage is, a heavy line over its length. Returns what is still to be lettered."""
    u = view.u
    out = []
    for number, damage in number_damage(truss):
        member = truss.member(damage.member)
        if member.kind == "web":
            axis = view.elevation.axes[panels(member)[0]]
            point, angle = axis.at(damage.at / axis.length)
            outward = angle + math.pi / 2
            if math.sin(outward) < 0:
                outward += math.pi
        else:
            point, angle, axis = chord_axis(view, truss, member.name, damage.at)
            outward = angle + (-math.pi / 2 if member.kind == "bottom chord" else math.pi / 2)
        arm = 0.06 * u
        x, y = point
        view.draw(Line("damage", (x - arm, y - arm), (x + arm, y + arm)), Line("damage", (x - arm, y + arm), (x + arm, y - arm)))
        if damage.kind not in MODELLED and damage.length / 2 > 1.5 * arm:
            half = damage.length / 2
            view.draw(
                Line("damage", (x - half * math.cos(angle), y - half * math.sin(angle)), (x + half * math.cos(angle), y + half * math.sin(angle)))
            )
        view.block(_round(point, 1.2 * arm))
        out.append(Found(number, damage, point, outward, 1.35 * arm))
    return out


MODELLED = ("bow", "missing bolt", "sag")
"""Damage that the structure's model holds; it has no factor, and a bow or sag has no place where it begins."""


def effect_words(damage: Damage, units: UnitSystem) -> str:
    """What a damage leaves, in a few words; empty where its kind says all."""
    if damage.kind == "break":
        return "carries nothing"
    if damage.kind not in MODELLED:
        return f"factor {damage.factor:.2f}"
    return f"{damage.kind} {units.write_length(damage.amount)}" if damage.amount else ""


def damage_rows(damage: Damage, units: UnitSystem) -> list[str]:
    """What the note at a damage says: kind, photo, and the factor or the amount."""
    rows = [damage.kind] + ([f"photo {damage.photo}"] if damage.photo else [])
    effect = effect_words(damage, units).removeprefix(f"{damage.kind} ")
    return [*rows, effect] if effect else rows


def letter_damage(view: View, found: list[Found], units: UnitSystem) -> None:
    for item in found:
        d = item.damage
        tall = damage_rows(d, units)
        wide = [", ".join(tall[:2]), *tall[2:]]
        for rows in (wide, tall, []):
            if view.note(item.point, rows, "notes", item.outward, start=item.half, number=str(item.number)):
                view.shortened += not rows
                break
        else:
            view.crowded.append(f"damage {item.number}")


def letter_splices(view: View, waiting: list[tuple[Point, float, str, str]]) -> None:
    for point, toward, words, layer in waiting:
        if not view.note(point, [words], layer, toward):
            view.crowded.append(words)


def crown_of(view: View) -> float:
    """The highest point of the top chord's axis (in)."""
    lines = [axis.line for axis in view.elevation.axes.values() if axis.kind == "top chord"]
    ends = [p[1] for k in lines for p in ((k.start, k.end) if isinstance(k, Line) else (k.at(k.start), k.at(k.end)))]
    return max(ends + [k.centre[1] + k.radius for k in lines if isinstance(k, Arc) and k.start <= math.pi / 2 <= k.end])


def dimension(view: View, truss: Truss, low: float) -> None:
    """Panels and span. ``low`` is the y under everything lettered below the truss."""
    u, height, words = view.u, view.letters.note, view.write
    stations = [truss.joints[j][0] for j in truss.bottom]
    texts = [words(b - a) for a, b in itertools.pairwise(stations)]
    turned = any(text_width(t, height) * u > (b - a) - 0.1 * u for t, a, b in zip(texts, stations[:-1], stations[1:], strict=True))
    room = max(text_width(t, height) for t in texts) if turned else height
    row = low - u * (room + 0.2)
    for t, a, b in zip(texts, stations[:-1], stations[1:], strict=True):
        view.draw(Dimension("dimensions", (a, low), (b, low), row, False, t, height, turned=turned))
    view.draw(
        Dimension("dimensions", (stations[0], low), (stations[-1], low), row - u * (height + 0.17), False, words(stations[-1] - stations[0]), height)
    )


def dimension_rise(view: View, truss: Truss) -> None:
    """The rise at the left, from the bottom chord's centre line to the crown of the top chord's."""
    u, height = view.u, view.letters.note
    x0 = view.elevation.box[0]
    foot, crown = truss.joints[truss.bottom[0]][1], crown_of(view)
    line = x0 - 0.22 * u
    text = view.write(crown - foot)
    long_enough = (crown - foot) > u * (text_width(text, height) + 0.25)
    shift = 0.0 if long_enough else (crown - foot) / 2 + u * (text_width(text, height) / 2 + 0.1)
    view.draw(Dimension("dimensions", (x0, foot), (line + 0.3 * u, crown), line, True, text, height, broken=True, shift=shift))
    view.draw(Text("notes", "crown", (line + 0.36 * u, crown - u * height / 2), height))
