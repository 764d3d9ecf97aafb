"""Large work done beside other work, in a process of its own, where a second core is free for it.

The answer is the same either way, for all work here is: same input, same output.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from multiprocessing import get_context
from typing import Any, Protocol, TypeVar

from wirepath.nesting.stopping import stop_at

Answer = TypeVar("Answer")


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


class HandOver(Protocol):
    """Hands work over, and returns what waits for its answer."""

    def __call__(self, work: Callable[..., Answer], *given: Any) -> Callable[[], Answer]:
        """Have `work` done with what is given."""


@contextmanager
def beside(*, when: bool) -> Iterator[HandOver]:
    """Start another process that does, one after the other, the works handed over to it.

    Unless `when`, or with one core only, each is done here, once its answer is asked for. What
    is given and answered must be picklable, and so must what is raised. The other process starts
    afresh and imports the script that was started, so that must guard its start by `__name__`.
    It is ended when the block is left.
    """
    if not when or cores() < 2:
        yield lambda work, *given: partial(work, *given)
        return
    with get_context("spawn").Pool(1, initializer=_begin) as pool:
        yield lambda work, *given: pool.apply_async(work, given).get


def _begin() -> None:
    """Take Ctrl-C, which reaches both processes, as the end of a search and no more."""
    end = threading.Event()
    signal.signal(signal.SIGINT, lambda number, frame: end.set())
    stop_at(end)
