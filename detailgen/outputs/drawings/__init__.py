"""Drawings: a neutral drawing first, then its writers."""

from detailgen.outputs.drawings.dxf import write_dxf
from detailgen.outputs.drawings.svg import write_svg
from detailgen.outputs.drawings.truss_drawing import draw_truss, drawing_name

__all__ = ["draw_truss", "drawing_name", "write_dxf", "write_svg"]
