"""How much longer sixty sheets with their PDF take than bare library calls that write as many entities and pages; and a plate of 400 holes.

Run by hand on a quiet machine; prints medians. Both sides are whole processes on one core that begin with what they know: ours with the
decided package (surveyed, analysed, dimensioned; not timed), the floor with the coordinates of our own files. Both write the same count of
entities of each kind and of pages, read back and counted; where they differ the benchmark stops. The floor lays out nothing, looks for no
room, measures no text and makes no byte the same twice.
"""

from __future__ import annotations

import os
import pickle
import statistics
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from demo_floor import ROOT, amounts, counted, drawing_of, timed, write_drawings, write_sheet_pages

ROUNDS = 3
SHEETS, TARGET = 60, 1.5
HOLES, HOLES_TARGET = 400, 1.0


def package_of_sixty() -> Any:
    """The demo's trusses again and again under other marks, until their sheets are sixty; every joint is a detail of its own."""
    from detailgen import pipeline
    from detailgen.model.marks import register

    project = pipeline.read_project(ROOT / "detailgen" / "samples" / "printworks")
    package, _ = pipeline.decide(project, (), {}, jobs=1, progress=lambda _: None)
    trusses: list[Any] = []
    k = 0
    while True:
        source = package.trusses[k % len(package.trusses)]
        mark, old = f"T{k + 1}", source.before.truss.mark
        details = tuple(replace(d, key=d.key.replace(old, mark, 1), truss=mark) for d in source.details)
        status = {d.key: source.status[o.key] for d, o in zip(details, source.details, strict=True)}
        before = replace(source.before, truss=replace(source.before.truss, mark=mark))
        trusses.append(replace(source, before=before, details=details, status=status))
        if 3 * len(trusses) + 4 >= SHEETS:  # each truss has three, the project four
            marks, _ = register([d for t in trusses for d in t.details], {})
            return replace(package, trusses=tuple(trusses), marks=marks)
        k += 1


def write_ours(package: Any, out: Path) -> None:
    from detailgen.outputs.drawings import write_dxf
    from detailgen.outputs.drawings.sheet_set import draw_set
    from detailgen.outputs.report.sheet_set import Page, write_sheet_set

    (out / "drawings").mkdir(parents=True)
    pages = []
    for sheet in draw_set(package):
        write_dxf(sheet.drawing, out / "drawings" / f"{sheet.file}.dxf")
        pages.append(Page.of(sheet.drawing))
    write_sheet_set(pages, out / "drawings" / "all_sheets.pdf")


def write_on_two(package: Any, out: Path) -> None:
    """As a package's are written."""
    from detailgen.outputs.drawings.sheet_set import draw_set
    from detailgen.outputs.report.sheet_set import writing_sheets

    (out / "drawings").mkdir(parents=True)
    with writing_sheets(package, list(draw_set(package)), out / "drawings"):
        pass


def write_floor(recipe: dict[str, Any], out: Path) -> None:
    write_drawings(recipe["drawings"], out)
    write_sheet_pages(recipe["drawings"], out)


def many_holes() -> Any:
    """A package around one plate of 400 holes in an uneven grid."""
    sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "outputs")]
    from detail_package import make_package
    from splice_fixture import splice_detail

    from detailgen.model.detail import Hole, Vertex

    detail = splice_detail()
    plate = detail.part("plate-near")
    xs = [-58.5 + 3.0 * k + (0.125 if k % 3 else 0.0) for k in range(40)]
    ys = [-13.5 + 3.0 * k for k in range(10)]
    holes = tuple(Hole(x, y, 13 / 16, "") for x in xs for y in ys)
    assert len(holes) == HOLES
    outline = (Vertex(-60.0, -15.0), Vertex(60.0, -15.0), Vertex(60.0, 15.0), Vertex(-60.0, 15.0))
    large = replace(plate, holes=holes, outline=outline)
    return make_package(detail=replace(detail, parts=(large,), bolts=(), groups=(), zones=()))


def plate_seconds() -> float:
    """A sheet of the plate, drawn and written, after what is read once has been read."""
    from detailgen.outputs.drawings import write_dxf
    from detailgen.outputs.drawings.shop_sheets import draw_shop

    package = many_holes()
    with tempfile.TemporaryDirectory() as place:
        took = []
        for _ in range(ROUNDS + 1):
            start = time.perf_counter()
            for drawing in draw_shop(package):
                write_dxf(drawing, Path(place) / f"{drawing.name}.dxf")
            took.append(time.perf_counter() - start)
    return statistics.median(took[1:])


def main() -> None:
    if len(sys.argv) == 4:
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: 2 if sys.argv[1] == "--two" else 1])
        write = {"--floor": write_floor, "--ours": write_ours, "--two": write_on_two}[sys.argv[1]]
        write(pickle.loads(Path(sys.argv[2]).read_bytes()), Path(sys.argv[3]))
        return
    with tempfile.TemporaryDirectory() as place:
        home = Path(place)
        (home / "package.pickle").write_bytes(pickle.dumps(package_of_sixty()))
        ours = [sys.executable, __file__, "--ours", str(home / "package.pickle")]
        timed([*ours, str(home / "first")], home)
        recipe = {"drawings": {p.relative_to(home / "first").as_posix(): drawing_of(p) for p in sorted((home / "first").rglob("*.dxf"))}}
        (home / "recipe.pickle").write_bytes(pickle.dumps(recipe))
        least = [sys.executable, __file__, "--floor", str(home / "recipe.pickle")]
        timed([*least, str(home / "floor")], home)
        product, floor = counted(home / "first"), counted(home / "floor")
        if product != floor:
            different = {k: (product.get(k), floor.get(k)) for k in product if product.get(k) != floor.get(k)}
            raise SystemExit(f"not the same (ours, floor): {different}")
        print(f"{len(recipe['drawings'])} sheets; counts equal")
        print("ours: ", amounts(home / "first"))
        print("floor:", amounts(home / "floor"))
        rounds = [(*timed([*ours, str(home / f"ours{k}")], home), *timed([*least, str(home / f"floor{k}")], home)) for k in range(ROUNDS)]
        ours_clock, ours_cpu, floor_clock, floor_cpu = (statistics.median(column) for column in zip(*rounds, strict=True))
        two = [sys.executable, __file__, "--two", str(home / "package.pickle")]
        two_clock = statistics.median(timed([*two, str(home / f"two{k}")], home)[0] for k in range(ROUNDS))
        assert counted(home / "two0") == floor
    print(f"medians of {ROUNDS} whole processes on one core, in turns")
    print("           clock s   processor s")
    print(f"floor   {floor_clock:10.2f}{floor_cpu:12.2f}")
    print(f"ours    {ours_clock:10.2f}{ours_cpu:12.2f}")
    print(f"ratio   {ours_clock / floor_clock:10.2f}{ours_cpu / floor_cpu:12.2f}   target at most {TARGET}")
    print(f"on two cores {two_clock:.2f} s, {two_clock / floor_clock:.2f} of the floor on one")
    print(f"a plate of {HOLES} holes: {plate_seconds():.2f} s   target under {HOLES_TARGET}")


if __name__ == "__main__":
    main()
