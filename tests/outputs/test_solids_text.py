"""A small reader of ISO 10303-21 that shares nothing with the writer, and what it finds in the STEP file of a detail.

The reader knows only the exchange structure (entities, typed values, references) and these entities of ISO 10303-41 to -44: PRODUCT,
NEXT_ASSEMBLY_USAGE_OCCURRENCE, CONTEXT_DEPENDENT_SHAPE_REPRESENTATION, ITEM_DEFINED_TRANSFORMATION, CONVERSION_BASED_UNIT (from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hand_made import make_project, make_truss
from splice_fixture import splice_detail

from detailgen.core.units import MM, SI
from detailgen.model.detail import Detail
from detailgen.model.package import PROPOSED, Marked, Package, Repaired
from detailgen.outputs.solids import write_step
from detailgen.outputs.solids.exchange import Exchange, Header, encoded, real

US_PROJECT = make_project(make_truss())
PROJECTS = {"US": US_PROJECT, "SI": replace(US_PROJECT, units=SI)}
SPLICE_MARKS = {"PL-1": ("plate-near", "plate-inner"), "FB-1": ("filler-right", "filler-left")}


def package_of(detail: Detail, units: str, marks: dict[str, tuple[str, ...]]) -> Package:
    """A package around one detail. The solids read nothing of the assessment, so none is made."""
    marked = tuple(Marked(m, detail.part(keys[0]), tuple((detail.key, k) for k in keys)) for m, keys in marks.items())
    repaired = Repaired(None, None, (detail,), (), (), {detail.key: PROPOSED})
    return Package(PROJECTS[units], (repaired,), marked, PROPOSED, (), ())


def metric_splice() -> Detail:
    """The hand-made splice with 19 mm bolts in 21 mm holes, 254 mm long."""
    detail = splice_detail()
    parts = tuple(replace(p, holes=tuple(replace(h, diameter=21 * MM) for h in p.holes)) for p in detail.parts)
    return replace(detail, parts=parts, bolts=tuple(replace(b, diameter=19 * MM, length=254 * MM) for b in detail.bolts))


DETAILS = {"US": splice_detail, "SI": metric_splice}


@dataclass(frozen=True)
class Ref:
    id: int


@dataclass(frozen=True)
class Enum:
    name: str


@dataclass(frozen=True)
class Typed:
    kind: str
    values: list


TOKEN = re.compile(r"\s*(?:(#\d+)|('(?:[^']|'')*')|(\.\w+\.)|([+-]?\d+\.?\d*(?:E[+-]?\d+)?)|([A-Z][A-Z0-9_]*)|([(),$*;=]))")


CODES = re.compile(r"\\X2\\([0-9A-F]+)\\X0\\|\\X4\\([0-9A-F]+)\\X0\\|(\\\\)|('')")


def decoded(text: str) -> str:
    """What a string literal says, read from left to right."""

    def said(m: re.Match[str]) -> str:
        if m[1] or m[2]:
            return bytes.fromhex(m[1] or m[2]).decode("utf-16-be" if m[1] else "utf-32-be")
        return "\\" if m[3] else "'"

    return CODES.sub(said, text)


class Step:
    """Entities by number, each a list of (kind, values): one for a simple entity, several for a complex one."""

    def __init__(self, text: str) -> None:
        assert text.startswith("ISO-10303-21;\nHEADER;\n")
        assert text.endswith("ENDSEC;\nEND-ISO-10303-21;\n")
        header, data = text.split("\nDATA;\n")
        self.header = {t.kind: t.values for t in self._list(header.removeprefix("ISO-10303-21;\nHEADER;\n"))}
        self.entities: dict[int, list[Typed]] = {}
        self._tokens = self._scan(data.removesuffix("ENDSEC;\nEND-ISO-10303-21;\n"))
        self._at = 0
        while self._at < len(self._tokens):
            number = int(self._next()[1:])
            assert self._next() == "="
            assert number not in self.entities
            self.entities[number] = self._complex() if self._peek() == "(" else [self._value()]
            assert self._next() == ";"

    def _list(self, header: str) -> list[Typed]:
        self._tokens, self._at, out = self._scan(header.removesuffix("ENDSEC;")), 0, []
        while self._at < len(self._tokens):
            out.append(self._value())
            assert self._next() == ";"
        return out

    @staticmethod
    def _scan(text: str) -> list[str]:
        out, at = [], 0
        end = len(text.rstrip())
        while at < end:
            m = TOKEN.match(text, at)
            assert m, f"not ISO 10303-21: {text[at : at + 60]!r}"
            out.append(m[0].strip())
            at = m.end()
        return out

    def _peek(self) -> str:
        return self._tokens[self._at]

    def _next(self) -> str:
        self._at += 1
        return self._tokens[self._at - 1]

    def _complex(self) -> list[Typed]:
        self._next()
        out = []
        while self._peek() != ")":
            out.append(self._value())
        self._next()
        return out

    def _value(self):
        token = self._next()
        if token == "(":
            out = []
            while self._peek() != ")":
                out.append(self._value())
                if self._peek() == ",":
                    self._next()
            self._next()
            return out
        if token[0] == "#":
            return Ref(int(token[1:]))
        if token[0] == "'":
            return decoded(token[1:-1])
        if token in "$*":
            return None
        if token[0] == ".":
            return Enum(token.strip("."))
        if token[0].isalpha():
            return Typed(token, self._value())
        return float(token)

    def all(self, kind: str) -> dict[int, list]:
        return {k: t.values for k, e in self.entities.items() for t in e if t.kind == kind}

    def get(self, ref: Ref, kind: str | None = None) -> list:
        return next(t.values for t in self.entities[ref.id] if kind in (None, t.kind))

    def reach(self, start: int) -> set[int]:
        seen, stack = set(), [start]
        while stack:
            k = stack.pop()
            if k in seen:
                continue
            seen.add(k)

            def refs(value):
                if isinstance(value, Ref):
                    yield value.id
                elif isinstance(value, Typed):
                    yield from refs(value.values)
                elif isinstance(value, list):
                    for v in value:
                        yield from refs(v)

            stack.extend(refs(self.entities[k]))
        return seen

    def product_of(self, definition: Ref) -> str:
        return self.get(self.get(self.get(definition)[2])[2])[0]

    def length_units(self) -> set[tuple[str, float]]:
        """Name and size in mm of the length unit of every geometric context."""
        out = set()
        for values in self.all("GLOBAL_UNIT_ASSIGNED_CONTEXT").values():
            for ref in values[0]:
                kinds = {t.kind: t.values for t in self.entities[ref.id]}
                if "LENGTH_UNIT" not in kinds:
                    continue
                if "CONVERSION_BASED_UNIT" in kinds:
                    name, measure = kinds["CONVERSION_BASED_UNIT"]
                    value, base = self.get(measure)
                    assert value.kind == "LENGTH_MEASURE"
                    assert self.get(base, "SI_UNIT") == [Enum("MILLI"), Enum("METRE")]
                    out.add((name, value.values[0]))
                else:
                    assert kinds["SI_UNIT"] == [Enum("MILLI"), Enum("METRE")]
                    out.add(("MM", 1.0))
        return out

    def shape_of(self, product: str) -> int:
        """The representation of a product."""
        for definition, representation in self.all("SHAPE_DEFINITION_REPRESENTATION").values():
            owner = self.get(definition)[2]
            if self.entities[owner.id][0].kind == "PRODUCT_DEFINITION" and self.product_of(owner) == product:
                return representation.id
        raise KeyError(product)

    def frame(self, ref: Ref) -> np.ndarray:
        _, origin, z, x = self.get(ref)
        z, x = (np.array(self.get(d)[1]) for d in (z, x))
        m = np.eye(4)
        m[:3, 0], m[:3, 1], m[:3, 2], m[:3, 3] = x, np.cross(z, x), z, self.get(origin)[1]
        return m

    def instances(self) -> dict[str, tuple[str, str, np.ndarray]]:
        """Name of each instance: product above, product, motion from the product's axes to those above."""
        out = {}
        for relation, definition in self.all("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION").values():
            usage = self.get(self.get(definition)[2])
            transform = self.get(self.get(relation, "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION")[0])
            above, below = self.product_of(usage[3]), self.product_of(usage[4])
            assert usage[1] not in out, "instance names are unique"
            first, second = transform[2], transform[3]
            out[usage[1]] = above, below, self.frame(second) @ np.linalg.inv(self.frame(first))
        return out


@pytest.fixture(scope="module", params=["US", "SI"])
def units(request):
    return request.param


@pytest.fixture(scope="module")
def step(units, tmp_path_factory) -> Step:
    detail = DETAILS[units]()
    path = tmp_path_factory.mktemp("step") / f"{detail.key}.step"
    write_step(detail, package_of(detail, units, SPLICE_MARKS), path)
    return Step(path.read_text(encoding="ascii"))


def test_schema_and_header(step, units):
    # AP242 edition 1: ISO 10303-242:2014, object identifier 1 0 10303 442 1 1 4 (from memory).
    assert step.header["FILE_SCHEMA"] == [["AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF {1 0 10303 442 1 1 4 }"]]
    name, time, *_ = step.header["FILE_NAME"]
    assert (name, time) == ("T2-splice-near.step", f"{PROJECTS[units].date}T00:00:00")
    text = step.header["FILE_DESCRIPTION"][0][0]
    assert "Splice of the near ply" in text
    assert PROJECTS[units].name in text
    assert "PROPOSED" in text


def test_length_unit_is_declared_and_used(step, units):
    # The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    assert step.length_units() == ({("INCH", 25.4)} if units == "US" else {("MM", 1.0)})
    inch = 1.0 if units == "US" else 25.4
    plate = [step.get(Ref(k))[1] for k in step.reach(step.shape_of("PL-1")) if step.entities[k][0].kind == "CARTESIAN_POINT"]
    corner = np.max(np.abs(np.array(plate)), axis=0)
    assert corner == pytest.approx(np.array([20.25, 3.5, 0.25]) * inch, rel=1e-9)


def test_products_are_named_by_mark_and_made_once(step, units):
    size = "3/4 in" if units == "US" else "19 mm"
    length, grip = ("10 in", "8 3/4 in") if units == "US" else ("254 mm", "222 mm")
    expected = {
        "T2-splice-near", "existing", "new", "PL-1", "FB-1", "near ply (E)", "far ply (E)",
        f"bolt set {size} x {length}, ASTM A307, grip {grip}", f"hex bolt {size} x {length}", f"hex nut {size}", f"washer {size}",
    }  # fmt: skip
    names = [v[0] for v in step.all("PRODUCT").values()]
    assert sorted(names) == sorted(expected)
    assert len(step.all("MANIFOLD_SOLID_BREP")) == 7  # plate, filler, two plies, bolt, nut, washer; each made once
    assert not step.all("SHELL_BASED_SURFACE_MODEL")


def test_instances_stand_where_the_detail_says(step, units):
    detail, inch = DETAILS[units](), 1.0 if units == "US" else 25.4
    found = step.instances()
    assert found["existing"][:2] == ("T2-splice-near", "existing")
    assert found["new"][:2] == ("T2-splice-near", "new")
    assert {n for n, (above, _, _) in found.items() if above == "existing"} == {"ply-near-left (E)", "ply-near-right (E)", "ply-far (E)"}
    in_order = [n for n, (above, _, _) in found.items() if above == "new"]  # as the tree of a viewer shows them
    assert in_order[4:] == [f"B1.{k + 1} bolt" for k in range(12)]
    bolts = set(in_order[4:])
    parts = {"PL-1.1 outer splice plate", "PL-1.2 inner splice plate", "FB-1.1 filler block", "FB-1.2 filler block"}
    assert set(in_order[:4]) == parts
    at = {n: m[:3, 3] / inch for n, (_, _, m) in found.items()}
    assert at["PL-1.1 outer splice plate"] == pytest.approx([0, 0, 4.25])
    assert at["PL-1.2 inner splice plate"] == pytest.approx([0, 0, 1.5])
    assert at["FB-1.2 filler block"] == pytest.approx([-7.5, 0, -1.75])
    assert found["FB-1.2 filler block"][2][:3, :3] == pytest.approx(np.diag([-1.0, -1.0, 1.0]), abs=0)  # a half turn, exact
    stand = sorted((round(x, 6), round(y, 6)) for x, y, _ in (at[b] for b in bolts))
    assert stand == sorted((b.x, b.y) for b in detail.bolts)
    assert all(at[b][2] == pytest.approx(4.5) for b in bolts)  # the near face of the outer plate


def test_cylinders_of_each_product_are_its_holes(step, units):
    inch, hole = (1.0, 0.8125) if units == "US" else (25.4, 21 / 25.4)
    for product, count in {"PL-1": 12, "FB-1": 6, "far ply (E)": 12, "near ply (E)": 6}.items():
        body = step.reach(step.shape_of(product))
        radii = [step.get(Ref(k))[2] for k in body if step.entities[k][0].kind == "CYLINDRICAL_SURFACE"]
        assert radii == pytest.approx([hole / 2 * inch] * count, rel=1e-9)


def test_colours_tell_materials_apart(step):
    """Steel, new wood, existing wood, bolts: four colours, one on each of the seven solids."""
    of: dict[int, tuple[float, ...]] = {}
    for styles in step.all("STYLED_ITEM").values():
        colour = next(k for s in styles[1] for k in step.reach(s.id) if step.entities[k][0].kind == "COLOUR_RGB")
        of[styles[2].id] = tuple(round(v, 4) for v in step.get(Ref(colour))[1:])
    solid = {name: of[self_] for name in ("PL-1", "FB-1", "near ply (E)", "far ply (E)") for self_ in of if self_ in step.reach(step.shape_of(name))}
    assert solid["near ply (E)"] == solid["far ply (E)"]
    assert len({solid["PL-1"], solid["FB-1"], solid["near ply (E)"]}) == 3
    assert len(of) == 7
    assert len(set(of.values())) == 4


def test_every_reference_points_to_an_entity_written_before(step):
    for k in step.entities:
        assert all(r <= k for r in step.reach(k))


def test_reader_refuses_a_broken_file(tmp_path):
    detail = splice_detail()
    write_step(detail, package_of(detail, "US", SPLICE_MARKS), tmp_path / "a.step")
    text = (tmp_path / "a.step").read_text()
    for broken in (text.replace("=PRODUCT(", "=PRODUCT", 1), text.replace("#7=", "#8=", 1), text[:-30], text.replace("DIRECTION", "direct@ion", 1)):
        with pytest.raises((AssertionError, ValueError, IndexError)):
            Step(broken)


def test_names_with_quotes_and_other_letters_survive(tmp_path):
    name = 'plate of Harrow\'s "press" hall ½ \\ Träger; (long) #12=' + "x" * 90
    detail = splice_detail()
    detail = replace(detail, title=name, parts=tuple(replace(p, name=name) if p.key == "plate-near" else p for p in detail.parts))
    write_step(detail, package_of(detail, "US", SPLICE_MARKS), tmp_path / "a.step")
    step = Step((tmp_path / "a.step").read_text(encoding="ascii"))
    assert f"PL-1.1 {name}" in step.instances()
    assert step.header["FILE_DESCRIPTION"][0][0].startswith(name)


HOSTILE = (
    "x');\nENDSEC;\nEND-ISO-10303-21;\n",
    "#1=PRODUCT('y','y','',(#2));",
    "\\X2\\0041\\X0\\",
    "\\S\\a \\PA\\ \\\\",
    "a\tb\r\x00\x7f\x1f",
    "'",
    "''",
    "é漢😀",
    "</script>",
    "%%c {\\fArial;} $x$",
    "*/ /* comment",
)


@pytest.mark.parametrize("words", HOSTILE)
def test_words_that_look_like_the_file_are_words(words: str, tmp_path):
    """In a part's name, in the joint's title, in the project: read back as they are, and nothing else in the file changes."""
    detail = splice_detail()
    named = replace(detail, title=words, parts=tuple(replace(p, name=words) if p.key == "plate-near" else p for p in detail.parts))
    plain = package_of(detail, "US", SPLICE_MARKS)
    package = replace(plain, project=replace(plain.project, name=words))
    write_step(named, replace(package, trusses=package_of(named, "US", SPLICE_MARKS).trusses), tmp_path / "b.step")
    write_step(detail, plain, tmp_path / "plain.step")
    step, usual = (Step((tmp_path / f"{n}.step").read_text(encoding="ascii")) for n in ("b", "plain"))
    assert f"PL-1.1 {words}" in step.instances()
    assert step.header["FILE_DESCRIPTION"][0][0].startswith(f"{words}; {words}, ")
    assert [[t.kind for t in e] for e in step.entities.values()] == [[t.kind for t in e] for e in usual.entities.values()]


def test_string_literals():
    # ISO 10303-21:2002, 6.4.3 (from memory): apostrophe and backslash doubled, other characters as \X2\ with four hexadecimal digits each.
    assert encoded("a'b") == "'a''b'"
    assert encoded("a\\b") == "'a\\\\b'"
    assert encoded("a𝄞b") == "'a\\X4\\0001D11E\\X0\\b'"  # above the basic plane: eight digits
    assert encoded("1½") == "'1\\X2\\00BD\\X0\\'"


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0."), (-0.0, "0."), (-1e-17, "0."), (1.0, "1."), (-2.5, "-2.5"), (1e-9, "1.E-09"), (1.5e20, "1.5E+20"), (1 / 3, "0.333333333333")],
)
def test_numbers(value: float, text: str):
    # ISO 10303-21:2002, 6.4.2 (from memory): a decimal point always, an exponent after E; twelve figures are ours.
    assert real(value) == text


def test_what_says_the_same_is_written_once_in_a_product():
    file = Exchange()
    first = file.point(1, 2, 3)
    assert file.point(1.0, 2.0, 3.0) == first
    assert file.point(1, 2, 3.5) != first
    file.forget()
    assert file.point(1, 2, 3) != first
    text = file.text(Header("d", "n", "t", "s", "S"))
    assert text.count("CARTESIAN_POINT('',(1.,2.,3.))") == 2
    assert Step(text).all("CARTESIAN_POINT").keys() == {1, 2, 3}


@pytest.mark.parametrize("units", ["US", "SI"])
def test_each_product_carries_its_volume_area_and_centroid(tmp_path, units: str):
    """Geometric validation properties: what a receiver should find, on the shape of the product and in the length unit of its own context.

    Expected values are worked out from the record: area times thickness; both faces and all sides, walls of holes among them.
    """
    detail = DETAILS[units]()
    package = package_of(detail, units, SPLICE_MARKS)
    write_step(detail, package, tmp_path / "a.step")
    step = Step((tmp_path / "a.step").read_text(encoding="ascii"))
    found: dict[tuple[str, str], list] = {}
    for definition, representation in step.all("PROPERTY_DEFINITION_REPRESENTATION").values():
        name, what, shape = step.get(definition)
        assert name == "geometric validation property"
        assert step.entities[shape.id][0].kind == "PRODUCT_DEFINITION_SHAPE"
        title, items, context = step.get(representation)
        assert title == what
        item = step.entities[items[0].id][0]
        if what == "centroid":
            assert (item.kind, item.values[0]) == ("CARTESIAN_POINT", "centre point")
            value = item.values[1]
        else:
            label, measure, unit = item.values
            assert label == f"{what} measure"
            assert measure.kind == {"volume": "VOLUME_MEASURE", "surface area": "AREA_MEASURE"}[what]
            (element,) = step.get(unit)[0]
            length, power = step.get(element)
            assert power == {"volume": 3.0, "surface area": 2.0}[what]
            assert length.id in {r.id for t in step.entities[context.id] if t.kind == "GLOBAL_UNIT_ASSIGNED_CONTEXT" for r in t.values[0]}
            (value,) = measure.values
        found[step.product_of(step.get(shape)[2]), what] = value
    scale = 1.0 if units == "US" else 25.4
    plate = detail.part("plate-near")
    xs, ys = [v.x for v in plate.outline], [v.y for v in plate.outline]
    sides = 2 * (max(xs) - min(xs) + max(ys) - min(ys)) + sum(np.pi * h.diameter for h in plate.holes)
    assert found["PL-1", "volume"] == pytest.approx(plate.area * plate.thickness * scale**3, rel=1e-9)
    assert found["PL-1", "surface area"] == pytest.approx((2 * plate.area + sides * plate.thickness) * scale**2, rel=1e-9)
    assert found["PL-1", "centroid"] == pytest.approx([0, 0, plate.thickness / 2 * scale], abs=1e-6)
    products = {v[0] for v in step.all("PRODUCT").values()}
    assert {name for name, what in found if what == "volume"} == {p for p in products if step.shape_of(p) in solids_in(step)}


def solids_in(step: Step) -> set[int]:
    """Representations that hold a solid."""
    return set(step.all("ADVANCED_BREP_SHAPE_REPRESENTATION"))
