from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from typing import Any

import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.contract import Advice
from webapp.advice.service import Advisor, Record
from webapp.advice.wording import write_advice
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Catalogue
from webapp.config import Config
from webapp.units import METRIC


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load_catalogue(Config().data_dir)


@pytest.fixture(scope="session")
def advisor(catalogue: Catalogue) -> Advisor:
    return Advisor(catalogue)


@pytest.fixture(scope="session")
def today() -> dt.date:
    return TODAY


@pytest.fixture(scope="session")
def record(advisor: Advisor) -> Callable[..., Record]:
    """The record of a brief given by its fields; the same fields are worked out once."""
    known: dict[str, Record] = {}

    def made(**fields: Any) -> Record:
        key = json.dumps(fields, sort_keys=True)
        if key not in known:
            known[key] = advisor.advise(asked(**fields), TODAY)
        return known[key]

    return made


@pytest.fixture(scope="session")
def advice(record: Callable[..., Record]) -> Callable[..., Advice]:
    """The advice on a brief given by its fields, in metric measures."""

    def written(**fields: Any) -> Advice:
        return write_advice(record(**fields), METRIC)

    return written
