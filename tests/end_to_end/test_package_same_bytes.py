"""The same survey gives the same package, byte for byte: over hash seeds, time zones, languages, folders, processes, threads and clocks."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import Answer, environment, files_in
from package_runs import DEMO, at_once, demo

# Moves the clock of everything written in Python, and stands in for a day in the year 2031.
PYTHON_CLOCK = """
import datetime as _datetime, time as _time
_AHEAD = 1900 * 86400.0 + 7 * 3600
_time_, _ns = _time.time, _time.time_ns
_local, _gm, _strf = _time.localtime, _time.gmtime, _time.strftime
_time.time = lambda: _time_() + _AHEAD
_time.time_ns = lambda: _ns() + int(_AHEAD * 1e9)
_time.localtime = lambda s=None: _local(_time.time() if s is None else s)
_time.gmtime = lambda s=None: _gm(_time.time() if s is None else s)
_time.strftime = lambda form, t=None: _strf(form, _time.localtime() if t is None else t)
class _Moved(_datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return cls.fromtimestamp(_time.time(), tz)
    @classmethod
    def utcnow(cls):
        return cls.fromtimestamp(_time.time(), _datetime.timezone.utc).replace(tzinfo=None)
    @classmethod
    def today(cls):
        return cls.now()
class _Day(_datetime.date):
    @classmethod
    def today(cls):
        return cls.fromtimestamp(_time.time())
_datetime.datetime, _datetime.date = _Moved, _Day
"""
# The same for everything else in the process: the solid kernel and the typesetter ask the C library.
C_CLOCK = """
#define _GNU_SOURCE
#include <dlfcn.h>
#include <time.h>
#include <sys/time.h>
#define AHEAD (1900 * 86400 + 7 * 3600)
int clock_gettime(clockid_t id, struct timespec *t) {
    int (*whole)(clockid_t, struct timespec *) = (int (*)(clockid_t, struct timespec *)) dlsym(RTLD_NEXT, "clock_gettime");
    int r = whole(id, t);
    if (id == CLOCK_REALTIME || id == CLOCK_REALTIME_COARSE) t->tv_sec += AHEAD;
    return r;
}
int gettimeofday(struct timeval *restrict t, void *restrict z) {
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    t->tv_sec = now.tv_sec; t->tv_usec = now.tv_nsec / 1000;
    return 0;
}
time_t time(time_t *t) {
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    if (t) *t = now.tv_sec;
    return now.tv_sec;
}
"""


def moved_clock(folder: Path) -> dict[str, str]:
    """An environment in which it is the year 2031: for the C library where a compiler is at hand, else for Python alone."""
    compiler = shutil.which("cc")
    if compiler is None:
        (folder / "sitecustomize.py").write_text(PYTHON_CLOCK, encoding="utf-8")
        return {"PYTHONPATH": f"{folder}:{environment()['PYTHONPATH']}"}
    (folder / "clock.c").write_text(C_CLOCK, encoding="utf-8")
    subprocess.run([compiler, "-shared", "-fPIC", "-o", "clock.so", "clock.c", "-ldl"], cwd=folder, check=True)
    return {"LD_PRELOAD": str(folder / "clock.so")}


def the_year(env: dict[str, str]) -> str:
    """What a process of that environment takes for this year."""
    return subprocess.run([sys.executable, "-c", "import datetime; print(datetime.datetime.now().year)"], env=environment(**env), check=True,
                          capture_output=True, text=True).stdout.strip()  # fmt: skip


@pytest.fixture(scope="module")
def others(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Answer], list[dict[str, bytes]]]:
    """The demo in two other worlds, at the same time."""
    home = tmp_path_factory.mktemp("worlds")
    moved = moved_clock(home)
    assert int(the_year(moved)) >= int(the_year({})) + 5
    worlds = [
        (("demo", "--out", "out", "--jobs", "2"), {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Kiritimati", "LANG": "de_DE.UTF-8", "LC_ALL": "C.UTF-8",
                                                   "OPENBLAS_NUM_THREADS": "2", **moved}),
        (("demo", "--out", "some where/out", "--jobs", "1"), {"PYTHONHASHSEED": "77", "TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8",
                                                             "OPENBLAS_NUM_THREADS": "1", "OPENBLAS_CORETYPE": "Sandybridge",
                                                             "NPY_DISABLE_CPU_FEATURES": "AVX512F AVX512CD AVX512_SKX AVX2 FMA3"}),
    ]  # fmt: skip
    places = [home / "one", home / "other" / "deeper"]
    for place in places:
        place.mkdir(parents=True)
    answers = at_once((words, place, env) for (words, env), place in zip(worlds, places, strict=True))
    return answers, [files_in(places[0] / "out" / DEMO), files_in(places[1] / "some where" / "out" / DEMO)]


@pytest.mark.parametrize("world", [0, 1], ids=["moved clock, two processes", "one thread, old processor"])
def test_another_world_writes_the_same_bytes(world: int, others: tuple[list[Answer], list[dict[str, bytes]]]) -> None:
    ours, theirs = files_in(demo().folder), others[1][world]
    assert sorted(theirs) == sorted(ours)
    assert [name for name in ours if ours[name] != theirs[name]] == []


@pytest.mark.parametrize("world", [0, 1])
def test_another_world_is_told_the_same(world: int, others: tuple[list[Answer], list[dict[str, bytes]]]) -> None:
    ours, theirs = demo().answer, others[0][world]
    assert (theirs.code, theirs.err) == (ours.code, ours.err)
    assert theirs.out.splitlines()[:-1] == ours.out.splitlines()[:-1]  # the last line names the folder
