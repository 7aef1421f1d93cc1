"""Ask the interface for programs what its own document allows, and what it forbids: schemathesis, in process.

Run ``python -m tests.faults.interface [examples] [seed]``. Every answer must be one that the document describes.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import schemathesis
from flask import Flask
from hypothesis import HealthCheck, Phase, given, seed, settings
from schemathesis import APIOperation, Case, CheckFunction, GenerationMode
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.core.result import Ok
from schemathesis.specs.openapi.checks import positive_data_acceptance

from webapp import create_app
from webapp.config import Config

DOCUMENT = "/api/schema"
BASE = "http://localhost"
MODES = (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
# What is wrong with a brief only as a whole, or by a list too long for a document (cities, time zones, what a recipe's
# line can say), is refused though the document allows it. That is counted, and no failure; every other check is held.
NO_FAILURE: list[CheckFunction] = [positive_data_acceptance]
# Half of what is asked is about the brief, whose shape is by far the richest; the document is what all of it is from.
SHARES = {"advise": 0.5, "substitute": 0.25, "substituteByAddress": 0.25}


@dataclass
class Outcome:
    """What the examples of one operation met: how many, answered how, how long of a processor the longest took [s]."""

    operation: str
    mode: str
    statuses: Counter[int] = field(default_factory=Counter)
    refused_though_allowed: int = 0
    slowest_s: float = 0.0
    failures: list[str] = field(default_factory=list)

    @property
    def examples(self) -> int:
        """How many requests were answered."""
        return sum(self.statuses.values())


def ask_all(app: Flask, examples: int, first_seed: int) -> Iterator[Outcome]:
    """Ask each operation for its share, half of it allowed and half of it forbidden."""
    document = schemathesis.openapi.from_wsgi(DOCUMENT, as_here(app))
    for operation in operations(document):
        share = SHARES[operation.definition.raw["operationId"]] / len(MODES)
        for mode in MODES:
            yield _ask(operation, mode, math.ceil(share * examples), first_seed)


def operations(document: schemathesis.BaseSchema) -> Iterator[APIOperation[Any, Any, Any, Any]]:
    """Give all operations; one that the document describes badly is a fault."""
    for result in document.get_all_operations():
        assert isinstance(result, Ok), str(result.err())
        yield result.ok()


def as_here(app: Flask) -> Callable[[dict[str, Any], Any], Any]:
    """Say where a request comes from, as a server would: schemathesis leaves that out, and nobody may ask so."""
    return lambda environ, start: app({"REMOTE_ADDR": "127.0.0.1", **environ}, start)


def _ask(operation: APIOperation[Any, Any, Any, Any], mode: GenerationMode, count: int, first_seed: int) -> Outcome:
    outcome = Outcome(operation.label, mode.value)
    run = first_seed
    while outcome.examples < count:  # a run ends early where its strategy has no more to offer
        before = outcome.examples
        _run(operation, mode, count - before, run, outcome)
        run += 1
        if outcome.examples == before:
            outcome.failures.append("nothing could be asked")
            break
    return outcome


def _run(
    operation: APIOperation[Any, Any, Any, Any], mode: GenerationMode, count: int, this_seed: int, outcome: Outcome
) -> None:
    @seed(this_seed)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def ask(case: Case[Any]) -> None:
        begin = time.process_time()
        answer = case.call(base_url=BASE)
        outcome.slowest_s = max(outcome.slowest_s, time.process_time() - begin)
        outcome.statuses[answer.status_code] += 1
        outcome.refused_though_allowed += mode is GenerationMode.POSITIVE and answer.status_code >= 400
        try:
            case.validate_response(answer, excluded_checks=NO_FAILURE)
        except FailureGroup as group:
            outcome.failures += [f"{_told(failure)} <- {case.as_curl_command()[:400]}" for failure in group.exceptions]

    ask()


def _told(failure: Exception) -> str:
    title = failure.title if isinstance(failure, Failure) else type(failure).__name__
    return f"{title}: {' '.join(str(failure).split())[:300]}"


def main() -> None:
    """Print how many were asked, and every answer that the document does not describe."""
    examples = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    first_seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    total, failures = 0, list[str]()
    columns = f"{'operation':28}{'asked':>10}{'examples':>10}{'failures':>10}{'slowest s':>11}"
    print(f"{columns}{'refused though allowed':>24}  answers", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        for outcome in ask_all(create_app(Config(records_dir=Path(folder))), examples, first_seed):
            told = ", ".join(f"{status}: {count}" for status, count in sorted(outcome.statuses.items()))
            row = f"{outcome.operation:28}{outcome.mode:>10}{outcome.examples:10}{len(outcome.failures):10}"
            print(f"{row}{outcome.slowest_s:11.2f}{outcome.refused_though_allowed:24}  {told}", flush=True)
            total, failures = total + outcome.examples, failures + outcome.failures
    print(f"{total} examples, {len(failures)} failures")
    print("\n".join(dict.fromkeys(failures[:50])))
    sys.exit(bool(failures))


if __name__ == "__main__":
    main()
