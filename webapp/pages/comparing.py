"""Two to four kept briefs or pairings side by side, what tells them apart first: for the client's choice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from flask import Blueprint, Flask, make_response, render_template, request
from werkzeug.wrappers import Response

from webapp.advice.brief import Brief
from webapp.advice.comparison import PairingFacts, pairing_facts
from webapp.advice.contract import HoldOut
from webapp.advice.plan_options import PlanOptions
from webapp.advice.service import class_of
from webapp.errors import BriefError
from webapp.pages import consultations
from webapp.pages.advisor import current_catalogue
from webapp.pages.formatters import HOLD_CLASSES, VERDICTS, capital, chance, field_noun, hold_range, words
from webapp.pages.guard import may
from webapp.pages.kept_advice import Kept, Pairing, brief_value_of, kept_of
from webapp.pages.quantities import QUANTITY_OF, TEMPERATURE
from webapp.pages.shop import current_records
from webapp.pages.shop_advice import current_service
from webapp.pages.shop_prices import shop_currency, with_shop_prices
from webapp.pages.shopping_words import money
from webapp.pages.units_switch import reader_measures
from webapp.records.errors import NoSuchRecord
from webapp.units import Measures, duration

PAGE = "/compare"
FEWEST, MOST = 2, 4
UNKNOWN = "not known any more"
VERDICT_OF = {text: verdict for verdict, text in VERDICTS.items()}
VERDICT_OF_CLASS = {
    capital(HOLD_CLASSES["holds"]): "holds",
    capital(HOLD_CLASSES["marginal"]): "marginal",
    capital(HOLD_CLASSES["fails"]): "no-coat-holds",
}

blueprint = Blueprint("comparing", __name__)


@dataclass(frozen=True, slots=True)
class Option:
    """One column: a pairing under a kept brief; no pairing where nothing fitted."""

    kept: Kept
    pairing: Pairing | None
    facts: PairingFacts | None

    @property
    def coat(self) -> str:
        return self.kept.name(self.pairing[0]) if self.pairing else "nothing fits"

    @property
    def filling(self) -> str:
        return self.kept.name(self.pairing[1]) if self.pairing else "nothing fits"

    @property
    def is_chosen(self) -> bool:
        return self.pairing is not None and self.pairing == self.kept.chosen

    @property
    def is_advised(self) -> bool:
        return self.pairing is not None and self.pairing == self.kept.advised


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to compare by, with what each option has of it; ``verdicts`` names the mark of a text."""

    name: str
    texts: tuple[str, ...]
    verdicts: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_same(self) -> bool:
        return len(set(self.texts)) == 1


def option_name(id: str, pairing: Pairing) -> str:
    """Write a pairing of a consultation as an address names it."""
    return ".".join((id, *pairing))


@blueprint.get(PAGE)
@may("staff")
def compare() -> Response:
    asked = list(dict.fromkeys(request.args.getlist("of")))
    if not FEWEST <= len(asked) <= MOST:
        return make_response(render_template("compare.html", options=[], apart=[], same=[], asked=len(asked)), 422)
    measures = reader_measures()
    options = [_option(name, measures) for name in asked]
    rows = [*_rows(options, measures)]
    page = render_template(
        "compare.html",
        options=options,
        apart=[row for row in rows if not row.is_same],
        same=[row for row in rows if row.is_same],
        asked=len(asked),
        is_one_event=len({option.kept.record.id for option in options}) == 1,
    )
    return make_response(page)


def _option(name: str, measures: Measures) -> Option:
    id, *named = name.split(".")
    kept = kept_of(current_records().consultations.get(id))
    pairing = (named[0], named[1]) if len(named) == 2 else kept.chosen or kept.advised
    if pairing is not None and not kept.may_be_chosen(pairing):
        raise NoSuchRecord("The advice that was kept does not compare this pairing.")
    return Option(kept, pairing, _facts(kept.brief, pairing, measures))


def _facts(brief: Brief | None, pairing: Pairing | None, measures: Measures) -> PairingFacts | None:
    if brief is None or pairing is None:
        return None
    try:
        options = with_shop_prices(PlanOptions(), (), current_catalogue())
        return pairing_facts(current_service(), brief, pairing, measures, options)
    except BriefError:
        return None


def _rows(options: list[Option], measures: Measures) -> Iterator[Row]:
    """List what a client chooses by; only after it what was asked differently."""

    def row(name: str, tell: Callable[[Option], str], verdicts: Mapping[str, str] | None = None) -> Row:
        return Row(name, tuple(tell(option) for option in options), verdicts or {})

    def fact(name: str, tell: Callable[[PairingFacts], str]) -> Row:
        return row(name, lambda option: tell(option.facts) if option.facts else UNKNOWN)

    # Of what was advised, the verdict says the same as its heat.
    if len({option.kept.record.id for option in options}) > 1 and not all(option.is_advised for option in options):
        yield row("Verdict of the advice", _verdict, VERDICT_OF)
    yield row("In the heat", _class, VERDICT_OF_CLASS)
    yield row("Keeps its look", lambda option: hold_range(hold) if (hold := _hold(option)) else UNKNOWN)
    yield row("Chance that the coat holds", lambda option: chance(hold.chance) if (hold := _hold(option)) else UNKNOWN)
    yield fact("Sweetness", _sweetness)
    yield fact("Cost of the ingredients", lambda facts: money(facts.cost, shop_currency()))
    yield fact("Work, a batch of each", lambda facts: duration(facts.minutes / 60))
    yield fact("Allergens", lambda facts: capital(", ".join(_allergens(facts))) or "none of the listed")
    yield from _asked(options, measures)


def _allergens(facts: PairingFacts) -> Iterator[str]:
    """Yield each allergen as the laws name it; where they differ, what it is."""
    listed = current_catalogue().allergens.values()
    for code in sorted(facts.allergens):
        named = {each.words.lower() for each in listed if each.allergen == code}
        yield named.pop() if len(named) == 1 else words(code)


def _hold(option: Option) -> HoldOut | None:
    return option.kept.hold(option.pairing[0]) if option.pairing else None


def _verdict(option: Option) -> str:
    return VERDICTS[option.kept.advice.verdict] if option.kept.advice else UNKNOWN


def _class(option: Option) -> str:
    hold = _hold(option)
    return capital(HOLD_CLASSES[class_of(hold.chance)]) if hold else UNKNOWN


def _sweetness(facts: PairingFacts) -> str:
    if facts.is_as_asked:
        return "About as sweet as asked"
    more = "Sweeter" if facts.sweeter_g > 0 else "Less sweet"
    return f"{more} than asked, by about {abs(facts.sweeter_g):.0f} g of sugar in 100 g"


def _asked(options: list[Option], measures: Measures) -> Iterator[Row]:
    """Tell what the briefs ask differently; what is alike in all of them is no matter of choice."""
    briefs = [option.kept.brief for option in options]
    known = [brief for brief in briefs if brief is not None]
    if len(known) < len(briefs):
        return
    for asked in Brief.model_fields:
        name = capital(field_noun(asked).removeprefix("The "))
        row = Row(name, tuple(brief_value_of(brief, asked, measures) for brief in known))
        if not row.is_same:
            yield Row(name, tuple(_said_of(brief, asked, measures) for brief in known))


def _said_of(brief: Brief, asked: str, measures: Measures) -> str:
    """Say what a brief asks; temperatures to the whole degree, as elsewhere, though they are compared as they are."""
    value = getattr(brief, asked)
    if asked in QUANTITY_OF and QUANTITY_OF[asked] is TEMPERATURE and value is not None:
        return measures.temperature(value)
    return brief_value_of(brief, asked, measures)


blueprint.register_error_handler(NoSuchRecord, consultations.tell_missing)


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
    app.jinja_env.globals["option_name"] = option_name
