"""The hand check on paper: two pages, the same bytes each time, none where no frame was solved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from sample_trusses import SI_SAMPLE, US_SAMPLE, assessed, project

from detailgen.assessment.hand_check import hand_check
from detailgen.model.package import Package, Repaired
from detailgen.outputs.report import write_hand_check


def package(name: str) -> Package:
    before = assessed(name, "T2")
    one = Repaired(before, before.as_found, (), (), (), {}, hand_check=hand_check(before, project(name)))
    return Package(project(name), (one,), (), "PROPOSED", ("NDS 2018",), ())


@pytest.mark.parametrize(("name", "words"), [(US_SAMPLE, ("12,243 lb", "7'-6\"")), (SI_SAMPLE, ("kN", "mm"))])
def test_two_pages_with_the_numbers(name: str, words: tuple[str, ...], tmp_path: Path) -> None:
    made = package(name)
    assert write_hand_check(made, tmp_path / "a.pdf")
    assert write_hand_check(made, tmp_path / "b.pdf")
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    pages = [p.extract_text() for p in pypdf.PdfReader(tmp_path / "a.pdf").pages]
    assert 1 <= len(pages) <= 2
    text = "\n".join(pages)
    assert "Hand check of truss T2, as found" in text
    assert "Not for construction" in pages[0]
    assert all(w in text for w in words)


def test_no_frame_no_file(tmp_path: Path) -> None:
    made = package(US_SAMPLE)
    bare = replace(made, trusses=(replace(made.trusses[0], hand_check=None),))
    assert not write_hand_check(bare, tmp_path / "a.pdf")
    assert not (tmp_path / "a.pdf").exists()
