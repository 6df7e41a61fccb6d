"""All solid models of a package: each joint and each repaired truss, as STEP and as GLB."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from detailgen.model.package import Package
from detailgen.outputs.solids.assembly import Product, assembly_of
from detailgen.outputs.solids.glb import glb_bytes
from detailgen.outputs.solids.mesh import Made
from detailgen.outputs.solids.step import write_assembly
from detailgen.outputs.solids.truss import assembly_of_truss

TRUSS_TITLE = "as repaired; ends of timbers and old bolts as surveyed, webs not cut to each other; shores as the room that they need"


def assemblies(package: Package) -> Iterator[tuple[str, Product, str, str]]:
    """Name, assembly, title and status of every model. Raises OutputError where a record makes no valid piece."""
    for detail in package.details:
        yield detail.key, assembly_of(detail, package), detail.title, package.status_of(detail.key)
    for one in package.trusses:
        if one.details:
            mark = one.before.truss.mark
            yield mark, assembly_of_truss(one, package), f"Truss {mark} {TRUSS_TITLE}", package.status


def write_models(package: Package, folder: Path, slug: Callable[[str], str]) -> None:
    """Write NAME.step and NAME.glb of every model.

    Raises: OutputError
    """
    made = Made()
    for name, root, title, status in assemblies(package):
        project = package.project
        (folder / f"{slug(name)}.glb").write_bytes(glb_bytes(root, f"{title}; {project.name}, revision {project.revision}", made))
        write_assembly(root, title, status, package, folder / f"{slug(name)}.step")
