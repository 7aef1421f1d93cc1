from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest

from tests.faults.data_files import Trial
from tests.faults.spoiling import WAYS, Spoilt, written
from webapp.config import Config


@pytest.fixture(scope="module")
def trial(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Trial]:
    yield Trial(tmp_path_factory.mktemp("spoilt"), Config().data_dir)


def test_a_spoilt_file_is_refused_by_name_and_place_or_works_on_every_page(trial: Trial) -> None:
    found = list(trial.run(60, seed=20))
    assert [one for one in found if one.became == "other"] == []
    assert Counter(one.became for one in found)["refused with its place"] > 30


def test_every_file_can_be_spoilt_in_a_way(trial: Trial) -> None:
    assert {sheet.table.file for sheet in trial.sheets.values()} == {
        file.name for file in Config().data_dir.glob("*.csv")
    }
    assert len(WAYS) == len({way.__name__ for way in WAYS})


@pytest.mark.parametrize("file", ["criteria.csv", "rules.csv"])
def test_a_row_that_pages_cannot_do_without_is_missed(trial: Trial, file: str) -> None:
    sheet = trial.sheets[file]
    rows = [row for row in sheet.rows if row[0] not in ("heat", "egg-cooking")]
    assert trial.judge(sheet, WAYS[0], Spoilt(written(rows), "refused")).became == "refused with its place"


def test_a_fault_that_is_let_through_would_be_seen(trial: Trial) -> None:
    sheet = trial.sheets["families.csv"]
    assert trial.judge(sheet, WAYS[0], Spoilt(sheet.content, "refused")).became == "other"
