"""The form that asks for a brief, its fields named in the reader's units; judging is left to the brief."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from werkzeug.datastructures import MultiDict
from wtforms import (  # type: ignore[import-untyped]
    Field,
    FieldList,
    Form,
    FormField,
    RadioField,
    SelectChoice,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
)
from wtforms.widgets import CheckboxInput, ListWidget  # type: ignore[import-untyped]

from webapp.advice.brief import Brief, OwnFormula, Tier
from webapp.pages.brief_address import Pair, forecast_name, in_measures, renumbered
from webapp.pages.brief_fields import ASKED, CHOICES, CRITERIA
from webapp.pages.quantities import QUANTITY_OF, name_in
from webapp.units import MEASURES, Measures

MAX_TIERS = 10


class CheckboxesField(SelectMultipleField):  # type: ignore[misc]
    """Several choices as boxes to tick."""

    widget = ListWidget(prefix_label=False)
    option_widget = CheckboxInput()


def _default_text(field: str) -> str:
    model = Brief if field in Brief.model_fields else Tier
    default = model.model_fields[field].default
    key = str(default).lower()
    return re.split("[,:]", CHOICES[field][key])[0]


def _choices(name: str) -> list[SelectChoice]:
    return [SelectChoice(value, text) for value, text in CHOICES[name].items()]


def _field(name: str, measures: Measures) -> Field:
    asked = ASKED[name]
    if name == "setting":
        return RadioField(asked.label, choices=_choices(name), validate_choice=False)
    if asked.kind in ("choice", "yes-no"):
        unsaid = f"Not said ({_default_text(name).lower()})"
        choices = [SelectChoice("", unsaid), *_choices(name)]
        return SelectField(asked.label, choices=choices, validate_choice=False)
    if asked.kind == "many":
        return CheckboxesField(asked.label, choices=_choices(name), validate_choice=False)
    if asked.kind == "lines":
        return TextAreaField(asked.label, name=forecast_name(measures))
    unit = QUANTITY_OF[name].unit(measures) if name in QUANTITY_OF else ""
    return StringField(asked.label, name=name_in(measures, name), description=unit)


def _form(name: str, fields: Iterable[str], measures: Measures, **more: Any) -> type[Form]:
    parts = {field: _field(field, measures) for field in fields}
    return type(name, (Form,), parts | more)


def _importance_form() -> type[Form]:
    labels = {criterion: StringField(label) for criterion, label in CRITERIA.items()}
    return type("ImportanceForm", (Form,), labels)


def _own_form() -> type[Form]:
    """Own formulas are only carried here: they are written on a page of their own."""
    return type("OwnForm", (Form,), {name: StringField(name) for name in OwnFormula.model_fields})


@lru_cache(maxsize=len(MEASURES))
def form_class(measures: Measures) -> type[Form]:
    """Build the brief's form for one system of units."""
    tier = _form("TierForm", Tier.model_fields, measures)
    scalars = [name for name in Brief.model_fields if name not in ("tiers", "importance", "own_formulas")]
    rows = {
        "tiers": FieldList(FormField(tier), ASKED["tiers"].label),
        "own_formulas": FieldList(FormField(_own_form()), ASKED["own_formulas"].label),
    }
    return _form("BriefForm", scalars, measures, importance=FormField(_importance_form()), **rows)


def filled_form(pairs: Iterable[Pair], measures: Measures, rows_wanted: int | None = None) -> Form:
    """Make the form with what was typed, or with what an address says; ``rows_wanted`` adds empty tiers."""
    pairs = renumbered(in_measures(pairs, measures), drop_empty=False)
    if not any(name == "equipment" for name, _ in pairs):
        pairs += [("equipment", item) for item in Brief().equipment]
    form = form_class(measures)(MultiDict(pairs))
    has_no_tiers = ("tiers", "") in pairs
    wanted = rows_wanted if rows_wanted is not None else 0 if has_no_tiers else 1
    while len(form.tiers) < min(wanted, MAX_TIERS):
        form.tiers.append_entry()
    return form


def changed_rows(pairs: Iterable[Pair], change: str) -> tuple[list[Pair], int]:
    """Apply an add or remove button; return the pairs and how many tier rows there should be."""
    if change.startswith("remove-own-"):
        gone = f"own_formulas-{change.removeprefix('remove-own-')}-"
        pairs = [pair for pair in pairs if not pair[0].startswith(gone)]
    pairs = [pair for pair in renumbered(pairs, drop_empty=False) if pair[0] != "tiers"]
    rows = len({key.split("-")[1] for key, _ in pairs if key.startswith("tiers-")})
    removed = change.removeprefix("remove-tier-")
    if change == "add-tier":
        return pairs, rows + 1
    if not removed.isdecimal():
        return pairs, rows
    kept = [pair for pair in pairs if not pair[0].startswith(f"tiers-{removed}-")]
    return kept, max(rows - 1, 0)


def has_entries(fields: Form, names: Iterable[str], errors: Mapping[str, str]) -> bool:
    """Tell whether any of these fields was filled in or must be mended, so that its group is shown open."""
    return any(fields[name].data or fields[name].id in errors for name in names)
