"""What the advice knows: each family with its formulations, each number with its source; the bibliography."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, Flask, abort, render_template

from webapp.catalogue.composition import Composition, compose
from webapp.catalogue.model import Catalogue, Fact, Family, Formulation
from webapp.pages.advisor import current_catalogue
from webapp.pages.fact_names import THEMES
from webapp.pages.formatters import tidy, words
from webapp.pages.guard import may
from webapp.pages.household import household
from webapp.pages.sheet_words import labels_to_check
from webapp.pages.units_switch import reader_measures

OTHER_THEME = "Other"

blueprint = Blueprint("families", __name__)


def formulations_of(family: Family, catalogue: Catalogue) -> list[Formulation]:
    return [formula for formula in catalogue.formulations.values() if formula.family.id == family.id]


def facts_of(subject: str, catalogue: Catalogue) -> list[Fact]:
    return [fact for (owner, _), fact in catalogue.facts.items() if owner == subject]


def titles_of(catalogue: Catalogue) -> dict[str, str]:
    """Give the short name of every source; the bibliography has the rest."""
    return {key: source.title for key, source in catalogue.sources.items()}


def other_facts(catalogue: Catalogue) -> list[Fact]:
    """List the facts of sponge, air, film and the like: those that no family page shows."""
    shown: set[str] = {*catalogue.families, *catalogue.formulations}
    return [fact for (owner, _), fact in catalogue.facts.items() if owner not in shown]


def by_theme(facts: list[Fact]) -> dict[str, list[Fact]]:
    """Sort facts by what a reader looks for; what belongs to no theme comes last."""
    theme_of = {head: theme for theme, heads in THEMES.items() for head in heads}
    sorted_facts: dict[str, list[Fact]] = {theme: [] for theme in (*THEMES, OTHER_THEME)}
    for fact in facts:
        sorted_facts[theme_of.get(fact.subject.partition(":")[0], OTHER_THEME)].append(fact)
    return {theme: found for theme, found in sorted_facts.items() if found}


def composition_rows(made: Composition) -> list[tuple[str, str]]:
    """Word what follows from a formula, per 100 g."""
    parts = {"Sugar": made.sugar, "Fat": made.fat, "Water": made.water, "Protein": made.protein}
    shares = [(name, f"{grams:.1f} g") for name, grams in parts.items()]
    return [
        *shares,
        ("Sweetness as sucrose", f"{made.sweetness:.1f} g"),
        ("Energy", f"{made.energy_kcal:.0f} kcal"),
        ("Density before air is beaten in", f"{tidy(made.gas_free_density)} g/mL"),
        ("Allergens", ", ".join(sorted(words(name) for name in made.allergens)) or "none of those listed"),
        ("From animals", "yes" if made.animal else "no"),
    ]


@blueprint.get("/families")
@may("staff")
def list_families() -> str:
    catalogue = current_catalogue()
    rows = [(family, formulations_of(family, catalogue)) for family in _in_order(catalogue.families)]
    return render_template("families.html", rows=rows)


def _in_order(families: Mapping[str, Family]) -> list[Family]:
    return sorted(families.values(), key=lambda family: family.order)


@blueprint.get("/families/<family_id>")
@may("staff")
def one_family(family_id: str) -> str:
    catalogue = current_catalogue()
    family = catalogue.families.get(family_id)
    if family is None:
        abort(404)
    formulations = formulations_of(family, catalogue)
    return render_template(
        "family.html",
        family=family,
        formulations=formulations,
        family_facts=facts_of(family.id, catalogue),
        own_facts={formula.id: facts_of(formula.id, catalogue) for formula in formulations},
        compositions={formula.id: composition_rows(compose(formula)) for formula in formulations},
        to_check={formula.id: tuple(labels_to_check([formula])) for formula in formulations},
        citations=titles_of(catalogue),
        measures=reader_measures(),
        household=household,
    )


@blueprint.get("/sources")
@may("staff")
def list_sources() -> str:
    catalogue = current_catalogue()
    return render_template(
        "sources.html",
        sources=catalogue.sources,
        citations=titles_of(catalogue),
        themes=by_theme(other_facts(catalogue)),
        measures=reader_measures(),
    )


def init_app(app: Flask) -> None:
    app.register_blueprint(blueprint)
