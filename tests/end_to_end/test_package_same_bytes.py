"""The same survey gives the same package, byte for byte: over hash seeds, time zones, languages, folders, processes, threads and clocks."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import Answer, detailgen_run, environment, files_in
from package_runs import DEMO, demo

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
def other(tmp_path_factory: pytest.TempPathFactory) -> tuple[Answer, dict[str, bytes]]:
    """The demo in another world. (That of the wheel runs in a third: test_e2e_wheel.)"""
    home = tmp_path_factory.mktemp("world")
    moved = moved_clock(home)
    assert int(the_year(moved)) >= int(the_year({})) + 5
    world = {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Kiritimati", "LANG": "de_DE.UTF-8", "LC_ALL": "C.UTF-8", "OPENBLAS_NUM_THREADS": "2"}
    answer = detailgen_run("demo", "--out", "some where/out", "--jobs", "2", cwd=home, **world, **moved)
    return answer, files_in(home / "some where" / "out" / DEMO)


def test_another_world_writes_the_same_bytes(other: tuple[Answer, dict[str, bytes]]) -> None:
    ours, theirs = files_in(demo().folder), other[1]
    assert sorted(theirs) == sorted(ours)
    assert [name for name in ours if ours[name] != theirs[name]] == []


def test_another_world_is_told_the_same(other: tuple[Answer, dict[str, bytes]]) -> None:
    ours, theirs = demo().answer, other[0]
    assert (theirs.code, theirs.err) == (ours.code, ours.err)
    assert theirs.out.splitlines()[:-1] == ours.out.splitlines()[:-1]  # the last line names the folder
