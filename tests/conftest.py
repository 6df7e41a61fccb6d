"""Shared test modules (``sample_trusses``) are found from every folder."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
