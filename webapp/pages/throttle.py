"""How often a log-in may be tried, whichever worker it reaches."""

from __future__ import annotations

import datetime as dt
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from threading import Lock

from webapp.records.attempts import Attempts
from webapp.records.errors import StorageError

# Our own limits; NIST SP 800-63B (2017), 5.2.2, allows at most 100 failures in a row on one account.
WINDOW_S = 15 * 60.0
AT_ONE_PLACE, OF_ONE_NAME, FROM_ONE_PLACE = 5, 20, 50
MOST_KEYS = 10_000  # bounds what strangers can make this remember


class ShopThrottle:
    """Counts in the records, for all workers together; each for itself only while the records take nothing."""

    def __init__(self, attempts: Callable[[], Attempts]) -> None:
        self._attempts, self._spare = attempts, Throttle()

    def admits(self, name: str, place: str) -> bool:
        """Count an attempt before it is checked, so that many at once are not checked first; say if it may be."""
        limits = [(_written(key), most) for key, most in _limits(name, place)]
        try:
            return self._attempts().admit(limits, dt.timedelta(seconds=WINDOW_S))
        except StorageError:
            return self._spare.admits(name, place)

    def forgive(self, name: str, place: str) -> None:
        """Forget what was tried from this place under a name that has now been proved."""
        both, *others = [_written(key) for key, _ in _limits(name, place)]
        try:
            self._attempts().forgive(both, others)
        except StorageError:
            self._spare.forgive(name, place)


def _written(key: tuple[str, ...]) -> str:
    return "\n".join(part.replace("\n", " ") for part in key)


class Throttle:
    """Counts attempts by name and by place from where they come; one that succeeds counts no longer."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._attempts: OrderedDict[tuple[str, ...], list[float]] = OrderedDict()

    def admits(self, name: str, place: str) -> bool:
        """Count an attempt before it is checked, so that many at once are not checked first; say if it may be."""
        with self._lock:
            limits = _limits(name, place)
            kept = [self._recent(key) for key, _ in limits]
            if any(len(found) >= most for found, (_, most) in zip(kept, limits, strict=True)):
                return False
            for found in kept:
                found.append(self._clock())
        return True

    def forgive(self, name: str, place: str) -> None:
        """Forget what was tried from this place under a name that has now been proved."""
        with self._lock:
            self._attempts.pop(("both", name, place), None)
            for key, _ in _limits(name, place)[1:]:
                self._recent(key)[-1:] = []

    def _recent(self, key: tuple[str, ...]) -> list[float]:
        since = self._clock() - WINDOW_S
        self._attempts[key] = [moment for moment in self._attempts.get(key, []) if moment > since]
        self._attempts.move_to_end(key)
        while len(self._attempts) > MOST_KEYS:
            self._attempts.popitem(last=False)
        return self._attempts[key]


def _limits(name: str, place: str) -> Sequence[tuple[tuple[str, ...], int]]:
    return (("both", name, place), AT_ONE_PLACE), (("name", name), OF_ONE_NAME), (("place", place), FROM_ONE_PLACE)
