from __future__ import annotations

import pytest

from tests.faults.server import MOST_MB, running, tricks, try_all

# What waits for the server's patience to end, or keeps it busy, is tried by the program alone.
SLOW = ("says 1000", "chunk that never", "chunked, chunked", "letter by letter", "never read", "450 clients")


def test_lies_floods_and_tricks_are_answered_soon_and_leave_the_server_well() -> None:
    chosen = tuple(trick for trick in tricks() if not any(slow in trick.name for slow in SLOW))
    with running() as server:
        rest = server.resident_mb()
        tried = list(try_all(server, chosen))
        grown = server.resident_mb() - rest
    assert [one for one in tried if not one.is_well] == []
    assert grown < MOST_MB


def test_every_trick_has_a_name_of_its_own() -> None:
    names = [trick.name for trick in tricks()]
    assert len(set(names)) == len(names) and all(any(slow in name for name in names) for slow in SLOW)


@pytest.mark.parametrize("name", ["passed on by a server in front", "Forwarded"])
def test_nobody_asks_through_a_server_in_front_where_there_are_no_accounts(name: str) -> None:
    trick = next(trick for trick in tricks() if trick.name == name)
    assert trick.allowed == {"403"}
