"""Strands along both faces of a bottom chord squeeze the truss from heel to heel, where the chord's tension cannot be met otherwise."""

from detailgen.remedies.posttension.remedy import REMEDY

__all__ = ["REMEDY"]
