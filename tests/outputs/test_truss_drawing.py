"""What the drawing of a truss says, and in which colour."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hand_made import OVER, make_assessment, make_project, make_truss, ratio_of
from sheet_reader import read_svg

from detailgen.core.units import MM
from detailgen.model.member import Damage
from detailgen.outputs.drawings import draw_truss, write_svg
from detailgen.outputs.drawings.layers import LAYERS
from detailgen.outputs.drawings.ratings import Rating
from detailgen.outputs.drawings.shapes import Arc, Line

BLACK, GREY, ACCENT = LAYERS["notes"].colour, LAYERS["existing"].colour, LAYERS["over"].colour


@pytest.fixture
def page(assessment, project, tmp_path):
    write_svg(draw_truss(assessment, project), tmp_path / "a.svg")
    return read_svg(tmp_path / "a.svg"), (tmp_path / "a.svg").read_text(encoding="utf-8")


def _ratios(texts, layer):
    return sorted(words for where, words, _ in texts if where == layer and re.fullmatch(r"\d\.\d\d\*?", words))


def test_every_member_is_lettered_once(page, truss):
    (_, texts, _), _ = page
    panels = [f"{a}-{b}" for m in truss.members for a, b in zip(m.joints[:-1], m.joints[1:], strict=True)]
    expected = [f"{ratio_of(k):.2f}" for k, name in enumerate(panels, 1) if name not in OVER and name != "L7-U7"]
    assert _ratios(texts, "ratios") == sorted(expected)
    assert " ".join(w for where, w, _ in texts if where == "ratios" and not w[0].isdigit()) == "not checked"


def test_the_accent_is_for_what_is_over_one_and_nothing_else(page):
    (_, texts, strokes), _ = page
    over = [words for where, words, _ in texts if where == "over-text"]
    assert {"1.18", "1.21", "1.64", "bolts 1.32"} <= set(over)
    assert not [w for w in over if re.fullmatch(r"0\.\d\d.*", w)]
    # Three failing members: two webs and one chord panel, two edges each, every edge broken once by the lettering at most.
    heavy = [segment for layer, segment in strokes if layer == "over"]
    xs = [x for segment in heavy for x, _ in segment]
    assert len(heavy) >= 6
    assert max(xs) < 431.8 * 0.63
    assert any(layer == "over-bolts" for layer, _ in strokes)


def test_a_sound_truss_has_no_accent(tmp_path):
    sound = make_truss(damage=False)
    write_svg(draw_truss(make_assessment(sound, {}), make_project(sound)), tmp_path / "a.svg")
    text = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert ACCENT not in text
    assert set(re.findall(r"#[0-9a-f]{6}", text)) == {BLACK, GREY, "#ffffff"}


def test_no_other_colours(page):
    _, text = page
    assert set(re.findall(r"#[0-9a-fA-F]{3,6}", text)) == {BLACK, GREY, ACCENT, "#ffffff"}


def test_lettering_reads_from_below_or_from_the_right(page):
    (_, texts, _), _ = page
    for _, words, box in texts:
        angle = math.degrees(math.atan2(box[1][1] - box[0][1], box[1][0] - box[0][0]))
        assert -89 < angle < 90.01, words


def test_no_safe_load_path_is_said_large_and_gives_no_ratio_as_found(no_path, project, tmp_path):
    write_svg(draw_truss(no_path, project), tmp_path / "a.svg")
    _, texts, _ = read_svg(tmp_path / "a.svg")
    heights = {words: math.dist(box[1], box[2]) for _, words, box in texts}
    title = max(heights[w] for w in heights if w.startswith("Truss T3 as found"))
    assert heights["NO SAFE LOAD PATH AS FOUND"] == pytest.approx(title, rel=0.3)  # one has letters that reach below the line
    words = [w for layer, w, _ in texts if layer in ("ratios", "over-text")]
    assert sum("(intact)" in w for w in words) >= 29
    plain = [w for layer, w, _ in texts if layer == "ratios" and re.fullmatch(r"\d\.\d\d\*?", w)]
    assert len(plain) == sum(w == "(intact)" for layer, w, _ in texts if layer == "ratios")  # the two rows of a short member


def test_the_sheet_says_what_it_is(page):
    (_, texts, _), _ = page
    words = " ".join(w for _, w, _ in texts)
    for said in (
        "PRELIMINARY - assessment only",
        "Truss T3 as found",
        "type A, bay 3, grid line 3",
        "Revision A",
        "2024-03-05",
        "Mill Street warehouse",
        "looking north",
        '1/4" = 1\'-0"',
        "break, photo 12",
        "carries nothing",
        "splice S1 0.93",
        "Not for construction",
        "Local code governs",
        "12.4 psf on a flat roof, 62 % of today's 20.0 psf",
        "pin",
        "roller",
        "What fails and why",
        "ratio as found over 1.0",
    ):
        assert said in words
    names = {w for _, w, _ in texts}
    assert {f"L{k}" for k in range(9)} | {f"U{k}" for k in range(1, 8)} <= names


def test_members_have_their_measured_depth(truss, project):
    """Grey outlines at real size: two arcs 9.5 in. apart, web edges 5.5 in. apart, the bottom chord at 4.75 in. above and below."""
    drawing = draw_truss(make_assessment(make_truss(damage=False), {}), project)
    member = [s for s in drawing.model if s.layer == "existing"]
    assert {round(s.radius, 6) for s in member if isinstance(s, Arc)} == {720 - 4.75, 720 + 4.75}
    level = {round(s.start[1], 6) for s in member if isinstance(s, Line) and s.start[1] == s.end[1]}
    assert {-4.75, 4.75} == level
    upright = {round(s.start[0], 6) for s in member if isinstance(s, Line) and abs(s.start[0] - s.end[0]) < 1e-6 and 80 < s.start[0] < 100}
    assert upright == {90 - 2.75, 90 + 2.75}


def test_webs_stop_at_the_faces_of_the_chords(project):
    drawing = draw_truss(make_assessment(make_truss(damage=False), {}), project)
    drop = math.sqrt(720**2 - 360**2)
    for s in drawing.model:
        if (
            isinstance(s, Line)
            and s.layer == "existing"
            and s.start[1] != s.end[1]
            and min(s.start[0], s.end[0]) > 0
            and max(s.start[0], s.end[0]) < 720
        ):
            for x, y in (s.start, s.end):
                assert y >= 4.75 - 1e-6
                assert math.hypot(x - 360, y + drop) <= 720 - 4.75 + 1e-6


def test_view_is_at_scale(page, truss):
    (_, _, strokes), _ = page
    span = max(abs(a[0] - b[0]) for layer, (a, b) in strokes if layer == "dimensions")
    assert span == pytest.approx(720 / 48 / MM, abs=2e-3)


def test_a_ratio_a_hair_over_one_is_not_over():
    assert not Rating(1.0 + 1e-9, False).over
    assert Rating(1.001, False).over
    assert not Rating(math.nan, True).over


def test_a_check_of_an_unknown_member_is_an_error(truss, project):
    other = make_truss(panels=10)
    with pytest.raises(ValueError, match="no member between two joints"):
        draw_truss(replace(make_assessment(other, {}), truss=truss), project)


def test_a_sag_is_named_with_its_amount_and_no_factor(tmp_path):
    sagging = replace(make_truss(), damage=(Damage("sag", "bottom chord", "", 360.0, 720.0, "B3", 1.0, "", 1.25),))
    write_svg(draw_truss(make_assessment(sagging, {}), make_project(sagging)), tmp_path / "a.svg")
    _, texts, strokes = read_svg(tmp_path / "a.svg")
    words = {w for _, w, _ in texts}
    assert "sag, photo B3" in words
    assert '1 1/4"' in words
    assert not [w for w in words if "factor" in w]
    assert max(math.dist(a, b) for layer, (a, b) in strokes if layer == "damage") < 10  # a cross, not a line over the span


def test_a_straight_leader_is_preferred_to_one_through_the_truss(tmp_path):
    """A break beside a splice: one of the two notes goes further down, none goes up through the webs."""
    whole = replace(make_truss(), damage=(Damage("break", "bottom chord", "near", 273.0, 4.0, "P33", 0.0, ""),))
    splices = tuple(replace(whole.splices[0], name=f"S{k}", x=x) for k, x in ((1, 305.0), (2, 405.0)))
    beside = replace(whole, splices=splices)
    write_svg(draw_truss(make_assessment(beside, {}), make_project(beside)), tmp_path / "a.svg")
    _, texts, _ = read_svg(tmp_path / "a.svg")
    foot = min(box[0][1] for layer, w, box in texts if layer == "ratios")
    assert all(box[0][1] < foot for _, w, box in texts if w in ("break, photo P33", "splice S1 0.93", "splice S2 0.93"))
    assert {"break, photo P33", "splice S1 0.93", "splice S2 0.93"} <= {w for _, w, _ in texts}
