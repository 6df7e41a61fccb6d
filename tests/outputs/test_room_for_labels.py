"""A label finds its room: farther off where something stands in its way; what is cut out is said beside the joint's name."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from sample_trusses import SHORT_END, project
from sheet_reader import read_svg
from test_sheets import _collisions

from detailgen import pipeline
from detailgen.core.units import US
from detailgen.outputs.drawings import write_svg
from detailgen.outputs.drawings.detail_canvas import OFF, Callout, Canvas, NoRoomError
from detailgen.outputs.drawings.plane import overlap
from detailgen.outputs.drawings.shapes import Line, Text
from detailgen.outputs.drawings.sheet_set import draw_set
from detailgen.outputs.drawings.sheets import DETAIL_SCALES, US_LETTERS

SCALE = DETAIL_SCALES["US"][0]


def canvas_with(*words: Text) -> Canvas:
    canvas = Canvas("a view", SCALE, US_LETTERS, US)
    canvas.draw(*words)
    return canvas


def notes_of(canvas: Canvas, words: str) -> list[Text]:
    return [s for s in canvas.shapes if isinstance(s, Text) and s.text == words]


@pytest.mark.parametrize("up", [True, False])
def test_a_row_of_callouts_moves_off_what_is_in_its_way(up: bool) -> None:
    u, way = SCALE.factor, 1 if up else -1
    free, taken = canvas_with(), canvas_with(Text("notes", "WP", (0.0, way * 1.02 * u), US_LETTERS.note, 0.0, "middle"))
    items = [Callout("the first of two notes", ((-0.3 * u, 0.0),)), Callout("the second of them", ((0.3 * u, 0.0),))]
    for canvas in (free, taken):
        canvas.callouts_in_row(items, way * u, up=up)
    for words in ("the first of two notes", "the second of them"):
        (before,), (after,) = notes_of(free, words), notes_of(taken, words)
        assert after.at[0] == before.at[0]
        assert way * (after.at[1] - before.at[1]) / u in [pytest.approx(off) for off in OFF[1:3]]
        assert not overlap(after.corners(u, 0.0), taken.shapes[0].corners(u, 0.0))
    assert len([s for s in taken.shapes if isinstance(s, Line)]) == len(items)  # what did not fit has left no leader behind


@pytest.mark.parametrize("right", [True, False])
def test_a_column_of_callouts_does_so_too(right: bool) -> None:
    u, way = SCALE.factor, 1 if right else -1
    anchor = "start" if right else "end"
    canvas = canvas_with(Text("notes", "A", (way * 1.02 * u, 0.1 * u), US_LETTERS.note, 0.0, anchor))
    canvas.callouts_in_column([Callout("a note", ((0.0, 0.0),))], way * u, right=right)
    (note,) = notes_of(canvas, "a note")
    assert way * note.at[0] > way * u + 1e-6 or not right
    assert not overlap(note.corners(u, 0.0), canvas.shapes[0].corners(u, 0.0))


def test_what_finds_no_room_anywhere_is_told_and_leaves_nothing() -> None:
    u = SCALE.factor
    wall = [Text("notes", "taken " * 20, (-5 * u, u * (0.7 + 0.1 * k)), US_LETTERS.note) for k in range(25)]
    canvas = canvas_with(*wall)
    with pytest.raises(NoRoomError, match="no room for 'a note'"):
        canvas.callouts_in_row([Callout("a note", ((0.0, 0.0),))], u, up=True)
    assert canvas.shapes == wall


@cache
def sheets(method: str):
    """All sheets of the malthouse, with the work in stages."""
    job = replace(project(SHORT_END), method=method)
    package, _ = pipeline.decide(job, (), {}, jobs=1, progress=lambda _: None)
    trusses = []
    for one in package.trusses:
        work, safety = pipeline.stages_of(job, one)
        trusses.append(replace(one, staged=work, safety=safety))
    return [s.drawing for s in draw_set(replace(package, trusses=tuple(trusses)))]


@pytest.mark.parametrize("method", ["allowable stress", "strength"])
def test_every_sheet_of_the_malthouse_has_room_for_all_its_labels(method: str, tmp_path) -> None:
    """By strength one more web's end is bolted anew, with the bolts' callout beside that of the old bolt."""
    for drawing in sheets(method):
        told = [s.text for s in (*drawing.paper, *(t for v in drawing.views for t in v.shapes)) if isinstance(s, Text)]
        assert not any("No room in the views" in t for t in told), (drawing.name, told)
        write_svg(drawing, tmp_path / f"{drawing.name}.svg")
        _, texts, strokes = read_svg(tmp_path / f"{drawing.name}.svg")
        assert not _collisions([(words, box) for _, words, box in texts], strokes), drawing.name


def test_what_is_cut_out_is_said_beside_the_joints_name() -> None:
    """The cut lies under joint L3, whose name hangs from the middle of the lower edge."""
    said = [d.name for d in sheets("allowable stress") for v in d.views for s in v.shapes
            if isinstance(s, Text) and s.text.replace("\N{NO-BREAK SPACE}", " ") == "cut out 5'-6\" of the near ply"]  # fmt: skip
    assert len(said) == 2, said  # on the sheet of the repair and on that of the work
