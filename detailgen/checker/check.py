"""Check files and details: read, measure, look up, report."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from detailgen.checker.agree import judge_agreement
from detailgen.checker.dimensions import judge_dimensions
from detailgen.checker.drawing import Drawing, Face
from detailgen.checker.measure import Measurement, centre_distances, listing
from detailgen.checker.rules import cannot_be_checked_if, wrong
from detailgen.checker.steel import judge_steel
from detailgen.checker.wood import FACE_VIEW, judge_wood
from detailgen.core.errors import InputError, InputProblem
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.model.detail import Detail
