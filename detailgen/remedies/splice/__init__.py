"""Bottom-chord splice: steel plates with fillers or blocks, bolted through, over a broken or cut place of one or every ply."""

from detailgen.remedies.splice.remedy import REMEDY

__all__ = ["REMEDY"]
