"""What has been worked out, kept as long as there is room."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Cache(Generic[Key, Value]):
    """Values by their keys, up to so many bytes: those unused for longest go first."""

    def __init__(self, most_bytes: int) -> None:
        self._most = most_bytes
        self._bytes = 0
        self._held: OrderedDict[Key, tuple[Value, int]] = OrderedDict()

    def get(self, key: Key) -> Value | None:
        """Return the value, or None where it is not held."""
        found = self._held.get(key)
        if found is None:
            return None
        self._held.move_to_end(key)
        return found[0]

    def __contains__(self, key: Key) -> bool:
        """Whether a value is held; asking does not count as using it."""
        return key in self._held

    def put(self, key: Key, value: Value, size_bytes: int) -> None:
        """Hold a value; the newest is held whatever its size."""
        self._held[key] = value, size_bytes
        self._bytes += size_bytes
        while self._bytes > self._most and len(self._held) > 1:
            _, (_, gone) = self._held.popitem(last=False)
            self._bytes -= gone
