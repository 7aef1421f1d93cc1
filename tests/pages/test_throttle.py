from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.records.conftest import prepared
from webapp.pages.throttle import (
    AT_ONE_PLACE,
    FROM_ONE_PLACE,
    MOST_KEYS,
    OF_ONE_NAME,
    WINDOW_S,
    ShopThrottle,
    Throttle,
)
from webapp.records.attempts import Attempts
from webapp.records.errors import StorageFull
from webapp.records.opening import open_records

BEGINNING = dt.datetime(2027, 5, 1, 9, 0, tzinfo=dt.UTC)


@dataclass
class Clock:
    now: float = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(params=["memory", "sqlite", "postgresql"])
def throttle(clock: Clock, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Throttle | ShopThrottle]:
    """That of one worker, and that of all of them in the records."""
    if request.param == "memory":
        yield Throttle(clock)
        return
    url = request.getfixturevalue("postgres_url") if request.param == "postgresql" else None
    records = open_records(tmp_path if url else prepared(tmp_path), url)
    attempts = Attempts(records.storage, lambda: BEGINNING + dt.timedelta(seconds=clock.now))
    yield ShopThrottle(lambda: attempts)
    records.close()


def admitted(throttle: Throttle | ShopThrottle, tries: list[tuple[str, str]]) -> int:
    return sum(throttle.admits(name, place) for name, place in tries)


def test_a_name_may_be_tried_five_times_from_one_place(throttle: Throttle | ShopThrottle) -> None:
    assert admitted(throttle, [("ann", "here")] * 30) == AT_ONE_PLACE == 5
    assert throttle.admits("ann", "there") and throttle.admits("bo", "here")


def test_a_name_may_be_tried_twenty_times_from_everywhere(throttle: Throttle | ShopThrottle) -> None:
    assert admitted(throttle, [("ann", f"place {n}") for n in range(200)]) == OF_ONE_NAME == 20
    assert throttle.admits("bo", "place 1")


def test_a_place_may_try_fifty_times_under_any_names(throttle: Throttle | ShopThrottle) -> None:
    assert admitted(throttle, [(f"name {n}", "here") for n in range(200)]) == FROM_ONE_PLACE == 50
    assert throttle.admits("name 1", "there")


def test_after_a_quarter_of_an_hour_it_may_be_tried_again(throttle: Throttle | ShopThrottle, clock: Clock) -> None:
    assert admitted(throttle, [("ann", "here")] * 6) == 5
    clock.now = WINDOW_S - 1
    assert not throttle.admits("ann", "here")
    clock.now = WINDOW_S + 1
    assert admitted(throttle, [("ann", "here")] * 6) == 5


def test_who_proves_the_name_is_not_held_up(throttle: Throttle | ShopThrottle) -> None:
    for _ in range(3 * FROM_ONE_PLACE):
        assert throttle.admits("ann", "here")
        throttle.forgive("ann", "here")


def test_proving_one_name_does_not_forgive_guesses_at_another(throttle: Throttle | ShopThrottle) -> None:
    for _ in range(10):
        throttle.admits("ann", "here")
        throttle.admits("mine", "here")
        throttle.forgive("mine", "here")
    assert not throttle.admits("ann", "here")


def test_strangers_cannot_fill_the_memory(clock: Clock) -> None:
    throttle = Throttle(clock)
    admitted(throttle, [(f"name {n}", f"place {n}") for n in range(MOST_KEYS)])
    assert len(throttle._attempts) == MOST_KEYS


def test_workers_share_what_they_count(tmp_path: Path) -> None:
    workers = [open_records(tmp_path) for _ in range(3)]
    throttles = [ShopThrottle(lambda each=each: each.attempts) for each in workers]
    assert sum(throttles[n % 3].admits("ann", "here") for n in range(30)) == AT_ONE_PLACE
    for each in workers:
        each.close()


def test_while_the_records_take_nothing_a_worker_counts_by_itself() -> None:
    def full() -> Attempts:
        raise StorageFull()

    throttle = ShopThrottle(full)
    assert admitted(throttle, [("ann", "here")] * 30) == AT_ONE_PLACE
    throttle.forgive("ann", "here")
    assert throttle.admits("ann", "here")
