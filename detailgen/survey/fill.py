"""Nodes -> forms: every entry is validated by itself, so that one fault hides no other."""

from __future__ import annotations

import types
from collections.abc import Callable
from difflib import get_close_matches
from functools import cache
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError

from detailgen.survey.document import Broken, Items, Node, Report, Table, Text, cut
from detailgen.survey.form import Form, Unusable
from detailgen.survey.forms import Changes

F = TypeVar("F", bound=Form)
A = TypeVar("A")
B = TypeVar("B")


def choice(words: list[str] | tuple[str, ...]) -> str:
    """Words for 'allowed', not endless."""
    shown = [w if len(w) < 60 else cut(w) for w in words[:30]]
    more = f" and {len(words) - 30} more" if len(words) > 30 else ""
    return f"{', '.join(shown[:-1])} or {shown[-1]}{more}" if len(shown) > 1 and not more else ", ".join(shown) + more


def closest(found: str, words: list[str] | tuple[str, ...]) -> str:
    """The known word that is closest, or nothing."""
    lower = {w.lower(): w for w in words}
    near = get_close_matches(found.lower(), list(lower), 1, 0.6)
    return lower[near[0]] if near else ""


def suggest(found: str, words: list[str] | tuple[str, ...]) -> str:
    """'Did you mean ...?' where a known word is close."""
    near = closest(found, words)
    return f"Did you mean '{near}'?" if near else ""


def together(first: Callable[[], A], second: Callable[[], B]) -> tuple[A, B]:
    """Both results; the second is tried even where the first is unusable, so that both report their faults."""
    try:
        one = first()
    except Unusable:
        second()
        raise
    return one, second()


@cache
def _hints(form: type[Form]) -> dict[str, Any]:
    return get_type_hints(form, include_extras=True)


@cache
def _adapter(annotation: Any) -> TypeAdapter[Any]:  # noqa: ANN401
    return TypeAdapter(annotation)


def _branches(annotation: Any) -> list[Any]:  # noqa: ANN401
    if get_origin(annotation) in (Union, types.UnionType):
        return [a for a in get_args(annotation) if a is not type(None)]
    return [annotation]


def _shape(annotation: Any) -> type[Node]:  # noqa: ANN401
    if isinstance(annotation, type) and issubclass(annotation, Form):
        return Table
    return {dict: Table, list: Items, tuple: Items}.get(get_origin(annotation), Text)


def _keys(form: type[Form]) -> dict[str, str]:
    """Key in the file -> name of the field."""
    return {str(info.alias or name): name for name, info in form.model_fields.items()}


def _wanted(branches: list[Any]) -> str:
    words = []
    for branch in branches:
        if _shape(branch) is Table:
            words.append(f"a table with {choice(tuple(_keys(branch)))}" if isinstance(branch, type) else "a table with names of your own")
        elif get_origin(branch) is tuple:
            words.append("a pair in brackets, such as [3 in, 0 in]")
        elif _shape(branch) is Items:
            words.append("a list")
        elif get_origin(branch) is Literal:
            words.append(choice(get_args(branch)))
        else:
            try:
                _adapter(branch).validate_python("?" * 50)
                words.append("a text")
            except ValidationError as error:
                words.append(str(error.errors()[0].get("ctx", {}).get("allowed", "a value")))
    return ", or ".join(words)


def _scalar(annotation: Any, node: Text, report: Report, branches: list[Any]) -> Any:  # noqa: ANN401
    try:
        return _adapter(annotation).validate_python(node.value)
    except ValidationError as error:
        first = error.errors()[0]
        context = first.get("ctx", {})
        if "allowed" in context:
            report.add(node, context["found"], context["allowed"], context["to_do"])
        else:
            allowed = get_args(annotation)
            report.add(node, f"'{cut(node.value)}'", _wanted(branches), suggest(node.value, allowed))
        raise Unusable(node.path) from None


def _value(annotation: Any, node: Node, report: Report) -> Any:  # noqa: ANN401
    """Read one node. Raises Unusable (with the problem reported) where it, or something that cannot be told apart from it, is faulty."""
    if isinstance(node, Broken):
        raise Unusable(node.path)
    branches = _branches(annotation)
    if isinstance(node, Text) and node.empty:
        report.add(node, "nothing after the colon", _wanted(branches), "Write a value or delete the line.")
        raise Unusable(node.path)
    fitting = [b for b in branches if isinstance(node, _shape(b))]
    if not fitting:
        found = f"'{cut(node.value)}'" if isinstance(node, Text) else "a list" if isinstance(node, Items) else "a table"
        report.add(node, found, _wanted(branches))
        raise Unusable(node.path)
    wanted = fitting[0]
    if isinstance(node, Text):
        return _scalar(wanted, node, report, branches)
    if isinstance(node, Table):
        if get_origin(wanted) is dict:
            return _entries(get_args(wanted)[1], node, report)
        return fill(wanted, node, report)
    assert isinstance(node, Items)
    return _items(wanted, node, report)


def _entries(wanted: Any, node: Table, report: Report) -> dict[str, Any]:  # noqa: ANN401
    out: dict[str, Any] = {}
    sound = True
    for key, child in node.entries.items():
        try:
            out[key] = _value(wanted, child, report)
        except Unusable:
            sound = _shape(wanted) is Table
    if not sound:
        raise Unusable(node.path)
    return out


def _items(wanted: Any, node: Items, report: Report) -> Any:  # noqa: ANN401
    arguments = get_args(wanted)
    if get_origin(wanted) is tuple:
        if len(node.items) != len(arguments):
            report.add(node, f"{len(node.items)} values", _wanted([wanted]))
            raise Unusable(node.path)
        kinds = list(arguments)
    else:
        kinds = [arguments[0]] * len(node.items)
    out, sound = [], True
    for kind, child in zip(kinds, node.items, strict=True):
        try:
            out.append(_value(kind, child, report))
        except Unusable:
            # A form that is no table at all can be left out; a station cannot.
            sound = sound and _shape(kind) is Table
    if not sound:
        raise Unusable(node.path)
    return tuple(out) if get_origin(wanted) is tuple else out


def fill(form: type[F], table: Table, report: Report) -> F:
    """A form from a table. Faulty entries are reported and left out; reading them later raises Unusable."""
    keys = _keys(form)
    meant: set[str] = set()
    for key, child in table.entries.items():
        if key not in keys and not isinstance(child, Broken):
            found = f"the unknown entry '{key}'"
            near = closest(key, tuple(k for k in keys if k not in table.entries))
            meant.add(near)
            report.add(child, found, choice(tuple(keys)), f"Did you mean '{near}'?" if near else "Delete it.")
    values: dict[str, Any] = {}
    failed: set[str] = set()
    for key, name in keys.items():
        info = form.model_fields[name]
        if key not in table.entries:
            if info.is_required():
                failed.add(name)
            if info.is_required() and key not in meant:
                wanted = _wanted(_branches(_hints(form)[name]))
                report.add(table.child(key), "nothing", wanted, f"Add '{key}:'. {info.description or ''}".strip())
            continue
        annotation = _hints(form)[name]
        if Changes in _branches(annotation):
            continue  # laid over the type first, read then
        try:
            values[name] = _value(annotation, table.entries[key], report)
        except Unusable:
            failed.add(name)
    made = cast(F, form.model_construct(None, **{form.model_fields[n].alias or n: v for n, v in values.items()}))
    made._table = table
    made._failed = frozenset(failed)
    for name in failed:
        made.__dict__.pop(name, None)
    return made
