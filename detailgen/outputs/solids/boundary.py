"""A body as the boundary of a solid (ISO 10303-42): vertices, edges, loops, faces, one closed shell.

Seen from outside, a face lies left of the edges that bound it. An edge runs as its side does, or counter-clockwise round a circle, and is used by
two faces, once each way; a whole cylinder is closed along one upright line, its seam.
"""

from __future__ import annotations

from collections.abc import Iterable

from detailgen.outputs.solids.bodies import Body, Cap, Loop, Ring, Side
from detailgen.outputs.solids.exchange import Exchange

Use = tuple[str, bool]
"""An edge, and whether it is used the way it runs."""


class Boundary:
    """Writes one body. Edges are found again by what they run along and by their height."""

    def __init__(self, file: Exchange) -> None:
        self.file = file
        self.up = file.direction(0, 0, 1)
        self.down = file.direction(0, 0, -1)
        self.along = file.direction(1, 0, 0)
        self.lift = file.once(f"VECTOR('',{self.up},1.)")
        self.edges: dict[tuple[object, float], str] = {}

    def solid(self, body: Body) -> str:
        """The number of its MANIFOLD_SOLID_BREP."""
        faces = [f for w in body.walls for f in self._wall(w.loop, w.low, w.high)] + [self._cap(c) for c in body.caps]
        shell = self.file.add(f"CLOSED_SHELL('',({','.join(faces)}))")
        return self.file.add(f"MANIFOLD_SOLID_BREP('',{shell})")

    def _vertex(self, x: float, y: float, z: float) -> str:
        return self.file.once(f"VERTEX_POINT('',{self.file.point(x, y, z)})")

    def _edge(self, key: tuple[object, float], start: str, end: str, curve: str, same: bool = True) -> str:
        self.edges[key] = made = self.file.add(f"EDGE_CURVE('',{start},{end},{curve},{'.T.' if same else '.F.'})")
        return made

    def _upright(self, x: float, y: float, low: float, high: float) -> str:
        """The edge upward over a corner."""
        key = ((x, y, low), high)
        if key in self.edges:
            return self.edges[key]
        line = self.file.add(f"LINE('',{self.file.point(x, y, low)},{self.lift})")
        return self._edge(key, self._vertex(x, y, low), self._vertex(x, y, high), line)

    def _axis(self, x: float, y: float, z: float) -> str:
        return self.file.placement(self.file.point(x, y, z), self.up, self.along)

    def _level(self, side: Side | Ring, z: float) -> Use:
        """The edge along a side, or round a circle, at a height."""
        if isinstance(side, Ring):
            ring = (side.x, side.y, side.radius)
            if (ring, z) not in self.edges:
                circle = self.file.add(f"CIRCLE('',{self._axis(side.x, side.y, z)},{self.file.number(side.radius)})")
                corner = self._vertex(side.x + side.radius, side.y, z)
                self._edge((ring, z), corner, corner, circle)
            return self.edges[ring, z], not side.clockwise
        if (side, z) not in self.edges:
            start, end = self._vertex(side.x0, side.y0, z), self._vertex(side.x1, side.y1, z)
            if side.bulge:
                x, y, radius = side.circle()
                circle = self.file.add(f"CIRCLE('',{self._axis(x, y, z)},{self.file.number(radius)})")
                self._edge((side, z), start, end, circle, side.bulge > 0)
            else:
                way = self.file.once(f"VECTOR('',{self._way(side)},1.)")
                self._edge((side, z), start, end, self.file.add(f"LINE('',{self.file.point(side.x0, side.y0, z)},{way})"))
        return self.edges[side, z], True

    def _way(self, side: Side) -> str:
        dx, dy = side.x1 - side.x0, side.y1 - side.y0
        length = (dx * dx + dy * dy) ** 0.5
        return self.file.direction(dx / length, dy / length, 0)

    def _loop(self, uses: Iterable[Use]) -> str:
        written = [self.file.add(f"ORIENTED_EDGE('',*,*,{edge},{'.T.' if way else '.F.'})") for edge, way in uses]
        return self.file.add(f"EDGE_LOOP('',({','.join(written)}))")

    def _face(self, loops: list[str], surface: str, same: bool) -> str:
        bounds = [self.file.add(f"FACE_{'' if k else 'OUTER_'}BOUND('',{loop},.T.)") for k, loop in enumerate(loops)]
        return self.file.add(f"ADVANCED_FACE('',({','.join(bounds)}),{surface},{'.T.' if same else '.F.'})")

    def _wall(self, loop: Loop, low: float, high: float) -> Iterable[str]:
        for side in (loop,) if isinstance(loop, Ring) else loop:
            if isinstance(side, Ring):
                x, y, radius = side.x, side.y, side.radius
                before = after = self._upright(x + radius, y, low, high)
                outward = not side.clockwise
            else:
                before, after = self._upright(side.x0, side.y0, low, high), self._upright(side.x1, side.y1, low, high)
                outward = side.bulge >= 0
                if side.bulge:
                    x, y, radius = side.circle()
            (bottom, way), (top, _) = self._level(side, low), self._level(side, high)
            bounds = self._loop(((bottom, way), (after, True), (top, not way), (before, False)))
            if isinstance(side, Ring) or side.bulge:
                surface = self.file.add(f"CYLINDRICAL_SURFACE('',{self._axis(x, y, low)},{self.file.number(radius)})")
            else:
                dx, dy = side.x1 - side.x0, side.y1 - side.y0
                length = (dx * dx + dy * dy) ** 0.5
                at = self.file.placement(self.file.point(side.x0, side.y0, low), self.file.direction(dy / length, -dx / length, 0), self._way(side))
                surface = self.file.add(f"PLANE('',{at})")
            yield self._face([bounds], surface, outward)

    def _cap(self, cap: Cap) -> str:
        loops = []
        for loop in cap.loops:
            uses = [self._level(s, cap.z) for s in ((loop,) if isinstance(loop, Ring) else loop)]
            loops.append(self._loop(uses if cap.up else [(edge, not way) for edge, way in reversed(uses)]))
        at = self.file.placement(self.file.point(0, 0, cap.z), self.up if cap.up else self.down, self.along)
        return self._face(loops, self.file.add(f"PLANE('',{at})"), True)
