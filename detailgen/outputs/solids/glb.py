"""The solid model as GLB (binary glTF 2.0): triangles for the screen, the same products, instances, names and colours as the STEP file.

glTF has metres and y up; ours are inches with y up, so the root node carries the scale and everything under it stays in inches.
"""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from detailgen.core.units import MM
from detailgen.model.detail import Detail
from detailgen.model.package import Package
from detailgen.outputs.solids.assembly import COLOURS, Frame, Instance, Product, assembly_of
from detailgen.outputs.solids.mesh import Made

INCH = 0.001 / MM
"""Metres of an inch: the root's scale."""
FLOAT, SHORT, LONG = 5126, 5123, 5125
ARRAY, ELEMENTS = 34962, 34963
LINES = 1
JSON, BIN = 0x4E4F534A, 0x004E4942
Record = dict[str, object]


def glb_bytes(root: Product, title: str, made: Made) -> bytes:
    """The whole file of an assembly. ``made``: solids and meshes that are there already; new ones are added.

    Raises: OutputError where a record makes no valid solid
    """
    file = _File(made)
    top = file.node(root, Instance(root.name, root, Frame()))
    file.nodes[top]["scale"] = [INCH] * 3
    return file.bytes(top, title)


def write_glb(detail: Detail, package: Package, path: Path) -> bytes:
    """Write the GLB of a detail and return its bytes. The same detail and package give the same bytes.

    Raises: OutputError where a record makes no valid solid, a new part has no mark or a bolt does not fit
    """
    data = glb_bytes(assembly_of(detail, package), f"{detail.title}; {package.project.name}, revision {package.project.revision}", Made())
    path.write_bytes(data)
    return data


class _File:
    def __init__(self, made: Made) -> None:
        self.made = made
        self.nodes: list[Record] = []
        self.meshes: list[Record] = []
        self.materials: list[Record] = []
        self.views: list[Record] = []
        self.accessors: list[Record] = []
        self.data = bytearray()
        self.written: dict[Product, int] = {}
        self.painted: dict[str, int] = {}

    def node(self, product: Product, instance: Instance) -> int:
        """Write an instance with all under it; the number of its node."""
        record: Record = {"name": instance.name}
        self.nodes.append(record)
        number = len(self.nodes) - 1
        if instance.frame != Frame():
            record["matrix"] = _matrix(instance.frame)
        if product.source is not None:
            record["mesh"] = self.mesh(product)
        else:
            record["children"] = [self.node(child.product, child) for child in product.children]
        if instance.part:
            record["extras"] = {"part": instance.part}
        return number

    def mesh(self, product: Product) -> int:
        if product not in self.written:
            assert product.source is not None
            mesh = self.made.mesh(product.source)
            corners = {"POSITION": self.floats(mesh.points, bounds=True), "NORMAL": self.floats(mesh.normals)}
            paint = self.material(product.colour)
            faces = {"attributes": corners, "indices": self.indices(mesh.triangles, len(mesh.points)), "material": paint}
            lines = {"attributes": {"POSITION": corners["POSITION"]}, "indices": self.indices(mesh.edges, len(mesh.points)), "mode": LINES}
            self.meshes.append({"name": product.name, "primitives": [faces, lines]})
            self.written[product] = len(self.meshes) - 1
        return self.written[product]

    def material(self, colour: str) -> int:
        if colour not in self.painted:
            look = {"baseColorFactor": [*(_linear(v) for v in COLOURS[colour]), 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.9}
            self.materials.append({"name": colour, "pbrMetallicRoughness": look})
            self.painted[colour] = len(self.materials) - 1
        return self.painted[colour]

    def floats(self, values: NDArray[np.float32], *, bounds: bool = False) -> int:
        view = self.view(values.astype("<f4").tobytes(), ARRAY)
        record: Record = {"bufferView": view, "componentType": FLOAT, "count": len(values), "type": "VEC3"}
        if bounds:
            record |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        self.accessors.append(record)
        return len(self.accessors) - 1

    def indices(self, values: NDArray[np.uint32], corners: int) -> int:
        kind, code = ("<u2", SHORT) if corners < 0xFFFF else ("<u4", LONG)
        view = self.view(values.astype(kind).tobytes(), ELEMENTS)
        self.accessors.append({"bufferView": view, "componentType": code, "count": values.size, "type": "SCALAR"})
        return len(self.accessors) - 1

    def view(self, data: bytes, target: int) -> int:
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data), "target": target})
        self.data += data + b"\0" * (-len(data) % 4)
        return len(self.views) - 1

    def bytes(self, root: int, title: str) -> bytes:
        content = {
            "asset": {"version": "2.0", "generator": "detailgen"},
            "scene": 0,
            "scenes": [{"name": title, "nodes": [root]}],
            "nodes": self.nodes, "meshes": self.meshes, "materials": self.materials,
            "accessors": self.accessors, "bufferViews": self.views, "buffers": [{"byteLength": len(self.data)}],
        }  # fmt: skip
        text = json.dumps(content, separators=(",", ":")).encode("ascii")
        text += b" " * (-len(text) % 4)
        chunks = struct.pack("<II", len(text), JSON) + text + struct.pack("<II", len(self.data), BIN) + bytes(self.data)
        return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _matrix(frame: Frame) -> list[float]:
    """A frame as glTF has it, column by column."""
    turned = [v for column in zip(*frame.rows, strict=True) for v in (*column, 0.0)]
    columns = (*turned, frame.x, frame.y, frame.z, 1.0)
    return [round(v, 9) + 0.0 for v in columns]


def _linear(value: float) -> float:
    """A screen's colour value as light (sRGB, IEC 61966-2-1)."""
    return round(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4, 6)
