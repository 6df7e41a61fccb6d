"""A web's bolted end that fails, or whose force changes sign, gets bolts that carry all of it: through the lap with the chord."""

from detailgen.remedies.web_end.remedy import REMEDY

__all__ = ["REMEDY"]
