"""Heels and guides in the model of the whole truss, read back by the kernel: they stand where the chord ends, turned to look along it."""

from __future__ import annotations

from pathlib import Path

import pytest
from sample_trusses import STRUNG, project
from solids_by_kernel import is_valid
from test_solids_detail import box_mm, read_back

from detailgen import pipeline
from detailgen.model.package import Package
from detailgen.outputs.solids import write_models
from detailgen.outputs.solids.shapes import volume_of
from detailgen.packing import slug

IN = 25.4


@pytest.fixture(scope="module")
def package() -> Package:
    return pipeline.decide(project(STRUNG), [], {}, jobs=1, progress=lambda _: None)[0]


@pytest.fixture(scope="module")
def solids(package: Package, tmp_path_factory) -> dict[tuple[str, ...], object]:
    folder: Path = tmp_path_factory.mktemp("strands")
    write_models(package, folder, slug)
    return read_back(folder / "G3.step")


def named(solids, *words: str) -> list:
    return [shape for way, shape in solids.items() if all(any(w in step for step in way) for w in words)]


def test_end_plates_stand_upright_across_the_chords_ends(solids) -> None:
    """Chord from -6 in. to 48 ft 6 in.; pad 3/8 in., plate 1-1/2 in.; 11-1/4 in. high and 17-1/2 in. across, about the chord's axis."""
    plates = sorted(box_mm(s) for s in named(solids, "end plate"))
    assert len(plates) == 2
    left, right = plates
    assert left == pytest.approx([v * IN for v in (-7.875, -5.625, -8.75, -6.375, 5.625, 8.75)], abs=1e-3)
    assert right == pytest.approx([v * IN for v in (582.375, -5.625, -8.75, 583.875, 5.625, 8.75)], abs=1e-3)


def test_plates_have_their_true_holes(solids) -> None:
    net = 1.5 * (17.5 * 11.25 - 2 * 3.14159265 * 0.6875**2 / 4)
    for plate in named(solids, "end plate"):
        assert is_valid(plate)
        assert volume_of(plate) / IN**3 == pytest.approx(net, rel=1e-6)


def test_strands_and_barrels_stand_on_both_faces(solids) -> None:
    for x in (-1.0, 1.0):
        barrels = [b for b in (box_mm(s) for s in named(solids, "barrel")) if (b[2] + b[5]) / 2 * x > 0]
        assert len(barrels) == 2  # one at each heel
        assert {round(abs(b[2] + b[5]) / 2 / IN, 3) for b in barrels} == {7.375}


def test_a_guide_stands_at_each_of_its_places(package: Package, solids) -> None:
    plan = package.trusses[0].stressing
    assert plan is not None
    bars = [box_mm(s) for s in named(solids, "near guide bar")]
    assert sorted(round((b[0] + b[3]) / 2 / IN, 3) for b in bars) == [round(x, 3) for x in plan.guides]


def test_chord_plies_are_drilled_for_every_guide(solids) -> None:
    """A ply with its holes is lighter than one without: two holes of 9/16 in. for each of twelve guides, besides those of old bolts."""
    plies = named(solids, "bottom chord/near")
    assert len(plies) == 1
    gross = 588 * 11.5 * 3.0
    guides = 12 * 2 * 3.14159265 * 0.5625**2 / 4 * 3.0
    assert volume_of(plies[0]) / IN**3 < gross - guides + 1e-6
