"""A truss with heels that do not bear from its survey to the package, as a user makes it: files, numbers that agree between them, cut files."""

from __future__ import annotations

import json
import math

import ezdxf
import pytest
from package_runs import Made, sample_package, words_of


@pytest.fixture(scope="module")
def made() -> Made:
    return sample_package("tannery")


def test_it_is_made_and_passes(made: Made) -> None:
    assert made.answer.code == 0, made.answer.out + made.answer.err
    assert "all drawings pass the checker" in words_of(made.answer)
    checks = json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8"))
    assert checks["passes"]
    assert all(one["passes"] for one in checks["fit"])


def test_the_free_bodies_close(made: Made) -> None:
    """Moments about the work point, and forces: the top chord's thrust by its slope, the bottom chord, the reaction (statics)."""
    rows = made.rows("analysis/heels.csv")
    assert {r["structure"] for r in rows} == {"intact", "as found", "as repaired"}
    assert {r["heel"] for r in rows} == {"L0", "L6"}
    for r in rows:
        assert float(r["rest_of_moments_in_lb"]) == 0.0
        up = float(r["top_chord_thrust_lb"]) * math.sin(math.radians(float(r["top_chord_slope_deg"])))
        assert up - float(r["bottom_chord_across_lb"]) + float(r["loaded_on_heel_lb"]) == pytest.approx(float(r["reaction_upward_lb"]), rel=0.05)


def test_plates_that_stand_are_cut_flat(made: Made) -> None:
    """The sole and the plate of the shoe: as long and wide as their list says, their thickness in the name."""
    plates = {r["mark"]: r for r in made.rows("schedules/parts.csv") if r["file"]}
    files = {f.name.partition("_")[0]: f for f in (made.folder / "cut").glob("*.dxf")}
    assert files.keys() == plates.keys()
    for mark, row in plates.items():
        lines = ezdxf.readfile(files[mark]).modelspace().query('LWPOLYLINE[layer=="CUT_OUTER"]')
        points = [p[:2] for p in lines[0].get_points()]
        box = [max(p[k] for p in points) - min(p[k] for p in points) for k in (0, 1)]
        assert sorted(box) == pytest.approx(sorted((float(row["length_in"]), float(row["width_in"]))), abs=1e-3)


def test_the_heel_is_freed_before_it_is_taken_apart(made: Made) -> None:
    titles = [r["title"] for r in made.rows("field/stages.csv")]
    for joint in ("L0", "L6"):
        assert titles.index(f"heel {joint} free") < titles.index(f"heel {joint} made anew and let down")
    assert all(float(r["jack_lb"]) > 0 for r in made.rows("field/shoring.csv"))
