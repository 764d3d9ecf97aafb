"""Ending a search early: what was best so far is then the answer.

Whoever starts a search may give it an event in `stoppable`; every `Effort` made inside
looks at it. So no stage has to hand it on, and without one nothing but work counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Protocol


class Event(Protocol):
    """What `threading.Event` and `multiprocessing.Event` have in common here."""

    def is_set(self) -> bool:
        """Whether the end was asked for."""


_EVENT: ContextVar[Event | None] = ContextVar("_EVENT", default=None)


@contextmanager
def stoppable(event: Event) -> Iterator[None]:
    """Let searches inside end as soon as the event is set."""
    token = _EVENT.set(event)
    try:
        yield
    finally:
        _EVENT.reset(token)


def stop_at(event: Event) -> None:
    """Let all searches of this process end as soon as the event is set."""
    _EVENT.set(event)


def stopped() -> bool:
    """Whether the searches running here are to end."""
    event = _EVENT.get()
    return event is not None and event.is_set()
