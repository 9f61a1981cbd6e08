"""Parts of pages kept in memory while nothing that they show has changed.

A round is read far more often than it changes. A kept part is found by everything that it shows (the key), so
there is nothing to throw away when something changes: the old part is no longer asked for, and makes room in time.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Part = TypeVar("Part")


class KeptParts(Generic[Part]):
    """The parts that were asked for last, at most so many."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[Hashable, Part] = OrderedDict()
        self._lock = Lock()

    def __contains__(self, key: Hashable) -> bool:
        with self._lock:
            return key in self._kept

    def get(self, key: Hashable, make: Callable[[], Part]) -> Part:
        """The part of this key, made if it is not there. Two threads may make the same part; either is as good."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        part = make()
        with self._lock:
            self._kept[key] = part
            while len(self._kept) > self.most:
                self._kept.popitem(last=False)
        return part
