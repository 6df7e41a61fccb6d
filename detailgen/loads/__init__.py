"""From the survey's area loads to load cases on the frame and their combinations."""

from detailgen.loads.cases import LoadSet, build_cases
from detailgen.loads.combinations import expand

__all__ = ["LoadSet", "build_cases", "expand"]
