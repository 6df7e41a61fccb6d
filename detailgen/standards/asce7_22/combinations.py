"""Combinations of 2.4.1 (allowable stress) and 2.3.1 (strength), read from the tables."""

from __future__ import annotations

from detailgen.standards.asce7_22.snow import DOCUMENT, TABLES
from detailgen.standards.combining import CombinationTable

TABLE = CombinationTable(DOCUMENT, TABLES)
