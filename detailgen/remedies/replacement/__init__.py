"""A damaged length of a bottom chord's ply is cut out and a new piece is put in, between two splices in sound wood."""

from detailgen.remedies.replacement.remedy import REMEDY

__all__ = ["REMEDY"]
