"""The starter and the JSON Schema say the same as the reader."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from surveys import LOADS, SHORT, STANDARDS, STARTER, swapped

import detailgen
from detailgen.core.errors import InputError
from detailgen.core.templates import template_path
from detailgen.survey import read, schema, write_starter

SAMPLES = sorted((Path(detailgen.__file__).parent / "samples").rglob("*.yaml"))


class EditorLoader(yaml.SafeLoader):
    """Types a text as an editor does (YAML 1.2): numbers, true and false; no dates, no yes and no."""


EditorLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in pairs if tag in ("tag:yaml.org,2002:int", "tag:yaml.org,2002:float", "tag:yaml.org,2002:null")]
    for first, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def faults(text: str) -> list[str]:
    data: Any = yaml.load(text, Loader=EditorLoader)
    return [f"{'.'.join(map(str, e.absolute_path))}: {e.message}" for e in Draft202012Validator(schema()).iter_errors(data)]


def test_the_schema_is_a_schema_and_describes_every_entry() -> None:
    made = schema()
    Draft202012Validator.check_schema(made)
    assert made["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    for name, part in {"": made, **made["$defs"]}.items():
        assert part["additionalProperties"] is False, name
        for key, entry in part["properties"].items():
            assert entry.get("description"), f"{name}.{key}"


@pytest.mark.parametrize("text", [STARTER, SHORT], ids=["starter", "short"])
def test_surveys_fit_the_schema(text: str) -> None:
    assert faults(text) == []


def test_samples_fit_the_schema() -> None:
    for sample in SAMPLES:
        assert faults(sample.read_text(encoding="utf-8")) == [], sample.name


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("span: 48'-0\"", "span: 576"),
        ("depth: 5-1/2 in", "depth: -5-1/2 in"),
        ("roof dead: 15 psf", "roof dead: 15 psi"),
        ("roof live", "roof life"),
        ("units: US", "units: feet"),
        ("thermal: 1.1", "thermal: 9"),
        ("  snow: {ground: 30 psf, thermal: 1.1}\n", ""),
        ("braces: every 24 in", "braces: every 24"),
        ("at: [[3 in, 0 in]]", "at: [[3 in]]"),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    assert faults(swapped(old, new))


def test_changes_need_nothing_of_a_type() -> None:
    assert faults(swapped("    damage:", "    changes: {top chord: {bow: 1 in}}\n    damage:")) == []
    assert faults(swapped("    damage:", "    changes: {top chord: {bend: 1 in}}\n    damage:"))


def test_write_starter(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "roof"
    project, editor = write_starter(folder)
    assert project.read_text(encoding="utf-8").splitlines()[0] == "# yaml-language-server: $schema=project.schema.json"
    assert json.loads(editor.read_text(encoding="utf-8")) == schema()
    assert len(read(folder, STANDARDS, LOADS).trusses) == 2
    project.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="exists already"):
        write_starter(folder)
    assert project.read_text(encoding="utf-8") == "mine"
    with pytest.raises(InputError, match="a file where the folder should be"):
        write_starter(project)


def test_every_entry_of_the_format_stands_in_the_starter_or_the_schema_explains_it() -> None:
    """Sections and entries of a type that an engineer meets first are all shown."""
    made = schema()
    for part in ("TrussType", "LoadsForm", "ProjectInfo", "Snow", "TrussForm"):
        for key in made["$defs"][part]["properties"]:
            assert f"{key}:" in STARTER or f"{key}:" in STARTER.replace("# ", ""), f"{part}.{key}"


def test_a_template_that_is_missing_says_so() -> None:
    with pytest.raises(FileNotFoundError, match="no/such"):
        template_path("no/such")
