"""A brief as an address: the same names in the form, the address bar and the JSON.

An empty scalar is a field that was not given. A list is given as soon as its name is there: ``diet=`` says
"no diet", ``tiers=`` says "no tiers, only cupcakes". An own formula is a row as a tier is, its recipe one text.
"""

from __future__ import annotations

import json
import math
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import urlencode

from webapp.advice.brief import Brief, read_brief
from webapp.advice.weather import Degree, Speed, marked
from webapp.pages.brief_fields import ASKED
from webapp.pages.quantities import METRIC_NAME, QUANTITY_OF, SHOWN_DECIMALS, name_in
from webapp.units import Measures

Pair = tuple[str, str]
FORECAST = "weather"
# Bare numbers of a forecast are in the reader's units, so its field is named by them.
FORECASTS: dict[str, tuple[Degree, Speed]] = {
    FORECAST: ("C", "m/s"),
    "weather_mph": ("C", "mph"),
    "weather_f": ("F", "m/s"),  # no reader has these two together; read for what was typed before
    "weather_f_mph": ("F", "mph"),
}
LISTS = frozenset({"diet", "equipment"})
_FRACTION = re.compile(r"(?:([0-9]{1,4})[ \xa0]?)??(?:([0-9]{1,3})[/\u2044]([0-9]{1,3})|([¼½¾⅛⅜⅝⅞]))")
_NUMBER = re.compile(r"[+-]?([0-9]{1,15}([.,][0-9]{0,20})?|[.,][0-9]{1,20})(e-[0-9]{1,3})?")
_TIER = re.compile(r"tiers-([0-9]{1,6})-(\w+)", re.ASCII)
_OWN = re.compile(r"own_formulas-([0-9]{1,6})-(\w+)", re.ASCII)
_IMPORTANCE = re.compile(r"importance-(\w+)", re.ASCII)


def number(text: str) -> float | int | None:
    """Read what a person types as a number, decimal comma and ``1 1/2`` included; none if it is not one."""
    stripped = text.strip().replace("−", "-")
    if not _NUMBER.fullmatch(stripped):
        return _mixed(stripped)
    value = float(stripped.replace(",", "."))
    return int(value) if value.is_integer() else value


def _mixed(text: str) -> float | None:
    """Read a fraction as inches are told, with or without a whole number before it: ``1/4``, ``1 1/2``, ``¾``."""
    read = _FRACTION.fullmatch(text)
    if read is None or (read[3] and not int(read[3])):
        return None
    part = unicodedata.numeric(read[4]) if read[4] else int(read[2]) / int(read[3])
    return int(read[1] or 0) + part


def plain(value: float) -> str:
    """Write a number so that it reads back the same, without a needless ``.0``."""
    return str(int(value)) if math.isfinite(value) and float(value).is_integer() else repr(float(value))


def _split(key: str) -> Pair:
    head, dash, leaf = key.rpartition("-")
    return head + dash, leaf


def in_metric(pairs: Iterable[Pair]) -> list[Pair]:
    """Rename and convert every field that was typed in US units."""
    return [_to_metric(key, text) for key, text in pairs]


def _to_metric(key: str, text: str) -> Pair:
    if key in FORECASTS:
        return FORECAST, text if key == FORECAST else marked(text, *FORECASTS[key])
    head, leaf = _split(key)
    metric = METRIC_NAME.get(leaf)
    if metric is None:
        return key, text
    value = number(text)
    return head + metric, text if value is None else plain(QUANTITY_OF[metric].read(value))


def in_measures(pairs: Iterable[Pair], measures: Measures) -> list[Pair]:
    """Rename and convert for the reader's form; what was typed in the reader's own units stays as typed."""
    return [_to_measures(key, text, measures) for key, text in pairs]


def _to_measures(key: str, text: str, measures: Measures) -> Pair:
    if key in FORECASTS:
        own = forecast_name(measures)
        return own, text if key == own else marked(text, *FORECASTS[key])
    head, leaf = _split(key)
    metric = METRIC_NAME.get(leaf, leaf)
    if metric not in QUANTITY_OF:
        return key, text
    own = name_in(measures, metric)
    if own != metric and leaf == metric:
        value = number(text)
        return head + own, text if value is None else plain(QUANTITY_OF[metric].show(value, measures))
    if own == metric:
        key, text = _to_metric(key, text)
        return key, _tidy(text)
    return key, text


def forecast_name(measures: Measures) -> str:
    """Name the field of the forecast by the units that bare numbers in it are in."""
    degrees = "_f" if measures.is_customary("temperature") else ""
    return f"{FORECAST}{degrees}{'_mph' if measures.is_customary('speed') else ''}"


def _tidy(text: str) -> str:
    """Round a metric number that was converted before; leave what a person may have typed."""
    value = number(text)
    decimals = len(text.partition(".")[2])
    return text if value is None or decimals <= SHOWN_DECIMALS else plain(round(value, SHOWN_DECIMALS))


def renumbered(pairs: Iterable[Pair], *, drop_empty: bool) -> list[Pair]:
    """Number the tier rows 0, 1, 2 …; a row in which nothing was entered can be dropped."""
    pairs = list(pairs)
    rows: dict[int, bool] = defaultdict(bool)
    for key, text in pairs:
        if row := _TIER.fullmatch(key):
            rows[int(row[1])] |= bool(text.strip())
    kept = [row for row in sorted(rows) if rows[row] or not drop_empty]
    position = {row: place for place, row in enumerate(kept)}
    return [pair for pair in (_moved(key, text, position) for key, text in pairs) if pair is not None]


def _moved(key: str, text: str, position: Mapping[int, int]) -> Pair | None:
    row = _TIER.fullmatch(key)
    if row is None:
        return key, text
    place = position.get(int(row[1]))
    return None if place is None else (f"tiers-{place}-{row[2]}", text)


def brief_shape(pairs: Iterable[Pair]) -> dict[str, Any]:
    """Give the JSON shape of a brief from metric pairs; nothing is judged here."""
    texts: dict[str, list[str]] = defaultdict(list)
    for key, text in renumbered(pairs, drop_empty=True):
        texts[key].append(text.strip())
    shape: dict[str, Any] = {}
    for key, entered in texts.items():
        _place(shape, key, [text for text in entered if text])
    _place_own_formulas(shape, texts)
    return shape


def _place_own_formulas(shape: dict[str, Any], texts: Mapping[str, list[str]]) -> None:
    """Gather the own formulas by their rows; a row in which nothing was entered does not count."""
    rows: dict[int, dict[str, Any]] = defaultdict(dict)
    for key, entered in texts.items():
        row = _OWN.fullmatch(key)
        text = "\n".join(entered).strip()
        if row and text:
            lines = [line.strip() for line in text.splitlines() if line.strip()]
            rows[int(row[1])][row[2]] = lines if row[2] == "lines" else text
    if rows:
        shape["own_formulas"] = [rows[place] for place in sorted(rows)]


def _place(shape: dict[str, Any], key: str, entered: list[str]) -> None:
    if key in LISTS:
        shape[key] = entered
    elif key in ("tiers", "own_formulas"):
        shape.setdefault(key, [])
    elif not entered or _OWN.fullmatch(key):
        return
    elif row := _TIER.fullmatch(key):
        tiers = shape.setdefault("tiers", [])
        tiers.extend({} for _ in range(int(row[1]) + 1 - len(tiers)))
        tiers[int(row[1])][row[2]] = _scalar(row[2], entered)
    elif criterion := _IMPORTANCE.fullmatch(key):
        _weigh(shape, criterion[1], _scalar("importance", entered))
    else:
        shape[key] = _scalar(key, entered)


def _weigh(shape: dict[str, Any], criterion: str, weight: Any) -> None:
    weights = shape.setdefault("importance", {})
    if isinstance(weights, dict):
        weights[criterion] = weight


def _scalar(field: str, entered: list[str]) -> Any:
    if len(entered) > 1:
        return entered
    asked = ASKED.get(field)
    if asked is not None and asked.kind == "yes-no":
        return {"true": True, "false": False}.get(entered[0], entered[0])
    is_number = field == "importance" or field.endswith("sweetness") or (asked and asked.kind == "number")
    value = number(entered[0]) if is_number else None
    return entered[0] if value is None else value


def brief_of(pairs: Iterable[Pair]) -> Brief:
    """Read a brief from the pairs of an address or a form, in either system of units.

    Raises
    ------
    BriefError
        With the same problems as the API gives for the same brief.
    """
    return read_brief(json.dumps(brief_shape(in_metric(pairs))))


def pairs_of(brief: Brief) -> list[Pair]:
    """List the pairs of the one address that this brief has: what was given, in the order of the brief."""
    given = brief.model_dump(mode="json", exclude_unset=True, exclude_none=True)
    pairs: list[Pair] = []
    for field in Brief.model_fields:
        if field in given:
            pairs += _pairs(field, given[field])
    return pairs


def _pairs(field: str, value: Any) -> list[Pair]:
    if field == "tiers":
        rows = [_row(place, tier) for place, tier in enumerate(value)]
        return [pair for row in rows for pair in row] or [("tiers", "")]
    if field == "own_formulas":
        return [pair for place, own in enumerate(value) for pair in own_pairs(place, own)] or [(field, "")]
    if field == "importance":
        return [(f"importance-{criterion}", plain(weight)) for criterion, weight in value.items()]
    if field in LISTS:
        return [(field, item) for item in value] or [(field, "")]
    return [(field, _text(value))]


def _row(place: int, tier: Mapping[str, Any]) -> list[Pair]:
    named = tier or {"shape": "round"}
    return [(f"tiers-{place}-{field}", _text(value)) for field, value in named.items()]


def own_pairs(place: int, own: Mapping[str, Any]) -> list[Pair]:
    """Write an own formula as the pairs of its row; its lines are lines of one text."""
    texts = {field: "\n".join(value) if field == "lines" else str(value) for field, value in own.items()}
    return [(f"own_formulas-{place}-{field}", text) for field, text in texts.items()]


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return plain(value)
    return str(value).removesuffix(":00") if str(value).count(":") == 2 else str(value)


def address_of(brief: Brief, page: str = "/advice") -> str:
    """Write the address of a page about this brief."""
    query = urlencode(pairs_of(brief))
    return f"{page}?{query}" if query else page
