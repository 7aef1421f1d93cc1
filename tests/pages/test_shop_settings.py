from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.open_shop import CLIENT, OWNER, PASSWORD, STAFF, kept, log_in, open_shop, visitor
from tests.pages.page import Page, PageClient, check_page
from tests.pages.sample_advice import sample_advisor
from tests.pages.visiting import hidden_field, send
from webapp import create_app
from webapp.config import Config
from webapp.pages.shop import records_of
from webapp.pages.shop_settings import LARGEST_ARCHIVE
from webapp.records.columns import utc_now
from webapp.records.prices import PackPrice, PriceList

GARDEN = "setting=shade&air_high_c=31&hold_hours=3&tiers-0-width_cm=20"


@pytest.fixture
def shop(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    made = open_shop(tmp_path / "shop", app.extensions["catalogue"])
    yield made
    records_of(made).close()


@pytest.fixture
def owner(shop: Flask) -> FlaskClient:
    return visitor(shop, OWNER)


@pytest.fixture
def fresh(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    """Another installation on this machine, with nothing in it."""
    made = create_app(Config(records_dir=tmp_path / "fresh"), app.extensions["catalogue"], sample_advisor)
    yield made
    records_of(made).close()


def shown(response: object) -> Page:
    page = Page(response)
    check_page(page)
    return page


def archive_of(owner: FlaskClient) -> bytes:
    with owner.get("/shop/archive.zip") as response:
        assert response.status_code == 200
        return response.get_data()


def sent_archive(browser: FlaskClient, archive: bytes) -> object:
    fields = hidden_field(browser) | {"archive": (io.BytesIO(archive), "kept.zip")}
    return browser.post("/shop/archive", data=fields)


def test_an_owner_finds_the_shop_and_the_staff_do_not(shop: Flask, owner: FlaskClient, client: PageClient) -> None:
    assert 'href="/shop"' in owner.get("/families").get_data(as_text=True)
    assert 'href="/shop"' not in visitor(shop, STAFF).get("/families").get_data(as_text=True)
    assert "The shop" in client.get("/families").text()
    for address in ("/shop", "/shop/prices"):
        shown(owner.get(address))
        assert visitor(shop, STAFF).get(address).status_code == 403


def test_everything_goes_out_and_comes_back_byte_for_byte(shop: Flask, owner: FlaskClient, fresh: Flask) -> None:
    records_of(shop).prices.put(PriceList({"butter": PackPrice(454.0, 5.65)}, "GBP"))
    archive, before = archive_of(owner), kept(shop)
    response = sent_archive(fresh.test_client(), archive)
    assert response.location == "/shop?done=imported"
    assert kept(fresh) == before
    assert archive_of(fresh.test_client()) == archive
    assert CLIENT in fresh.test_client().get("/consultations").get_data(as_text=True)


def test_an_archive_is_downloaded_by_its_day_and_kept_by_no_cache(owner: FlaskClient) -> None:
    with owner.get("/shop/archive.zip") as response:
        assert "no-store" in response.headers["Cache-Control"]
        assert response.headers["Content-Disposition"].startswith("attachment; filename=coat-and-filling-20")
        assert zipfile.ZipFile(io.BytesIO(response.get_data())).testzip() is None


def test_an_archive_goes_over_no_records(shop: Flask, owner: FlaskClient) -> None:
    archive, before = archive_of(owner), kept(shop)
    page = shown(sent_archive(owner, archive))
    assert page.status == 422
    assert "There are records already" in page.text() and "Nothing was changed" in page.text()
    assert kept(shop) == before


@pytest.mark.parametrize("bad", [b"", b"no zip at all", b"PK\x03\x04" + bytes(200)])
def test_what_is_no_archive_is_told_at_its_field(fresh: Flask, bad: bytes) -> None:
    page = shown(sent_archive(fresh.test_client(), bad))
    assert page.status == 422 and "no archive of records" in page.text()
    assert page.by_id("archive-error") is not None
    assert records_of(fresh).consultations.list().total == 0


def test_half_an_archive_changes_nothing(owner: FlaskClient, fresh: Flask) -> None:
    archive = archive_of(owner)
    page = shown(sent_archive(fresh.test_client(), archive[: len(archive) // 2]))
    assert page.status == 422 and "damaged" in page.text()
    assert records_of(fresh).consultations.list().total == 0


def test_no_file_is_asked_for(fresh: Flask) -> None:
    page = shown(send(fresh.test_client(), "/shop/archive"))
    assert page.status == 422 and "Choose the archive" in page.text()


def test_a_file_that_is_too_large_is_refused_with_what_would_do(fresh: Flask) -> None:
    browser = fresh.test_client()
    hidden_field(browser)
    body = b"--x\r\n" + bytes(LARGEST_ARCHIVE)
    page = shown(browser.post("/shop/archive", data=body, content_type="multipart/form-data; boundary=x"))
    assert page.status == 413
    assert "at most 32 MB" in page.text() and "command" in page.text()


def test_an_archive_may_be_larger_than_any_other_form(fresh: Flask) -> None:
    page = shown(sent_archive(fresh.test_client(), bytes(400_000)))
    assert page.status == 422 and "no archive of records" in page.text()


def test_only_the_archive_may_be_that_large(shop: Flask, owner: FlaskClient) -> None:
    fields = hidden_field(owner) | {"archive": (io.BytesIO(bytes(200_000)), "kept.zip")}
    assert owner.post("/shop/prices", data=fields).status_code == 413
    staff = visitor(shop, STAFF)
    fields = hidden_field(staff, "/password") | {"archive": (io.BytesIO(bytes(200_000)), "kept.zip")}
    assert staff.post("/shop/archive", data=fields).status_code == 403


def test_in_a_new_shop_the_accounts_of_the_archive_count_from_then_on(
    app: Flask, tmp_path: Path, owner: FlaskClient
) -> None:
    another = open_shop(tmp_path / "another", app.extensions["catalogue"])
    records = records_of(another)
    records.consultations.delete(another.extensions["consultation_id"])
    records.consultations.purge(utc_now() + dt.timedelta(days=1))
    browser = visitor(another, OWNER)
    assert sent_archive(browser, archive_of(owner)).status_code == 303
    assert browser.get("/shop").location.startswith("/log-in")
    assert log_in(visitor(another), OWNER, PASSWORD).status_code == 303
    records.close()


def test_a_backup_is_made_and_listed_with_its_time_and_size(shop: Flask, owner: FlaskClient) -> None:
    assert "No backup has been made yet" in shown(owner.get("/shop")).text()
    response = send(owner, "/shop/backups")
    assert response.status_code == 303
    (backup,) = records_of(shop).backups.made()
    text = shown(owner.get("/shop")).text()
    assert backup.name in text and f"{-(-backup.stat().st_size // 1024)} kB" in text


def prices(**changed: str) -> dict[str, str]:
    return {"currency": "GBP", "pack-butter": "454", "cost-butter": "5,65"} | changed


def test_prices_are_kept_and_shown_as_they_were_typed(shop: Flask, owner: FlaskClient) -> None:
    assert send(owner, "/shop/prices", prices()).location == "/shop/prices?done=prices"
    assert records_of(shop).prices.get() == PriceList({"butter": PackPrice(454.0, 5.65)}, "GBP")
    page = shown(owner.get("/shop/prices"))
    assert (page.value("pack-butter"), page.value("cost-butter")) == ("454", "5.65")
    send(owner, "/shop/prices", {"currency": ""})
    assert records_of(shop).prices.get() == PriceList({}, None)


def test_a_us_owner_types_packs_in_ounces_and_a_metric_one_reads_them_in_grams(shop: Flask, owner: FlaskClient) -> None:
    owner.set_cookie("units", "us", domain="cakes.example")
    page = shown(owner.get("/shop/prices"))
    assert placeholder(page, "pack_oz-butter") == "8.8" and "1 qt weighs" in page.text()
    wrong = {"pack_oz-butter": "a pound", "cost-butter": "5", "pack_oz-salt": "26"}
    refused = shown(send(owner, "/shop/prices", wrong))
    assert refused.status == 422 and refused.by_id("pack_oz-butter-error") is not None
    assert (refused.value("pack_oz-butter"), refused.value("pack_oz-salt")) == ("a pound", "26")
    assert "as in 8.8 and 3.20" in refused.text()
    typed = {"pack_oz-butter": "16", "cost-butter": "5", "pack-eggs": "18", "cost-eggs": "4"}
    assert send(owner, "/shop/prices", typed).status_code == 303
    assert records_of(shop).prices.get() == PriceList({"butter": PackPrice(453.6, 5), "eggs": PackPrice(18, 4)}, None)
    assert shown(owner.get("/shop/prices")).value("pack_oz-butter") == "16"
    owner.set_cookie("units", "metric", domain="cakes.example")
    assert shown(owner.get("/shop/prices")).value("pack-butter") == "453.6"


def placeholder(page: Page, id_: str) -> str | None:
    return page.by_id(id_).get("placeholder")


def test_a_price_has_its_currency_and_its_hundredths(owner: FlaskClient) -> None:
    page = shown(owner.get("/shop/prices"))
    assert placeholder(page, "cost-whole-milk") == "1.40"
    assert "Price (EUR) : Whole milk" in page.text()
    send(owner, "/shop/prices", prices(**{"cost-butter": "5.6", "pack-salt": "500", "cost-salt": "0.875"}))
    page = shown(owner.get("/shop/prices"))
    assert (page.value("cost-butter"), page.value("cost-salt")) == ("5.60", "0.875")
    assert "Price (GBP) : Whole milk" in page.text()
    send(owner, "/shop/prices", {"currency": "JPY", "pack-butter": "450", "cost-butter": "980"})
    assert shown(owner.get("/shop/prices")).value("cost-butter") == "980"


def test_what_is_poured_tells_what_a_litre_weighs(owner: FlaskClient) -> None:
    text = shown(owner.get("/shop/prices")).text().replace("\xa0", " ")
    assert "Whole milk 1 L weighs about 1030 g" in text
    assert "Light corn syrup 1 L weighs about 1440 g" in text
    assert "butter 1 L" not in text and "sugar 1 L" not in text and "Eggs 1 L" not in text


def test_commands_stand_apart_for_whoever_runs_the_machine(owner: FlaskClient) -> None:
    send(owner, "/shop/backups")
    page = shown(owner.get("/shop"))
    folded = [page.text(each) for each in page.all("details")]
    assert page.text().count("python -m webapp") == sum(each.count("python -m webapp") for each in folded) == 2
    assert "digests" not in page.text().replace(" ".join(folded[-1:]), "")


@pytest.mark.parametrize(
    ("typed", "element"),
    [
        ({"pack-butter": "0"}, "pack-butter"),
        ({"cost-butter": "cheap"}, "pack-butter"),
        ({"cost-butter": "-1"}, "pack-butter"),
        ({"pack-butter": "99999999"}, "pack-butter"),
        ({"currency": "shells"}, "currency"),
    ],
)
def test_a_price_that_cannot_be_is_told_at_its_field_and_all_stays(
    shop: Flask, owner: FlaskClient, typed: dict[str, str], element: str
) -> None:
    page = shown(send(owner, "/shop/prices", prices(**{"cost-eggs": "3.45"}, **typed)))
    assert page.status == 422 and page.by_id(f"{element}-error") is not None
    assert page.value("cost-eggs") == "3.45"
    for name, text in typed.items():
        assert name == "currency" or page.value(name) == text
    assert records_of(shop).prices.get() == PriceList({}, None)


def test_every_plan_of_the_shop_begins_with_its_prices(shop: Flask, owner: FlaskClient) -> None:
    staff = visitor(shop, STAFF)

    def shopping(more: str = "") -> Page:
        with staff.get(f"/plan/shopping?{GARDEN}{more}", follow_redirects=True) as response:
            return shown(response)

    before = shopping()
    assert placeholder(before, "cost-butter") not in (None, "99.00") and "EUR" in before.text()
    send(owner, "/shop/prices", {"currency": "GBP", "pack-butter": "500", "cost-butter": "99"})
    page = shopping()
    assert (page.value("pack-butter"), page.value("cost-butter")) == ("500", "99.00")
    assert "GBP" in page.text() and "EUR" not in page.text().replace("GBP (usual) EUR USD", "")
    own = shopping("&price=butter:250:7&currency=USD")
    assert (own.value("pack-butter"), own.value("cost-butter")) == ("250", "7.00")
    assert "Cost of the packs" in own.text() and "USD" in own.text()


def test_the_address_of_a_plan_says_only_what_is_not_the_shops(shop: Flask, owner: FlaskClient) -> None:
    send(owner, "/shop/prices", {"pack-butter": "500", "cost-butter": "99"})
    typed = {"pack-butter": "500", "cost-butter": "99", "pack-powdered-sugar": "1000", "cost-powdered-sugar": "8"}
    query = GARDEN + "".join(f"&{name}={text}" for name, text in typed.items())
    address = owner.get(f"/plan/shopping?{query}").location
    assert "powdered-sugar" in address and "butter" not in address


def test_a_comparison_costs_what_the_shop_pays(shop: Flask, owner: FlaskClient) -> None:
    id = shop.extensions["consultation_id"]
    copy = records_of(shop).consultations.duplicate(id).id
    address = f"/compare?of={id}&of={copy}"
    assert "EUR" in shown(owner.get(address)).text()
    send(owner, "/shop/prices", prices())
    assert "GBP" in shown(owner.get(address)).text()


def test_a_price_of_what_is_not_bought_any_more_is_left_alone(shop: Flask, owner: FlaskClient) -> None:
    records_of(shop).prices.put(PriceList({"unobtainium": PackPrice(1.0, 1.0)}, None))
    with owner.get(f"/plan/shopping?{GARDEN}", follow_redirects=True) as response:
        assert response.status_code == 200


def test_an_advice_alone_makes_no_records_also_on_the_plan(fresh: Flask, tmp_path: Path) -> None:
    with fresh.test_client().get(f"/plan/shopping?{GARDEN}", follow_redirects=True) as response:
        assert response.status_code == 200
    assert not (tmp_path / "fresh").exists()
