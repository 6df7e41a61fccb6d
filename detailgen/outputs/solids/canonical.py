"""The text of a STEP file (ISO 10303-21) so that the same model gives the same bytes.

The kernel numbers occurrences with a counter of the process, orders colours by address in memory, writes the clock and its own name into the header
and noise into zeros. Here products and instances keep their order, which is that of the assembly; what hangs on them follows by what it says and
refers to; and everything is numbered afresh.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass

STRING = r"'(?:[^']|'')*'"
_ENTITY = re.compile(rf"#(\d+)\s*=\s*((?:{STRING}|[^';])*);")
_TOKEN = re.compile(rf"({STRING})|#(\d+)|\s+")
_REAL = re.compile(rf"{STRING}|(?<![\w.#])-?\d+\.\d*(?:E[+-]?\d+)?")
_OCCURRENCE = re.compile(rf"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\()({STRING})")
_MEASURE = re.compile(r"^(LENGTH_MEASURE_WITH_UNIT\()(-?\d[\d.E+-]*)(,)")
_UNORDERED = re.compile(r"^(MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION\('[^']*',\()([#\d,]+)(\).*)$")
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


def encoded(text: str) -> str:
    """A string literal of ISO 10303-21: quotes and backslashes doubled, other characters as \\X2\\ or \\X4\\ and their hexadecimal code."""
    return "'" + _ascii(text.replace("\\", "\\\\").replace("'", "''")) + "'"


def _ascii(text: str) -> str:
    text = re.sub("[\U00010000-\U0010ffff]+", lambda m: "\\X4\\" + m[0].encode("utf-32-be").hex().upper() + "\\X0\\", text)
    return re.sub(r"[^ -~]+", lambda m: "\\X2\\" + m[0].encode("utf-16-be").hex().upper() + "\\X0\\", text)


def canonical(text: str, header: Header) -> str:
    """The same model with header, numbers and order that depend on nothing but the model."""
    before, _, data = text.partition("DATA;")
    schema = re.search(r"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", before)
    if schema is None:
        raise ValueError("the kernel's STEP header names no schema")
    entities = {int(m[1]): _clean(m[2]) for m in _ENTITY.finditer(data)}
    order = _order(entities)
    number = {old: k + 1 for k, old in enumerate(order)}
    lines = []
    occurrences = 0
    for old in order:
        line = _replaced(entities[old], lambda ref: f"#{number[ref]}")
        if _OCCURRENCE.match(line):
            occurrences += 1
            line = _OCCURRENCE.sub(lambda m: f"{m[1]}'{occurrences}'", line)  # noqa: B023 - used at once
        lines.append(f"#{number[old]}={line};")
    return "\n".join((*_head(header, schema[1]), "DATA;", *lines, "ENDSEC;", "END-ISO-10303-21;", ""))


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
    line = _TOKEN.sub(lambda m: _ascii(m[1].replace("\n", "")) if m[1] else m[0] if m[2] else "", text)
    line = _REAL.sub(lambda m: "0." if m[0][0] != "'" and abs(float(m[0])) < NOISE else m[0], line)
    line = _MEASURE.sub(r"\1LENGTH_MEASURE(\2)\3", line)
    return _OCCURRENCE.sub(r"\1''", line)


def _replaced(line: str, name: Callable[[int], str]) -> str:
    return _TOKEN.sub(lambda m: name(int(m[2])) if m[2] else m[0], line)


def _references(line: str) -> list[int]:
    return [int(m[2]) for m in _TOKEN.finditer(line) if m[2]]


def _order(entities: dict[int, str]) -> list[int]:
    """Entities in the order in which they are written, each after all that it refers to."""
    refers = {k: _references(line) for k, line in entities.items()}
    digest: dict[int, str] = {}
    for k in _after(refers, list(refers)):
        if m := _UNORDERED.match(entities[k]):
            items = sorted((int(i[1:]) for i in m[2].split(",")), key=lambda i: digest[i])
            entities[k] = m[1] + ",".join(f"#{i}" for i in items) + m[3]
            refers[k] = _references(entities[k])
        digest[k] = hashlib.sha256(_replaced(entities[k], digest.__getitem__).encode()).hexdigest()
    used = {r for refs in refers.values() for r in refs}

    def rank(k: int) -> tuple[int, int, str, str]:
        kind = entities[k].partition("(")[0]
        return (FIRST.index(kind), k, "", "") if kind in FIRST else (len(FIRST), 0, kind, digest[k])

    return _after(refers, sorted((k for k in entities if k not in used), key=rank))


def _after(refers: dict[int, list[int]], roots: list[int]) -> list[int]:
    """Depth first, each entity after what it refers to."""
    out: list[int] = []
    seen: set[int] = set()
    for root in roots:
        stack = [(root, False)]
        while stack:
            k, done = stack.pop()
            if done:
                out.append(k)
            elif k not in seen:
                seen.add(k)
                stack.append((k, True))
                stack.extend((r, False) for r in reversed(refers[k]) if r not in seen)
    return out
