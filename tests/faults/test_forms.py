from __future__ import annotations

from pathlib import Path

from tests.faults.fields import described
from tests.faults.forms import Walk


def test_no_form_and_no_address_fails_or_loses_what_was_typed(tmp_path: Path) -> None:
    seen = list(Walk(tmp_path, seed=11).run(240))
    assert [failure for route in seen for failure in route.failures] == []
    assert sum(sum(route.statuses.values()) for route in seen) > 200


def test_every_filling_is_of_a_route_that_there_is(tmp_path: Path) -> None:
    routes = {f"{method} {rule.rule}" for rule, method in Walk(tmp_path, seed=1).routes()}
    assert described() <= routes
