"""A chord that bends too much under what comes later gets timbers bolted to its faces, in segments along the curve."""

from detailgen.remedies.side_member.remedy import REMEDY

__all__ = ["REMEDY"]
