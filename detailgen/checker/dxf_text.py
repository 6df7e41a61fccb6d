"""The text of a DXF file -> its entities, blocks and header, and nothing more.

Lean, because a check mostly reads; bounded in memory and time, because files are strange.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from detailgen.core.errors import InputError, InputProblem

ALLOWED = "a whole DXF file (R12 to R2018), text or binary"
LARGEST = 100_000_000
"""Bytes of a file that is read; a sheet has a quarter of a million, 100,000 holes have 40 million."""
LINES = 8_000_000
"""Lines of a file that is read; 100,000 holes have 3 million."""
MOST = 500_000
"""Entities, those of opened blocks counted as often as they are shown."""
LONGEST = 2000
"""Letters of a text that are read."""
GREATEST = 1e9
"""Coordinates beyond this (drawing units) are no building."""
_BINARY = b"\r\n\x1a\x00"
_KNOWN = ((b"PK", "a ZIP archive"), (b"%PDF", "a PDF"), (b"\x1f\x8b", "a gzip archive"), (b"AC10", "a drawing in the binary form of its program"))
_CODED = re.compile(r"\\U\+([0-9A-Fa-f]{4})")


def refused(path: Path, line: int, found: str, allowed: str = ALLOWED) -> InputError:
    return InputError([InputProblem(str(path), line, "", found, allowed)])


def too_many(path: Path, found: str) -> InputError:
    return refused(path, 0, found, f"up to {MOST:,} entities, those in blocks counted as often as they are shown")


class Entity:
    """One entity: the group codes from its type to the next one's. Numbers are refused where they are none or beyond any building."""

    __slots__ = ("_extended", "_first", "_text", "children", "kind", "start", "stop")

    def __init__(self, text: DxfText, kind: str, start: int, stop: int) -> None:
        self._text, self.kind, self.start, self.stop = text, kind, start, stop
        self._first: dict[str, str] | None = None
        self._extended: tuple[list[str], list[str]] = ([], [])
        self.children: list[Entity] = []

    def pairs(self) -> Iterator[tuple[str, str]]:
        """Codes with values, without embedded objects and extended data."""
        for code, value in zip(self._text.codes[self.start + 1 : self.stop], self._text.values[self.start + 1 : self.stop], strict=True):
            if code in ("101", "1001"):
                return
            yield code, value

    def _read(self) -> dict[str, str]:
        """First value of each code, and the texts of extended data, found once."""
        codes, values = self._text.codes[self.start + 1 : self.stop], self._text.values[self.start + 1 : self.stop]
        end = codes.index("1001") if "1001" in codes else len(codes)
        self._extended = codes[end:], values[end:]
        if "101" in codes:
            end = min(end, codes.index("101"))
        self._first = first = dict(zip(codes[:end][::-1], values[:end][::-1], strict=True))
        return first

    def word(self, code: str, default: str = "") -> str:
        return (self._first or self._read()).get(code, default).strip()

    def number(self, code: str, default: float = 0.0) -> float:
        word = self.word(code)
        return self.real(word) if word else default

    def real(self, word: str) -> float:
        try:
            value = float(word)
        except ValueError:
            raise refused(self._text.path, self.line, f"'{word.strip()[:40]}' in a {self.kind}, which is no number") from None
        if not abs(value) < GREATEST:
            raise refused(self._text.path, self.line, f"{word.strip()[:40]} in a {self.kind}", f"coordinates up to {GREATEST:g} drawing units")
        return value

    def whole(self, code: str, default: int = 0) -> int:
        return int(self.number(code, default))

    def point(self, first: str = "10") -> tuple[float, float]:
        return self.number(first), self.number(f"2{first[1:]}")

    @property
    def line(self) -> int:
        return 2 * self.start + 1

    @property
    def layer(self) -> str:
        return self.word("8", "0")

    @property
    def tilt(self) -> float:
        """1: drawn in the plane; -1: seen from behind; 0: out of the plane."""
        if "230" not in (self._first or self._read()):
            return 1.0
        x, y, z = self.number("210"), self.number("220"), self.number("230", 1.0)
        return 0.0 if abs(x) > 1e-9 or abs(y) > 1e-9 else 1.0 if z > 0 else -1.0

    def said(self, application: str) -> tuple[str, ...] | None:
        """Texts of the extended data of one application; None where it says nothing."""
        if not self._first:
            self._read()
        codes, values = self._extended
        if not codes:
            return None
        if len(codes) == codes.count("1000") + 1:  # one application, and texts alone
            return tuple(v.strip() for v in values[1:]) if values[0].strip() == application else None
        whose, texts, found = "", [], False
        for code, value in zip(codes, values, strict=True):
            if code == "1001":
                whose = value.strip()
                found |= whose == application
            elif code == "1000" and whose == application:
                texts.append(value.strip())
        return tuple(texts) if found else None

    def override(self, style_code: int) -> float | None:
        """A real number by which a dimension overrides its style."""
        codes, values = self._text.codes[self.start : self.stop], self._text.values[self.start : self.stop]
        for k in range(len(codes) - 1):
            if codes[k] == "1070" and values[k].strip() == str(style_code) and codes[k + 1] == "1040":
                return self.real(values[k + 1])
        return None


@dataclass
class Block:
    name: str
    base: tuple[float, float]
    entities: list[Entity] = field(default_factory=list)


class DxfText:
    """The parts of a file that are read."""

    def __init__(self, path: Path, codes: list[str], values: list[str]) -> None:
        self.path, self.codes, self.values = path, codes, values
        self.header: dict[str, str] = {}
        self.blocks: dict[str, Block] = {}
        self.entities: list[Entity] = []
        self.dimension_factors: dict[str, float] = {}
        self._divide()

    def _divide(self) -> None:
        starts = [k for k, c in enumerate(self.codes) if c == "0"]
        if len(starts) > 2 * MOST:
            raise too_many(self.path, f"{len(starts):,} entities")
        section, block, parent = "", None, None
        ends = [*starts[1:], len(self.codes)]
        for start, stop in zip(starts, ends, strict=True):
            kind = self.values[start].strip()
            if kind == "SECTION":
                section = self.values[start + 1].strip() if start + 1 < stop and self.codes[start + 1] == "2" else ""
                if section == "HEADER":
                    self._read_header(start, stop)
            elif kind == "ENDSEC":
                section = ""
            elif section in ("ENTITIES", "BLOCKS"):
                entity = Entity(self, kind, start, stop)
                if kind == "BLOCK":
                    block = Block(entity.word("2"), entity.point())
                    self.blocks[block.name.upper()] = block
                elif kind == "ENDBLK":
                    block = None
                elif kind in ("VERTEX", "ATTRIB") and parent is not None:
                    parent.children.append(entity)
                elif kind == "SEQEND":
                    parent = None
                else:
                    parent = entity if kind in ("POLYLINE", "INSERT") else None
                    (self.entities if block is None else block.entities).append(entity)
            elif kind == "DIMSTYLE" and section == "TABLES":
                style = Entity(self, kind, start, stop)
                self.dimension_factors[style.word("2").upper()] = style.number("144", 1.0)

    def _read_header(self, start: int, stop: int) -> None:
        for k in range(start, stop - 1):
            if self.codes[k] == "9":
                self.header[self.values[k].strip()] = self.values[k + 1].strip()

    def layouts(self) -> list[list[Entity]]:
        """Model space first, then every paper space."""
        spaces: list[list[Entity]] = [[], []]
        for e in self.entities:
            spaces[e.word("67") == "1"].append(e)
        for name, block in sorted(self.blocks.items()):
            if name.startswith("*MODEL_SPACE"):
                spaces[0] += block.entities
            elif name.startswith("*PAPER_SPACE"):
                spaces.append(block.entities)
        return spaces


def decoded(text: str) -> str:
    """A text with its coded letters put in; of one that is longer than any on a drawing the beginning."""
    text = text[:LONGEST]
    return _CODED.sub(lambda m: chr(int(m[1], 16)), text) if "\\U+" in text else text


def _text_of(path: Path, data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        page = re.search(rb"\$DWGCODEPAGE\s+3\s+ANSI_(\d+)", data[:20000], re.IGNORECASE)
        try:
            return data.decode(f"cp{page[1].decode()}" if page else "cp1252", errors="replace")
        except LookupError:
            return data.decode("cp1252", errors="replace")


def read_text(path: Path) -> DxfText:
    """Read a file. Raises InputError, with one sentence, for whatever is no whole DXF."""
    try:
        size = path.stat().st_size
        if size > LARGEST:
            raise refused(path, 0, f"{size / 1e6:,.0f} MB", f"files up to {LARGEST / 1e6:.0f} MB")
        data = path.read_bytes()
    except OSError as fault:
        raise refused(path, 0, fault.strerror or "a file that cannot be read") from fault
    if not data.strip():
        raise refused(path, 0, "an empty file")
    if _BINARY in data[:24]:
        return _parsed(path, _from_binary(path))
    for start, name in _KNOWN:
        if data.startswith(start):
            raise refused(path, 0, name)
    if b"\0" in data:
        raise refused(path, 0, "binary content")
    return _parsed(path, _text_of(path, data))


def _from_binary(path: Path) -> str:
    from ezdxf.filemanagement import readfile

    try:
        text = io.StringIO()
        readfile(path).write(text)
    except Exception as fault:  # whatever a broken file sets off, a person wants one line
        raise refused(path, 0, f"a binary DXF that cannot be read ({str(fault).splitlines()[0] if str(fault) else type(fault).__name__})") from fault
    return text.getvalue()


def _parsed(path: Path, text: str) -> DxfText:
    count = text.count("\n") or text.count("\r")
    if count > LINES:
        raise too_many(path, f"{count:,} lines")
    lines = text.rstrip().replace("\r\n", "\n").replace("\r", "\n").split("\n")
    lines[0] = lines[0].lstrip("\ufeff")
    codes = [c.strip() for c in lines[0::2]]
    for code in set(codes):
        if not code.removeprefix("-").isdecimal():
            line = 2 * codes.index(code) + 1
            raise refused(path, line, f"'{code[:40]}' where a group code is due")
    values = lines[1::2]
    if len(values) < len(codes) or codes[-1] != "0" or values[-1].strip() != "EOF":
        raise refused(path, len(lines), "the end of the file before its drawing ends")
    drawing = DxfText(path, codes, values)
    if not any(c == "2" and v.strip() in ("ENTITIES", "BLOCKS") for c, v in zip(codes, values, strict=True)):
        raise refused(path, 0, "no section of entities")
    return drawing
