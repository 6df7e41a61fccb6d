"""What a project in SI units is told: no inches, pounds or psi in any refusal, reason or message."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from sample_trusses import SHORT_END, SI_SAMPLE, SLENDER, STRUNG, project, too_short, truss

import detailgen
from detailgen import pipeline
from detailgen.core.units import SI, US
from detailgen.model.package import Repaired
from detailgen.model.project import Override, Project, Truss

IMPERIAL = re.compile(r"\d\"|\d ?in\.|\d in\b(?! \d)|\b(psi|ksi|lb|psf|kips?)\b")
NO_WORDS = {"unit", "bolt", "calculation", "cite", "truss", "project"}
"""Fields that hold names of units, keys of groups of holes, the steps of a calculation, and what the survey itself says."""


def words(thing: object, path: str = "") -> Iterator[tuple[str, str]]:
    """Every text in a record, with where it stands."""
    if isinstance(thing, str):
        yield path, thing
    elif isinstance(thing, Mapping):
        for value in thing.values():
            yield from words(value, path)
    elif isinstance(thing, list | tuple | set | frozenset):
        for value in thing:
            yield from words(value, path)
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        for field in dataclasses.fields(thing):
            if field.name not in NO_WORDS:
                yield from words(getattr(thing, field.name), f"{path}.{field.name}")


def imperial(one: Repaired) -> list[tuple[str, str]]:
    return sorted({(where, text) for where, text in words(one) if IMPERIAL.search(text)})


def in_si(owner: Project, found: Truss, **overrides: str) -> Repaired:
    items = tuple(Override(item.replace("_", " "), value, "a test") for item, value in overrides.items())
    return pipeline.repaired_in_full(replace(owner, units=SI), replace(found, overrides=(*found.overrides, *items)))


def narrow() -> Truss:
    """The malthouse with a web's bolt half an inch from the web's end: a distance for which the wood standard gives no value."""
    found = truss(SHORT_END, "G3")
    ends = (replace(c, end=0.5, bolts=replace(c.bolts, positions=((0.0, 0.0),))) if c.name == "U1-L1 at L1" else c for c in found.connections)
    return replace(found, connections=tuple(ends))


@pytest.mark.parametrize("mark", ["T2", "T6"])
def test_the_sample_in_si_speaks_of_no_inches(mark: str) -> None:
    assert imperial(in_si(project(SI_SAMPLE), truss(SI_SAMPLE, mark))) == []


def test_refusals_by_the_standard_s_distances_are_in_millimetres() -> None:
    one = in_si(project(SHORT_END), narrow(), forbid_repair="web_end")
    missing = {r.missing for p in one.before.intact.places for r in p.results if "the least is" in r.missing}
    # NDS 2018 table 12.5.1A (from memory): at least 3.5 D in tension, 3.5 x 3/4 in. x 25.4 mm = 66.67 mm; 0.5 in. = 12.7 mm.
    assert any("is 12.7 mm, the least is 66.67 mm" in text for text in missing), missing
    assert imperial(one) == []


@pytest.mark.parametrize("way", ["blocks", "gussets", "extended end", "bolts"])
def test_refusals_of_ways_at_a_web_s_end_are_in_millimetres(way: str) -> None:
    one = in_si(project(SHORT_END), too_short(), web_end_way={"blocks": "bearing blocks"}.get(way, way))
    assert imperial(one) == []


def test_refusals_of_strands_are_in_kilonewtons() -> None:
    owner = project(STRUNG)
    jacked = replace(owner, stressing=replace(owner.stressing, force=60000.0))
    one = in_si(jacked, truss(STRUNG, "G3"), forbid_repair="side_member")
    # 60,000 lb x 4.4482 N = 266.9 kN
    assert any("266.9 kN at the jack are wanted" in r.reason for r in one.refusals), one.refusals
    assert imperial(one) == []


def test_a_slender_web_in_si() -> None:
    assert imperial(in_si(project(SLENDER), truss(SLENDER, "C"))) == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("an open gap of 0.5 in. lies between", "an open gap of 12.7 mm lies between"),
        ("2.5 in. by 4 in. has no flat way", "63.5 mm by 101.6 mm has no flat way"),
        ("a strand 1/2 in. breaks; of at least 1-1/2 in.", "a strand 12.7 mm breaks; of at least 38.1 mm"),
        ("1,000 lb at the jack", "4.4 kN at the jack"),
        ("at 180 psi", "at 1.24 MPa"),
        ("1 in 12 and 300 in-lb and 3 lb/in, 2 in all", "1 in 12 and 300 in-lb and 3 lb/in, 2 in all"),
    ],
)  # fmt: skip
def test_sentences_of_a_standard_in_a_project_s_units(text: str, told: str) -> None:
    # 1 in. = 25.4 mm and 1 lb = 4.4482 N exactly by definition; 1 psi = 6.8948 kPa
    assert SI.told(text) == told
    assert US.told(text) == text


def test_every_number_of_a_standard_s_message_has_its_own_unit() -> None:
    """'0.5 to 1 in.' would be told in two units at once."""
    number = r"\{[^{}]*:[.\d]*[gf]\}"
    halves = re.compile(rf"{number}( to | by | x | and ){number} in\.|in\., (at least|at most|here) {number}(?! in\.)")
    files = (Path(detailgen.__file__).parent / "standards").rglob("*.py")
    found = [(f.name, line.strip()) for f in files for line in f.read_text(encoding="utf-8").splitlines() if halves.search(line)]
    assert found == []
