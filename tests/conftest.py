"""Shared test modules (``sample_trusses``) are found from every folder; all processes of a run share one folder for what is made once."""

import os
import shutil
import sys
import tempfile
from pathlib import Path

SHARED = "DETAILGEN_TESTS_SHARED"

sys.path.insert(0, str(Path(__file__).parent))


def pytest_configure(config):
    if not hasattr(config, "workerinput"):  # workers inherit it
        os.environ[SHARED] = tempfile.mkdtemp(prefix="detailgen-tests-")


def pytest_unconfigure(config):
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(SHARED), ignore_errors=True)
