"""A detail written as the text of a sheet, in a few milliseconds: face views, plan, overall dimensions. By hand, with no library.

It shares nothing with the product's sheets nor with the checker's reading: two thousand mutants are written with it.
"""

from __future__ import annotations

import math

MM = 25.4
LIGHT = 1500.0
"""lb; distances are judged under any load, and this one no part of the samples is too weak for. Only a load that lasts ten years is written as it is:
a mutant of the wood's strength."""


def open_ends(part):
    low, high = min(v.x for v in part.outline), max(v.x for v in part.outline)
    left, right = (any(abs(x - end) < 1e-6 for x in part.open_ends) for end in (low, high))
    return "both" if left and right else "left" if left else "right" if right else "none"


def outline_facts(detail, part):
    wood = part.material == "wood"
    facts = {
        "kind": "outline", "view": "face", "detail": detail.key, "part": part.key, "mark": "", "material": part.material,
        "specification": part.specification, "standard": "nds_2018" if wood else "aisc360_16",
    }  # fmt: skip
    if wood:
        facts |= {"wood": "hardwood" if "Oak" in part.specification else "softwood", "grain": f"{math.degrees(part.grain):g}"}
    facts |= {"existing": "yes" if part.existing else "no", "open": open_ends(part)}
    facts |= dict(part.facts)
    for group in detail.groups:
        for x in group.loads:
            if x.part == part.key:
                as_it_is = [lasts for lasts, _, _ in x.lasting] == ["ten years"]
                tension, compression = (x.tension, x.compression) if as_it_is else (min(x.tension, LIGHT), min(x.compression, LIGHT))
                direction = (180 if open_ends(part) == "right" else 0) + math.degrees(x.angle)
                facts["load"] = f"{group.key};tension={tension:.7g};compression={compression:.7g};direction={direction:g}"
                facts["load"] += ";duration=ten years" if as_it_is else ""
    return facts


def hole_facts(part, hole, bolts, metric):
    size = bolts.get(hole.bolt, 0.0)
    name = f"bolt {size * MM:.0f} mm" if metric else f"bolt {size:g} in"
    return {"kind": "hole", "view": "face", "part": part.key, "group": hole.bolt, "fastener": name, "made": hole.made, "template": hole.template}


class Sheet:
    """Records in the order of the file; an edit changes them before they are written."""

    def __init__(self, detail, *, metric=False):
        self.metric, self.unit_flag, self.k = metric, 4 if metric else 1, MM if metric else 1.0
        self.outlines, self.holes, self.plans, self.dimensions = {}, {}, {}, {}
        bolts = {g.key: g.diameter for g in detail.groups}
        for number, part in enumerate(detail.parts):
            up = 25.0 * number
            xs = [v.x for v in part.outline]
            self.outlines[part.key] = [[(v.x, v.y + up, v.bulge) for v in part.outline], outline_facts(detail, part)]
            self.holes[part.key] = [[h.x, h.y + up, h.diameter, hole_facts(part, h, bolts, metric)] for h in part.holes]
            low, high = (-max(xs), -min(xs)) if part.placement.angle else (min(xs), max(xs))
            z = part.placement.z
            self.plans[part.key] = (300 + part.placement.x + low, z, 300 + part.placement.x + high, z + part.thickness)
            y = min(v.y for v in part.outline) + up
            self.dimensions[part.key] = [(min(xs), y), (max(xs), y), "<>"]

    def text(self):
        out = ["0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", str(self.unit_flag), "0", "ENDSEC"]
        out += ["0", "SECTION", "2", "ENTITIES"]
        for part, (points, facts) in self.outlines.items():
            out += self._line(points, facts, "S-PART")
            for x, y, d, said in self.holes[part]:
                out += ["0", "CIRCLE", "8", "S-HOLE", *self._at("10", "20", x, y), "40", f"{d / 2 * self.k:.6f}", *self._facts(said)]
            x0, y0, x1, y1 = self.plans[part]
            out += self._line([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], {"kind": "outline", "view": "plan", "part": part}, "S-PLAN")
            (ax, ay), (bx, by), text = self.dimensions[part]
            out += ["0", "DIMENSION", "8", "S-DIMS", *self._at("10", "20", bx, by - 2), "70", "32", "1", text, "3", "STANDARD"]
            out += [*self._at("13", "23", ax, ay), *self._at("14", "24", bx, by), "50", "0"]
        return "\n".join([*out, "0", "ENDSEC", "0", "EOF", ""])

    def _at(self, cx, cy, x, y):
        return [cx, f"{x * self.k:.6f}", cy, f"{y * self.k:.6f}"]

    def _line(self, points, facts, layer):
        out = ["0", "LWPOLYLINE", "8", layer, "90", str(len(points)), "70", "1"]
        for x, y, bulge in points:
            out += [*self._at("10", "20", x, y), "42", f"{bulge:.9f}"]
        return out + self._facts(facts)

    @staticmethod
    def _facts(facts):
        return ["1001", "DETAILGEN", *(v for key, value in facts.items() for v in ("1000", f"{key}={value}"))]
