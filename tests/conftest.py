"""Shared test modules (``sample_trusses``) are found from every folder; all processes of a run share one folder for what is made once."""

import gc
import os
import shutil
import sys
import tempfile
from pathlib import Path

from hypothesis import settings

SHARED = "DETAILGEN_TESTS_SHARED"
MINE = []  # a run that another run's test starts must not take that one's folder away

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # this and the next as the command has it; processes of the run inherit it
gc.set_threshold(50_000, 20, 20)

sys.path.insert(0, str(Path(__file__).parent))
# No test measures time: machines are busy, and first calls load. The gate takes the same examples each time, so that it judges a change and
# not its luck; `--hypothesis-profile search` looks for new ones.
settings.register_profile("gate", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None, max_examples=1000)
settings.load_profile("gate")


def pytest_configure(config):
    if not hasattr(config, "workerinput"):  # workers inherit it
        MINE.append(tempfile.mkdtemp(prefix="detailgen-tests-"))
        os.environ[SHARED] = MINE[-1]


def pytest_unconfigure(config):
    while MINE:
        shutil.rmtree(MINE.pop(), ignore_errors=True)
