"""A heel whose end grain, old shoe or old bolts do not bear gets a new bolted steel heel that carries all: shoe, side plates, sole, bolts."""

from detailgen.remedies.heel.remedy import REMEDY

__all__ = ["REMEDY"]
