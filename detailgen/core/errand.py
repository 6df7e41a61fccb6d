"""Work that runs beside the walk, in a forked process: the walk goes on and asks for the end of it later.

Where a process cannot be forked, or there is one core only, the same work is done when its end is asked for: same files, same errors.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Generator, Iterable, Iterator
from multiprocessing.connection import Connection
from typing import Any

from detailgen.core.errors import OutputError

PARENT_DEATH = 1
"""PR_SET_PDEATHSIG of Linux."""

Ready = Callable[..., object]
"""The second half of an errand: it takes what the walk hands over, and its answer must be picklable."""


THREADED = ("typst",)
"""Libraries that start threads of their own: they would hang in the fork of a process that has used them."""


def cores() -> int:
    """How many cores this process may use; 1 where that cannot be told."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1


def spare_core() -> bool:
    """Is there a core for an errand, and a way to fork?"""
    return cores() > 1 and not any(name in sys.modules for name in THREADED)


def alone(outer: Iterable[Connection]) -> None:
    """What a forked process does first: it leaves the ends of pipes that are its parent's, and never outlives it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the walk is interrupted, and stops this process
    ctypes.CDLL(None).prctl(PARENT_DEATH, signal.SIGKILL)  # and where it is killed nothing goes on writing
    for end in outer:
        end.close()


class Errand:
    """One piece of work. It has begun when it is made; ``hand`` gives it what it waits for; ``end`` waits for its answer or raises its error.

    Where the second half is a generator each ``end`` waits for the next of its answers.
    """

    def __init__(self, begin: Callable[[], Ready]) -> None:
        """begin: the first half, which needs nothing of the walk (imports, say); returns the second half."""
        self._begin = begin
        self._handed: tuple[object, ...] = ()
        self._answers: Iterator[object] | None = None  # of a generator, where there is no other process
        self._child: multiprocessing.process.BaseProcess | None = None
        if spare_core():
            fork = multiprocessing.get_context("fork")
            self._pipe, inner = fork.Pipe()
            self._child = fork.Process(target=_run, args=(begin, inner, self._pipe), daemon=True)
            sys.stdout.flush()
            gc.freeze()  # what is there now is looked through for garbage no more: in the child that would copy all of it
            self._child.start()
            inner.close()

    def hand(self, *what: object) -> None:
        """Give the errand what it waits for; it must be picklable."""
        if self._child is None:
            self._handed = what
            return
        with contextlib.suppress(BrokenPipeError):  # it has failed already: ``end`` tells how
            self._pipe.send(what)

    def end(self) -> Any:  # noqa: ANN401 - whatever the second half answers
        """Wait for the answer, once, or for the next. Raises whatever the work raised; OutputError where its process was killed."""
        if self._child is None:
            if self._answers is None:
                answer = self._begin()(*self._handed)
                if not isinstance(answer, Generator):
                    return answer
                self._answers = answer
            return next(self._answers)
        try:
            error, answer = self._pipe.recv()
        except EOFError:
            raise OutputError("a process that worked beside this one was killed (out of memory?). Try again, or with one core.") from None
        if error is not None:
            raise error
        return answer

    def stop(self) -> None:
        """Nobody waits for it any more."""
        if self._child is not None:
            self._pipe.close()
            self._child.kill()
            self._child.join()
            gc.unfreeze()


def _run(begin: Callable[[], Ready], pipe: Connection, outer: Connection) -> None:
    alone([outer])
    try:
        ready = begin()
        answer = ready(*pipe.recv())
        answers = answer if isinstance(answer, Generator) else (answer,)
        for one in answers:
            pipe.send((None, one))
    except (EOFError, BrokenPipeError):
        return  # the walk is gone
    except BaseException as raised:
        with contextlib.suppress(BrokenPipeError):
            pipe.send((raised, None))


@contextlib.contextmanager
def errand(begin: Callable[[], Ready]) -> Iterator[Errand]:
    """An errand that never outlives the block."""
    one = Errand(begin)
    try:
        yield one
    finally:
        one.stop()
