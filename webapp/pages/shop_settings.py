"""The shop itself, for its owners: its packs, prices and currency, its backups, and all it keeps as one archive."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass

from flask import Blueprint, Flask, make_response, redirect, render_template, request, send_file
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.wrappers import Response

from webapp.advice.kitchen_plan import Pack, usual_packs
from webapp.advice.plan_options import PlanOptions, read_options
from webapp.catalogue.model import Catalogue
from webapp.errors import BriefError
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_address import number, plain
from webapp.pages.guard import may
from webapp.pages.pack_fields import COST, PACK, PriceRow, in_grams, ingredient_name, price_entries
from webapp.pages.problem_texts import Shown
from webapp.pages.send_again import filled_by
from webapp.pages.shop import current_config, current_records
from webapp.pages.shop_prices import CURRENCIES, price_digits, price_text
from webapp.pages.units_switch import reader_measures
from webapp.records.archive import export_archive, import_archive
from webapp.records.backups import moment_of
from webapp.records.columns import utc_now
from webapp.records.errors import ArchiveError
from webapp.records.prices import PackPrice, PriceList

PAGE, PRICES = "/shop", "/shop/prices"
LARGEST_ARCHIVE = 32 * 1024 * 1024
LARGEST_UNFOLDED = 1024 * 1024 * 1024  # an archive of text shrinks to a tenth; one made to harm to a thousandth
IN_MEMORY = 8 * 1024 * 1024
DONE = {"backup": "The backup is made.", "imported": "The archive is read.", "prices": "The prices are kept."}

blueprint = Blueprint("shop", __name__)


@dataclass(frozen=True, slots=True)
class BackupRow:
    """One backup as the page lists it."""

    name: str
    made: dt.datetime
    kilobytes: int


@blueprint.get(PAGE)
@may("owner")
def show() -> Response:
    return _page()


def _page(problems: list[Shown] | None = None, status: int = 200) -> Response:
    records, config, problems = current_records(), current_config(), problems or []
    made = records.backups.made()
    page = render_template(
        "shop.html",
        backups=[BackupRow(path.name, moment_of(path), -(-path.stat().st_size // 1024)) for path in made],
        folder=records.backups.folder,
        config=config,
        own_prices=len(records.prices.get().packs),
        largest=LARGEST_ARCHIVE // 1024**2,
        done=DONE.get(request.args.get("done", "")),
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
    )
    return make_response(page, status)


@blueprint.post("/shop/backups")
@may("owner")
def make_backup() -> Response:
    filled_by(lambda told: _page([told], 503))
    records = current_records()
    records.backups.make(records.storage, utc_now())
    return redirect(f"{PAGE}?done=backup#backups-title", 303)


@blueprint.get("/shop/archive.zip")
@may("owner")
def export() -> Response:
    # Written whole before the first byte is sent: what fails half-way is an error page and no broken archive.
    file = tempfile.SpooledTemporaryFile(IN_MEMORY)
    export_archive(current_records().storage, file)
    file.seek(0)
    name = f"coat-and-filling-{utc_now():%Y-%m-%d}.zip"
    response = send_file(file, "application/zip", as_attachment=True, download_name=name)
    response.cache_control.no_store = True
    return response


@blueprint.post("/shop/archive")
@may("owner", largest=LARGEST_ARCHIVE)
def read_archive() -> Response:
    filled_by(lambda told: _page([told], 503))
    sent = request.files.get("archive")
    if sent is None or not sent.filename:
        return _archive_refused("Choose the archive: the file that “Export everything” gave you.")
    try:
        import_archive(current_records().storage, sent.stream, largest=LARGEST_UNFOLDED)
    except ArchiveError as refused:
        return _archive_refused(f"{refused} Nothing was changed.")
    return redirect(f"{PAGE}?done=imported", 303)


def _archive_refused(text: str, status: int = 422) -> Response:
    return _page([Shown("archive", "archive", text)], status)


@blueprint.errorhandler(RequestEntityTooLarge)
def refuse_size(error: RequestEntityTooLarge) -> Response:
    most = f"An archive may have at most {LARGEST_ARCHIVE // 1024**2} MB here. A larger one is read by the command."
    return _archive_refused(f"{most} Nothing was changed.", 413)


# ---- packs, prices, currency ----


@blueprint.get(PRICES)
@may("owner")
def show_prices() -> Response:
    return _prices_page(_as_typed(current_records().prices.get()))


@blueprint.post(PRICES)
@may("owner")
def keep_prices() -> Response:
    kept = current_records().prices.get().packs
    held = {id_: (kept.get(id_) or usual).holds for id_, usual in usual_packs(current_catalogue()).items()}
    typed = dict(in_grams(pair, held) for pair in request.form.items())
    filled_by(lambda told: _prices_page(typed, [told], 503))
    problems: list[Shown] = []
    packs = {id_: pack for id_ in usual_packs(current_catalogue()) if (pack := _pack(id_, typed, problems))}
    currency = typed.get("currency", "")
    if currency and currency not in CURRENCIES:
        problems.append(Shown("currency", "currency", "Choose the currency from the list."))
    if problems:
        return _prices_page(typed, problems, 422)
    current_records().prices.put(PriceList(packs, currency or None))
    return redirect(f"{PRICES}?done=prices", 303)


def _pack(id_: str, typed: Mapping[str, str], problems: list[Shown]) -> PackPrice | None:
    """Read a row; both entries empty are as usual, and one of them takes the usual other."""
    usual = usual_packs(current_catalogue())[id_]
    texts = [typed.get(kind + id_, "").strip() for kind in (PACK, COST)]
    if not any(texts):
        return None
    holds, price = (number(text or plain(value)) for text, value in zip(texts, _numbers(usual), strict=True))
    if holds is not None and price is not None and _may_be(id_, holds, price):
        return PackPrice(float(holds), float(price))
    problems.append(_refused(id_))
    return None


def _refused(id_: str) -> Shown:
    row = _row(id_, usual_packs(current_catalogue())[id_], {}, current_catalogue())
    return Shown(id_, row.pack, f"{row.name}: enter what a pack holds and costs, as in {row.usual_holds} and 3.20.")


def _numbers(pack: Pack) -> tuple[float, float]:
    return pack.holds, pack.price


def _may_be(id_: str, holds: float, price: float) -> bool:
    """Whether a plan could be asked for with this price."""
    try:
        return bool(read_options(f'{{"price": ["{price_text(id_, holds, price)}"]}}').packs)
    except BriefError:
        return False


def _as_typed(prices: PriceList) -> dict[str, str]:
    typed = {"currency": prices.currency or ""}
    for id_, pack in prices.packs.items():
        typed |= {PACK + id_: plain(pack.holds), COST + id_: price_digits(pack.price, typed["currency"])}
    return typed


def _prices_page(typed: Mapping[str, str], problems: list[Shown] | None = None, status: int = 200) -> Response:
    catalogue, problems = current_catalogue(), problems or []
    page = render_template(
        "shop_prices.html",
        rows=sorted((_row(id_, pack, typed, catalogue) for id_, pack in usual_packs(catalogue).items()), key=_by_name),
        currencies=CURRENCIES,
        currency=typed.get("currency", ""),
        usual_currency=PlanOptions().currency,
        priced_in=_currency(typed),
        done=DONE.get(request.args.get("done", "")) if not problems else None,
        problems=problems,
        errors={problem.element: problem.text for problem in problems},
    )
    return make_response(page, status)


def _currency(typed: Mapping[str, str]) -> str:
    said = typed.get("currency", "")
    return said if said in CURRENCIES else PlanOptions().currency


def _by_name(row: PriceRow) -> str:
    return row.name.casefold()


def _row(id_: str, usual: Pack, typed: Mapping[str, str], catalogue: Catalogue) -> PriceRow:
    return price_entries(
        id_,
        ingredient_name(id_, catalogue),
        catalogue,
        reader_measures(),
        typed=(typed.get(PACK + id_, ""), typed.get(COST + id_, "")),
        usual=(usual.holds, price_digits(usual.price, _currency(typed))),
    )


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
