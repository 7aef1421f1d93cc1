from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask

from tests.records.samples import content
from webapp import create_app
from webapp.advice.brief import Brief
from webapp.config import Config
from webapp.pages.shop import records_if_any, records_of
from webapp.pages.shop_advice import SETTING, ShopAdvice, use_learnt
from webapp.records.errors import StorageMissing
from webapp.records.outcomes import Note
from webapp.records.storage import FILE_NAME
from webapp.units import METRIC

BRIEF = Brief(setting="shade", air_high_c=29, piping="none")
COAT = "swiss-butter"


@pytest.fixture
def shop(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    made = create_app(Config(records_dir=tmp_path / "kept"), app.extensions["catalogue"])
    yield made
    if (found := records_if_any(made)) is not None:
        found.close()


def advice_of(shop: Flask) -> ShopAdvice:
    found = shop.extensions["shop advice"]
    assert isinstance(found, ShopAdvice)
    return found


def learn(shop: Flask, coat_c: float = 27.5, events: int = 6) -> None:
    records = records_of(shop)
    id_ = records.consultations.add(content()).id
    for _ in range(events):
        seen = Note(
            COAT, "smooth", {}, softened_h=2.0, coat_c=coat_c, coat_low_c=coat_c - 0.5, coat_high_c=coat_c + 0.5
        )
        records.outcomes.add(id_, seen)


def test_an_advice_makes_no_records(shop: Flask) -> None:
    assert advice_of(shop)(BRIEF, METRIC).learnt == []
    assert not (shop.extensions["config"].records_dir / FILE_NAME).exists()


def test_notes_alone_change_nothing(shop: Flask) -> None:
    before = advice_of(shop)(BRIEF, METRIC)
    learn(shop)
    assert advice_of(shop)(BRIEF, METRIC) == before


def test_what_is_switched_on_is_used_and_told_until_it_is_switched_off(shop: Flask) -> None:
    before = advice_of(shop)(BRIEF, METRIC)
    learn(shop)
    use_learnt(records_of(shop), COAT, is_on=True)
    (told,) = advice_of(shop)(BRIEF, METRIC).learnt
    assert (told.formulation, told.events) == (COAT, 6)
    page = shop.test_client().get("/advice?setting=shade&air_high_c=29&piping=none").get_data(as_text=True)
    assert "From your own events" in page
    assert "Swiss, all butter is taken to soften at" in page
    use_learnt(records_of(shop), COAT, is_on=False)
    assert advice_of(shop)(BRIEF, METRIC) == before


def test_the_api_and_every_page_answer_by_the_same_service(shop: Flask) -> None:
    learn(shop)
    use_learnt(records_of(shop), COAT, is_on=True)
    given = shop.test_client().post("/api/advice", json={"setting": "shade", "air_high_c": 29, "piping": "none"})
    assert [row["formulation"] for row in given.get_json()["learnt"]] == [COAT]
    taught, ours = advice_of(shop).service(), shop.extensions["service"]
    butter = ours.catalogue.formulations[COAT]
    assert taught.softness.of(butter).softens.mean() != pytest.approx(ours.softness.of(butter).softens.mean(), abs=0.05)


def test_a_note_more_counts_at_once(shop: Flask) -> None:
    learn(shop, events=1)
    use_learnt(records_of(shop), COAT, is_on=True)
    first = advice_of(shop)(BRIEF, METRIC).learnt
    learn(shop, events=3)
    second = advice_of(shop)(BRIEF, METRIC).learnt
    assert (first[0].events, second[0].events) == (1, 4)
    assert second[0].high_c - second[0].low_c < first[0].high_c - first[0].low_c


def test_another_shop_learns_nothing_of_it(shop: Flask, app: Flask, tmp_path: Path) -> None:
    learn(shop)
    use_learnt(records_of(shop), COAT, is_on=True)
    other = create_app(Config(records_dir=tmp_path / "other"), app.extensions["catalogue"])
    assert advice_of(other)(BRIEF, METRIC).learnt == []


def test_a_formulation_without_notes_stays_ours_though_it_is_switched_on(shop: Flask) -> None:
    use_learnt(records_of(shop), COAT, is_on=True)
    assert advice_of(shop)(BRIEF, METRIC).learnt == []


@pytest.mark.parametrize("kept", [5, None, "swiss-butter", [None, ["a"]], {"swiss-butter": True}])
def test_a_setting_that_is_no_list_of_formulations_switches_nothing_on(shop: Flask, kept: object) -> None:
    # Seen to fail, all but the text: every page with an advice gave 500, or used what nobody had switched on.
    learn(shop)
    records_of(shop).settings.put(SETTING, kept)
    assert advice_of(shop)(BRIEF, METRIC).learnt == []


def test_records_that_cannot_be_read_leave_the_advice_ours(shop: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    learn(shop)
    use_learnt(records_of(shop), COAT, is_on=True)

    def fail(*_: object) -> None:
        raise StorageMissing("gone")

    monkeypatch.setattr(type(records_of(shop).settings), "get", fail)
    assert advice_of(shop)(BRIEF, METRIC).learnt == []
