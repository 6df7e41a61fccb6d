"""Solid models of details."""

from detailgen.outputs.solids.glb import write_glb
from detailgen.outputs.solids.models import write_models
from detailgen.outputs.solids.step import write_step

__all__ = ["write_glb", "write_models", "write_step"]
