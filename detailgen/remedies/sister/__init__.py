"""A web that is too slender for its compression gets a timber bolted along one face, or along both."""

from detailgen.remedies.sister.remedy import REMEDY

__all__ = ["REMEDY"]
