"""One piece of work for many things of a kind, by several forked processes; answers come in the order of the things, and so do errors.

Where nothing can be forked, or one process is asked for, the same work is done in turn: same answers, same errors.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import sys
from collections.abc import Callable, Iterator
from multiprocessing.connection import Connection, wait
from typing import Any, TypeVar

from detailgen.core.errand import alone, cores, spare_core
from detailgen.core.errors import OutputError

T = TypeVar("T")
AHEAD = 2
"""How many numbers a process has been given: while its answer is read it works on the next."""


class _Hand:
    """One process of the crew."""

    def __init__(self, work: Callable[[int], object], others: list[_Hand]) -> None:
        fork = multiprocessing.get_context("fork")
        self.pipe, inner = fork.Pipe()
        self.given = 0
        self._child = fork.Process(target=_work, args=(work, inner, [self.pipe, *(o.pipe for o in others)]), daemon=True)
        self._child.start()
        inner.close()

    def stop(self) -> None:
        self.pipe.close()
        self._child.kill()
        self._child.join()


def in_order(work: Callable[[int], T], count: int, processes: int) -> Iterator[T]:
    """``work`` of 0, 1, ... ``count - 1``; its answers must be picklable where there are several processes.

    processes: how many; 0: as many as there are cores
    Raises: whatever the work raised, for the first number that failed; OutputError where a process was killed
    """
    processes = min(processes or cores(), count)
    if processes < 2 or not spare_core():
        yield from map(work, range(count))
        return
    sys.stdout.flush()
    gc.freeze()  # what is there now is looked through for garbage no more: in the children that would copy all of it
    hands: list[_Hand] = []
    try:
        for _ in range(processes):
            hands.append(_Hand(work, hands))
        yield from _gathered(hands, count)
    finally:
        for hand in hands:
            hand.stop()
        gc.unfreeze()


def _gathered(hands: list[_Hand], count: int) -> Iterator[Any]:
    """Numbers go to whoever is free; answers wait until those before them are there."""
    numbers = iter(range(count))
    early: dict[int, tuple[BaseException | None, Any]] = {}

    def give(hand: _Hand) -> None:
        number = next(numbers, None)
        if number is not None:
            hand.given += 1
            with contextlib.suppress(BrokenPipeError):  # it has been killed: reading its answer tells
                hand.pipe.send(number)

    for _ in range(AHEAD):
        for hand in hands:
            give(hand)
    for number in range(count):
        while number not in early:
            for pipe in wait([h.pipe for h in hands if h.given]):
                hand = next(h for h in hands if h.pipe is pipe)
                try:
                    answered, error, answer = hand.pipe.recv()
                except (EOFError, ConnectionResetError):
                    raise OutputError("a process that worked beside this one was killed (out of memory?). Try again, or with --jobs 1.") from None
                hand.given -= 1
                give(hand)
                early[answered] = error, answer
        error, answer = early.pop(number)
        if error is not None:
            raise error
        yield answer


def _work(work: Callable[[int], object], pipe: Connection, outer: list[Connection]) -> None:
    alone(outer)
    with contextlib.suppress(EOFError, BrokenPipeError, ConnectionResetError):  # nobody waits any more
        while True:
            number = pipe.recv()
            try:
                answer: tuple[int, BaseException | None, object] = (number, None, work(number))
            except BaseException as raised:
                answer = (number, raised, None)
            pipe.send(answer)
            del answer
