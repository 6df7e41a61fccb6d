"""A web or chord that buckles out of its truss gets a timber along the building, line by line, where a bay is anchored to hold it."""

from detailgen.remedies.brace.remedy import REMEDY

__all__ = ["REMEDY"]
