"""The text of a STEP file (ISO 10303-21) so that the same model gives the same bytes.

The kernel numbers occurrences with a counter of the process, orders colours by address in memory, writes the clock and its own name into the header
and noise into zeros. Here products and instances keep their order, which is that of the assembly; what hangs on them follows by what it says and
refers to; and everything is numbered afresh.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass

STRING = r"'(?:[^']|'')*'"
_ENTITY = re.compile(rf"#(\d+)\s*=\s*((?:{STRING}|[^';]+)*);")
_TOKEN = re.compile(rf"({STRING})|#(\d+)|\s+")
_REAL = re.compile(rf"{STRING}|(?<![\w.#])-?\d+\.\d*(?:E[+-]?\d+)?")
_OCCURRENCE = re.compile(rf"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\()({STRING})")
_MEASURE = re.compile(r"^(LENGTH_MEASURE_WITH_UNIT\()(-?\d[\d.E+-]*)(,)")
_PRODUCT = re.compile(rf"PRODUCT\(({STRING})")
_REFERENCE = re.compile(r"#\d+")
_NUMBER = re.compile(r"#(\d+)")
FIRST = ("APPLICATION_PROTOCOL_DEFINITION", "SHAPE_DEFINITION_REPRESENTATION", "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION")
"""What is written first, and in the kernel's order, of the entities that nothing refers to; the rest follows by kind and content."""
NOISE = 1e-12
"""A coordinate or direction cosine below it is zero."""


@dataclass(frozen=True)
class Header:
    description: str
    name: str
    time: str
    author: str
    organization: str
    system: str


@dataclass(frozen=True)
class Measured:
    """What a receiver of a product should find: volume, surface area, centroid, in the file's unit."""

    volume: float
    area: float
    centroid: tuple[float, float, float]

    def scaled(self, length: float) -> Measured:
        """The same in another unit of length."""
        x, y, z = self.centroid
        return Measured(self.volume * length**3, self.area * length**2, (x * length, y * length, z * length))


def encoded(text: str) -> str:
    """A string literal of ISO 10303-21: quotes and backslashes doubled, other characters as \\X2\\ or \\X4\\ and their hexadecimal code."""
    return "'" + _ascii(text.replace("\\", "\\\\").replace("'", "''")) + "'"


def _ascii(text: str) -> str:
    text = re.sub("[\U00010000-\U0010ffff]+", lambda m: "\\X4\\" + m[0].encode("utf-32-be").hex().upper() + "\\X0\\", text)
    return re.sub(r"[^ -~]+", lambda m: "\\X2\\" + m[0].encode("utf-16-be").hex().upper() + "\\X0\\", text)


def canonical(text: str, header: Header, measured: Mapping[str, Measured] | None = None) -> str:
    """The same model with header, numbers and order that depend on nothing but the model.

    measured: by product name, written as geometric validation properties
    """
    before, _, data = text.partition("DATA;")
    schema = re.search(r"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", before)
    if schema is None:
        raise ValueError("the kernel's STEP header names no schema")
    entities = {int(m[1]): _Entity.of(_clean(m[2])) for m in _ENTITY.finditer(data)}
    _add_properties(entities, measured or {})
    order = _order(entities)
    number = {old: f"#{k}" for k, old in enumerate(order, start=1)}
    lines = []
    occurrences = 0
    for old in order:
        line = entities[old].text(number)
        if line.startswith("NEXT_ASSEMBLY_USAGE_OCCURRENCE"):
            occurrences += 1
            line = _OCCURRENCE.sub(lambda m: f"{m[1]}'{occurrences}'", line)  # noqa: B023 - used at once
        lines.append(f"{number[old]}={line};")
    return "\n".join((*_head(header, schema[1]), "DATA;", *lines, "ENDSEC;", "END-ISO-10303-21;", ""))


@dataclass(frozen=True)
class _Entity:
    """One entity taken apart: its text between references, and what it refers to."""

    pieces: tuple[str, ...]
    refs: tuple[int, ...]

    @classmethod
    def of(cls, line: str) -> _Entity:
        if "'" not in line.replace("''", ""):  # no text in it that could hold a number sign
            return cls(tuple(_REFERENCE.split(line)), tuple(map(int, _NUMBER.findall(line))))
        pieces, refs, at = [], [], 0
        for m in _TOKEN.finditer(line):
            if m[2]:
                pieces.append(line[at : m.start()])
                refs.append(int(m[2]))
                at = m.end()
        return cls((*pieces, line[at:]), tuple(refs))

    def text(self, name: Mapping[int, str]) -> str:
        return self.pieces[0] + "".join(name[r] + p for r, p in zip(self.refs, self.pieces[1:], strict=True))


def _add_properties(entities: dict[int, _Entity], measured: Mapping[str, Measured]) -> None:
    """Volume, area and centroid of each product as properties of its shape, by the recommended practice of the CAx Interoperability Forum for
    geometric validation properties (its words from memory), in the length unit of the shape's own context."""
    by_kind: dict[str, dict[int, int]] = {}  # kind: what an entity first refers to -> its number
    products: dict[str, int] = {}
    for k, e in entities.items():
        kind = _kind(e)
        if kind == "PRODUCT" and (m := _PRODUCT.match(e.pieces[0])):
            products[m[1]] = k
        elif kind.startswith(("PRODUCT_DEFINITION", "SHAPE_DEFINITION_REPRESENTATION")) and e.refs:
            by_kind.setdefault(kind, {})[e.refs[0]] = k
    after = max(entities, default=0)

    def add(line: str) -> int:
        nonlocal after
        after += 1
        entities[after] = _Entity.of(line)
        return after

    units: dict[int, tuple[int, int]] = {}
    for name, one in measured.items():
        shape = by_kind["PRODUCT_DEFINITION_SHAPE"][by_kind["PRODUCT_DEFINITION"][by_kind["PRODUCT_DEFINITION_FORMATION"][products[encoded(name)]]]]
        context = entities[entities[by_kind["SHAPE_DEFINITION_REPRESENTATION"][shape]].refs[1]].refs[-1]
        unit = next(r for r in entities[context].refs if "LENGTH_UNIT" in "".join(entities[r].pieces))
        if unit not in units:
            areas, volumes = (add(f"DERIVED_UNIT((#{add(f'DERIVED_UNIT_ELEMENT(#{unit},{power}.)')}))") for power in (2, 3))
            units[unit] = areas, volumes
        areas, volumes = units[unit]
        x, y, z = (_real(v) for v in one.centroid)
        for what, item in (
            ("volume", f"MEASURE_REPRESENTATION_ITEM('volume measure',VOLUME_MEASURE({_real(one.volume)}),#{volumes})"),
            ("surface area", f"MEASURE_REPRESENTATION_ITEM('surface area measure',AREA_MEASURE({_real(one.area)}),#{areas})"),
            ("centroid", f"CARTESIAN_POINT('centre point',({x},{y},{z}))"),
        ):
            representation = add(f"REPRESENTATION('{what}',(#{add(item)}),#{context})")
            of = add(f"PROPERTY_DEFINITION('geometric validation property','{what}',#{shape})")
            add(f"PROPERTY_DEFINITION_REPRESENTATION(#{of},#{representation})")


def _real(value: float) -> str:
    """A number as ISO 10303-21 has it, to twelve figures."""
    text = f"{value:.12G}" if abs(value) > 1e-9 else "0"
    mantissa, power, exponent = text.partition("E")
    return (mantissa if "." in mantissa else f"{mantissa}.") + power + exponent


def _head(header: Header, schema: str) -> tuple[str, ...]:
    h = {k: encoded(v) for k, v in vars(header).items()}
    return (
        "ISO-10303-21;",
        "HEADER;",
        f"FILE_DESCRIPTION(({h['description']}),'2;1');",
        f"FILE_NAME({h['name']},{h['time']},({h['author']}),({h['organization']}),{h['system']},{h['system']},'');",
        f"FILE_SCHEMA(({encoded(schema)}));",
        "ENDSEC;",
    )


def _clean(text: str) -> str:
    """One entity on one line, zeros without sign and noise, the occurrence counter blank, the inch as a typed measure as ISO 10303-41 has it."""
    if "'" in text.replace("''", ""):
        line = _TOKEN.sub(lambda m: _ascii(m[1].replace("\n", "")) if m[1] else m[0] if m[2] else "", text)
    else:
        line = "".join(text.split())
    if "E-" in line or "-0." in line:
        line = _REAL.sub(lambda m: "0." if m[0][0] != "'" and abs(float(m[0])) < NOISE else m[0], line)
    if line.startswith("LENGTH_MEASURE_WITH_UNIT"):
        line = _MEASURE.sub(r"\1LENGTH_MEASURE(\2)\3", line)
    return _OCCURRENCE.sub(r"\1''", line) if line.startswith("NEXT_ASSEMBLY_USAGE_OCCURRENCE") else line


def _order(entities: dict[int, _Entity]) -> list[int]:
    """Entities in the order in which they are written, each after all that it refers to.

    What hangs on the products' shapes (colours, properties) follows by kind and content; in it, what is written already counts by its place, so
    that the colours of two equal solids are told apart.
    """
    used = {r for e in entities.values() for r in e.refs}
    roots = [k for k in entities if k not in used]
    first = _after(entities, sorted((k for k in roots if _kind(entities[k]) in FIRST), key=lambda k: (FIRST.index(_kind(entities[k])), k)), ())
    digest = {k: f"@{n}" for n, k in enumerate(first)}
    rest = [k for k in roots if k not in digest]
    for k in _after(entities, rest, first):
        if entities[k].pieces[0].startswith("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION") and len(entities[k].refs) > 1:
            *items, context = entities[k].refs  # the styled items stand in no order, their context is last
            entities[k] = _Entity(entities[k].pieces, (*sorted(items, key=lambda i: digest[i]), context))
        digest[k] = hashlib.sha256(entities[k].text(digest).encode()).hexdigest()
    return first + _after(entities, sorted(rest, key=lambda k: (_kind(entities[k]), digest[k])), first)


def _kind(entity: _Entity) -> str:
    return entity.pieces[0].partition("(")[0]


def _after(entities: dict[int, _Entity], roots: list[int], written: Collection[int]) -> list[int]:
    """Depth first, each entity after what it refers to; what is written already is left out."""
    out: list[int] = []
    seen = set(written)
    for root in roots:
        stack = [(root, False)]
        while stack:
            k, done = stack.pop()
            if done:
                out.append(k)
            elif k not in seen:
                seen.add(k)
                stack.append((k, True))
                stack.extend((r, False) for r in reversed(entities[k].refs) if r not in seen)
    return out
