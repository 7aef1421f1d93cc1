"""The lines of the case files, and a pantry of the shipped data."""

from __future__ import annotations

import csv
from functools import lru_cache
from pathlib import Path

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.pantry import Pantry

CASES = Path(__file__).parents[1] / "cases"


def cases(file: str) -> list[dict[str, str]]:
    with (CASES / file).open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


@lru_cache(maxsize=1)
def pantry() -> Pantry:
    return Pantry.of(load_catalogue(Config().data_dir))
