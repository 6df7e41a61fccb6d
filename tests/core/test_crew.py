"""The crew: answers and errors in the order of the numbers, the same with one process and with several; nobody outlives it."""

from __future__ import annotations

import os
import signal
import time

import pytest

from detailgen.core import crew
from detailgen.core.crew import in_order
from detailgen.core.errors import OutputError


@pytest.fixture(params=[1, 2, 3])
def processes(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    monkeypatch.setattr(crew, "spare_core", lambda: True)
    return int(request.param)


def uneven(number: int) -> tuple[int, int]:
    """The earlier numbers take longest."""
    time.sleep(0.02 * max(4 - number, 0))
    return number, number * number


def test_answers_come_in_order_whoever_is_first(processes: int) -> None:
    assert list(in_order(uneven, 9, processes)) == [(k, k * k) for k in range(9)]
    assert list(in_order(uneven, 0, processes)) == []


def fails_at_two(number: int) -> int:
    if number >= 2:
        raise OutputError(f"no paper for {number}")
    return number


def test_the_first_number_that_fails_is_told_after_those_before_it(processes: int) -> None:
    answers = in_order(fails_at_two, 6, processes)
    assert [next(answers), next(answers)] == [0, 1]
    with pytest.raises(OutputError, match="no paper for 2"):
        next(answers)


def test_all_processes_work_and_none_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "spare_core", lambda: True)

    def who(_: int) -> int:
        time.sleep(0.05)
        return os.getpid()

    found = set(in_order(who, 8, 2))
    assert len(found) == 2
    assert os.getpid() not in found
    for pid in found:
        with pytest.raises(ProcessLookupError):
            os.kill(int(pid), 0)  # type: ignore[call-overload]


def test_where_nobody_waits_for_the_rest_all_are_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "spare_core", lambda: True)
    answers = in_order(lambda k: (k, os.getpid()), 50, 2)
    _, pid = next(answers)  # type: ignore[misc]
    answers.close()
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_a_killed_process_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "spare_core", lambda: True)

    def dies(number: int) -> int:
        if number == 3:
            os.kill(os.getpid(), signal.SIGKILL)
        return number

    with pytest.raises(OutputError, match="was killed"):
        list(in_order(dies, 6, 2))


def test_in_turn_without_a_second_core(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "spare_core", lambda: False)
    assert set(in_order(lambda _: os.getpid(), 3, 2)) == {os.getpid()}
