"""The calculation report and the set of sheets, as PDF."""

from detailgen.outputs.report.calculations import write_calculations
from detailgen.outputs.report.hand_check import write_hand_check
from detailgen.outputs.report.sheet_set import write_sheet_set

__all__ = ["write_calculations", "write_hand_check", "write_sheet_set"]
