"""JSON Schema of the project file, for editors that complete and check while one types."""

from __future__ import annotations

import copy
from typing import Any

from detailgen.survey.forms import ProjectFile

_PARTIAL = ("TopChord", "Chord")
"""Tables that a truss may change entry by entry: there nothing is required."""


def _redirected(value: Any, partial: dict[str, str]) -> Any:  # noqa: ANN401
    if isinstance(value, dict):
        return {k: partial.get(v, v) if k == "$ref" else _redirected(v, partial) for k, v in value.items()}
    return [_redirected(v, partial) for v in value] if isinstance(value, list) else value


def _defaults_out(value: Any) -> Any:  # noqa: ANN401
    """Defaults are inside units (psi, in): no text for an editor to insert. The descriptions say them in words."""
    if isinstance(value, dict):
        table = {k: _defaults_out(v) for k, v in value.items() if k not in ("default", "title") or not isinstance(v, str | int | float | list | None)}
        branches = [b for b in table.get("anyOf", []) if b != {"type": "null"}]
        if "anyOf" in table and len(branches) == 1:
            table.pop("anyOf")
            return {**branches[0], **table}
        return {**table, "anyOf": branches} if "anyOf" in table else table
    return [_defaults_out(v) for v in value] if isinstance(value, list) else value


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12), made from the forms that the reader fills."""
    made: dict[str, Any] = _defaults_out(ProjectFile.model_json_schema(by_alias=True))
    parts = made["$defs"]
    partial = {f"#/$defs/{name}": f"#/$defs/{name}Changes" for name in _PARTIAL}
    for name in _PARTIAL:
        parts[f"{name}Changes"] = {k: v for k, v in copy.deepcopy(parts[name]).items() if k != "required"}
    parts["Changes"] = _redirected({k: v for k, v in parts["Changes"].items() if k != "required"}, partial)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Survey of timber roof trusses", **made}
