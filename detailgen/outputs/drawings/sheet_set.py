"""All sheets of a package in the order of their numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from detailgen.model.package import Package
from detailgen.outputs.drawings.cover_sheet import draw_cover
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.drawings.shop_sheets import draw_field_form, draw_schedules, draw_shop
from detailgen.outputs.drawings.strand_sheet import draw_strands
from detailgen.outputs.drawings.truss_drawing import drawing_name
from detailgen.outputs.drawings.truss_found import draw_found
from detailgen.outputs.drawings.truss_repair import draw_repair
from detailgen.outputs.drawings.work_sheet import draw_safety, draw_work


@dataclass(frozen=True)
class SheetFile:
    """A drawing, the name of its file without ending, and the key of the detail that it shows, if it shows one."""

    file: str
    drawing: Drawing
    detail: str = ""


def _named(stem: str, drawings: list[Drawing], detail: str = "") -> list[SheetFile]:
    """The first sheet bears the name itself, those that continue it a number."""
    return [SheetFile(stem if not k else f"{stem}-{k + 1}", d, detail) for k, d in enumerate(drawings)]


def _slug(name: str) -> str:
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-")


def draw_set(package: Package) -> Iterator[SheetFile]:
    """Raises: OutputError where something fits on no sheet"""
    cover_after = list(_drawn(package))
    cover = draw_cover(package, [(s.drawing.name, s.drawing.title.removeprefix(s.drawing.name).strip()) for s in cover_after])
    yield from (*_named("cover", cover), *cover_after)


def _drawn(package: Package) -> Iterator[SheetFile]:
    yield from _named("safety", draw_safety(package))
    for one in package.trusses:
        name = drawing_name(one.before.truss.mark)
        yield from _named(name, draw_found(one, package))
        if one.details:
            yield from _named(f"{name}_repair", draw_repair(one, package))
        yield from _named(f"{name}_work", draw_work(one, package))
    for one in package.trusses:
        yield from _named(f"{drawing_name(one.before.truss.mark)}_strands", draw_strands(one, package))
    for detail in package.details:
        yield from _named(_slug(detail.key), draw_detail(detail, package), detail.key)
    if package.details:
        yield from _named("schedules", draw_schedules(package))
        if package.marks:  # new bolts alone bring no part
            yield from _named("shop_parts", draw_shop(package))
        yield from _named("field_form", draw_field_form(package))
