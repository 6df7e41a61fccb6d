"""Side members in words: sizes, wood, bolts."""

from __future__ import annotations

from detailgen.remedies.contract import Job
from detailgen.remedies.side_member.layout import Layout


def timber_words(layout: Layout, job: Job) -> str:
    write, t = job.project.units.write_made, layout.timber
    sizes = " x ".join(write(v) for v in (t.thickness, t.depth, t.length))
    out_of = f" out of {write(t.stock)}" if t.stock > t.depth + 1e-6 else ""
    return f"{len(t.sides)} of {sizes}{out_of}, {t.wood.species} {t.wood.grade}"


def layout_words(layout: Layout, job: Job) -> str:
    write, rows = job.project.units.write_made, len(layout.lines)
    text = f"{timber_words(layout, job)}, {rows} row{'s' if rows > 1 else ''} of {len(layout.columns)} bolts {write(layout.diameter)}"
    return f"{text}, {write(layout.spacing)} apart" + (f", rows {write(layout.gauge)} apart" if rows > 1 else "")
