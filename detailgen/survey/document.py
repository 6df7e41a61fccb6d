"""The project file as nodes that know their line: every scalar stays text, so that nothing turns into a number, a date or a truth value unasked."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from detailgen.core.errors import InputError, InputProblem

MOST_BYTES = 2_000_000
MOST_ENTRIES = 20_000
MOST_DEPTH = 20


@dataclass(frozen=True)
class Node:
    """A place in the file: dotted path and 1-based line."""

    path: str
    line: int


@dataclass(frozen=True)
class Text(Node):
    """A scalar. ``quoted`` tells an empty text from nothing at all."""

    value: str
    quoted: bool = False

    @property
    def empty(self) -> bool:
        return not self.value and not self.quoted


@dataclass(frozen=True)
class Broken(Node):
    """Something that was reported already; whoever needs it keeps silent."""


@dataclass(frozen=True)
class Items(Node):
    items: tuple[Node, ...] = ()


@dataclass(frozen=True)
class Table(Node):
    entries: Mapping[str, Node] = field(default_factory=dict)

    def child(self, name: str) -> Node:
        """The entry, or where it would stand."""
        return self.entries.get(name, Node(joined(self.path, name), self.line))


def joined(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name


def cut(text: str, most: int = 60) -> str:
    """A found text, short enough for a message."""
    shown = " ".join(text.split())
    return shown if len(shown) <= most else shown[: most - 3] + "..."


@dataclass
class Report:
    """Collects the problems of one file."""

    file: str
    problems: list[InputProblem] = field(default_factory=list)

    def add(self, node: Node, found: str, allowed: str, to_do: str = "") -> None:
        self.problems.append(InputProblem(self.file, node.line, node.path, found, allowed, to_do))

    def stop_if_any(self) -> None:
        if self.problems:
            raise InputError(self.problems)


def read_text(path: Path, what: str) -> str:
    """The text of an input file. Raises InputError where it is missing, too large or not UTF-8."""
    name = str(path)
    try:
        if not path.is_file():
            raise InputError([InputProblem(name, 0, "", "no such file", what, "Give the path of the file.")])
        if path.stat().st_size > MOST_BYTES:
            size = f"{path.stat().st_size:,} bytes"
            raise InputError([InputProblem(name, 0, "", size, f"at most {MOST_BYTES:,} bytes", f"{path.name} does not look like {what}.")])
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = f"a byte at position {error.start} that is not UTF-8"
        raise InputError([InputProblem(name, 0, "", found, "text in UTF-8", "Save the file with the encoding UTF-8.")]) from None
    except (OSError, ValueError) as error:
        raise InputError([InputProblem(name, 0, "", f"a file that cannot be read ({error})", what)]) from None


class _TooMuch(Exception):  # noqa: N818 - read as words
    """The file is no survey any more; reading stops."""


class _Composer:
    """Events of the YAML parser -> nodes. The parser delivers them one by one, so limits act before anything grows."""

    def __init__(self, text: str, report: Report) -> None:
        self.events: Iterator[Any] = iter(yaml.parse(text, Loader=yaml.SafeLoader))
        self.report = report
        self.count = 0

    def document(self) -> Node | None:
        root: Node | None = None
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    line = event.start_mark.line + 1 if event.start_mark is not None else 0
                    self.report.add(Node("", line), "a second document after '---'", "one document", "Delete it.")
                    return root
                root = self.node(next(self.events), "", 0, 0)
        return root

    def node(self, event: Any, path: str, depth: int, line: int) -> Node:  # noqa: ANN401 - the parser's events are untyped
        """``line`` is the key's line for a table or list under a key; 0 takes the value's own."""
        own = event.start_mark.line + 1
        here = Node(path, line or own)
        self.count += 1
        if depth > MOST_DEPTH:
            self.report.add(Node(path, own), f"more than {MOST_DEPTH} levels of nesting", f"at most {MOST_DEPTH}")
            raise _TooMuch
        if self.count > MOST_ENTRIES:
            self.report.add(Node("", own), f"more than {MOST_ENTRIES:,} entries", f"at most {MOST_ENTRIES:,} in one project file")
            raise _TooMuch
        if isinstance(event, yaml.AliasEvent):
            self.report.add(Node(path, own), f"'*{cut(str(event.anchor))}', a reference to another place", "plain values", "Write the value out.")
            return Broken(path, own)
        if event.anchor:
            self.report.add(Node(path, own), f"the anchor '&{cut(event.anchor)}'", "plain values", "Delete the anchor.")
        if event.tag:
            self.report.add(Node(path, own), f"the tag '{cut(event.tag)}'", "plain values, lists and tables", "Delete the tag.")
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, Node(path, own))
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Node] = []
            while not isinstance(inner := next(self.events), yaml.SequenceEndEvent):
                items.append(self.node(inner, f"{path}[{len(items)}]", depth + 1, 0))
            return Items(path, here.line, tuple(items))
        return self.table(path, here.line, depth)

    def scalar(self, event: Any, here: Node) -> Node:  # noqa: ANN401
        strange = next((c for c in event.value if unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t"), "")
        if strange:
            self.report.add(here, f"the character U+{ord(strange):04X}, which cannot be printed", "text that can be printed", "Delete it.")
            return Broken(here.path, here.line)
        return Text(here.path, here.line, event.value.strip(), event.style is not None)

    def table(self, path: str, line: int, depth: int) -> Node:
        entries: dict[str, Node] = {}
        lines: dict[str, int] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            own = event.start_mark.line + 1
            key = self.node(event, path, depth + 1, 0)
            name = cut(key.value, 80) if isinstance(key, Text) else ""
            value = self.node(next(self.events), joined(path, name or "?"), depth + 1, own)
            if isinstance(key, Broken):
                continue
            if not name:
                self.report.add(Node(path, own), "a key that is no text", "a word before the colon", "Write 'name: value'.")
            elif name in entries:
                where = f"it stands in line {lines[name]} already"
                self.report.add(Node(joined(path, name), own), f"'{name}' a second time", f"each key once; {where}", "Delete one of the two.")
            else:
                entries[name], lines[name] = value, own
        return Table(path, line, entries)


def _advice(text: str, line: int) -> str:
    rows = text.splitlines()
    near = rows[line - 1] if 0 < line <= len(rows) else ""
    if "\t" in near[: len(near) - len(near.lstrip())]:
        return "Indent with spaces, not with tabs."
    return "Look at this line and the one before it: indent, colon and space, quotes, brackets."


def read_document(path: Path, text: str, report: Report) -> Table | None:
    """The file's table, or None where it has none; every problem goes to ``report``."""
    composer = _Composer(text, report)
    try:
        root = composer.document()
    except _TooMuch:
        return None
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        found = f"the character U+{int(error.character):04X}, which cannot stand in the file"
        report.add(Node("", line), found, "text that can be printed", "Delete it.")
        return None
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 0
        found = f"text that cannot be read ({cut(' '.join(p for p in (error.context, error.problem) if p), 120)})"
        report.add(Node("", line), found, "YAML: keys, colons, lists", _advice(text, line))
        return None
    except (ValueError, OverflowError, RecursionError) as error:
        found = f"an escape or number that YAML cannot hold ({cut(str(error))})"
        report.add(Node("", 0), found, "plain text", "Look for a backslash in double quotes.")
        return None
    if isinstance(root, Table) and root.entries:
        return root
    if not report.problems:
        found = "nothing" if root is None or (isinstance(root, Text) and root.empty) or isinstance(root, Table) else "no table"
        report.add(
            Node("", 0),
            found,
            "a project file with the sections project, standards, loads, types, trusses",
            f"Start from 'detailgen new {path.parent}'.",
        )
    return None


def overlay(base: Node, change: Node, replaced: frozenset[str], choices: tuple[frozenset[str], ...], key: str = "") -> Node:
    """``change`` laid over ``base``: tables are merged entry by entry, everything else is replaced.

    replaced: keys whose table is replaced as a whole
    choices: sets of keys of which only one may stand; a change to one drops the others
    """
    if key in replaced or not (isinstance(base, Table) and isinstance(change, Table)):
        return change
    dropped = {k for choice in choices if choice & change.entries.keys() for k in choice}
    entries = {k: v for k, v in base.entries.items() if k not in dropped}
    for name, value in change.entries.items():
        entries[name] = overlay(entries[name], value, replaced, choices, name) if name in entries else value
    return Table(base.path, base.line, entries)
