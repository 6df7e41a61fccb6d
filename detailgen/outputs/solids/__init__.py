"""Solid models of details."""

from detailgen.outputs.solids.glb import write_glb, write_truss_glb
from detailgen.outputs.solids.step import Solid, solids_of, write_step, write_truss_step

__all__ = ["Solid", "solids_of", "write_glb", "write_step", "write_truss_glb", "write_truss_step"]
