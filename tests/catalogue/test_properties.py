"""The property table, and facts of the trade that its data must show (common practice, no source)."""

from __future__ import annotations

import pytest

from webapp.catalogue.model import Catalogue
from webapp.catalogue.properties import PROPERTIES, SUBJECTS, names_for, property_spec, required_facts

BUTTER = ("american-butter", "swiss-butter", "italian-butter", "french-butter")


def value(catalogue: Catalogue, formulation: str, name: str) -> float:
    return catalogue.formulation_fact(catalogue.formulations[formulation], name).value


def best(catalogue: Catalogue, name: str) -> str:
    return max(catalogue.formulations, key=lambda formulation: value(catalogue, formulation, name))


def test_every_property_stands_once_with_bounds_that_leave_room() -> None:
    keys = [(spec.group, spec.name) for spec in PROPERTIES]
    assert len(keys) == len(set(keys))
    assert all(spec.low < spec.high for spec in PROPERTIES)


def test_a_subject_has_only_the_properties_of_its_group() -> None:
    assert names_for("colour:dark") == ("absorptance",)
    assert property_spec("colour:dark", "density") is None
    spec = property_spec("sponge:light", "density")
    assert spec is not None and spec.unit == "kg/m3"
    assert "softens" in names_for("swiss-butter")


def test_no_fact_sends_its_reader_to_a_file_or_a_key(catalogue: Catalogue) -> None:
    # Seen to fail: "as choi-okos-1986 gives it", "the prices in ingredients.csv".
    keys = [key for key in catalogue.sources if "-" in key and key not in ("common-practice", "from-memory")]
    told = [fact for fact in catalogue.facts.values() for name in (".csv", *keys) if name in fact.locator]
    assert told == []


def test_facts_are_required_of_families_and_of_every_listed_subject() -> None:
    required = required_facts(("swiss",))
    assert ("swiss", "softens") in required
    assert {subject for subject, _ in required} == {"swiss", *(s for g in SUBJECTS.values() for s in g)}


def test_hands_on_time_rises_american_swiss_italian_french(catalogue: Catalogue) -> None:
    minutes = [value(catalogue, formulation, "minutes") for formulation in BUTTER]
    assert minutes == sorted(minutes) and len(set(minutes)) == 4


def test_only_american_forms_a_crust(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        crusts = catalogue.formulation_fact(formulation, "crusts").value
        assert (crusts >= 0.5) == (formulation.family.id == "american")


def test_swiss_takes_the_smoothest_finish(catalogue: Catalogue) -> None:
    assert best(catalogue, "smoothness") == "swiss-butter"


@pytest.mark.parametrize("name", ["softens", "slumps", "density"])
def test_italian_stands_a_little_more_heat_than_swiss_and_is_denser(catalogue: Catalogue, name: str) -> None:
    assert value(catalogue, "italian-butter", name) > value(catalogue, "swiss-butter", name)


def test_french_is_the_softest_the_richest_the_yellowest_and_poor_at_piping(catalogue: Catalogue) -> None:
    for name in ("softens", "slumps", "firmness", "whiteness", "takes_colour", "piping_detail"):
        assert min(BUTTER, key=lambda formulation: value(catalogue, formulation, name)) == "french-butter"
    assert best(catalogue, "richness") in ("french-butter", "french-pasteurised-yolks")


@pytest.mark.parametrize("name", ["softens", "slumps", "firmness", "piping_detail"])
def test_american_stands_most_and_pipes_finest(catalogue: Catalogue, name: str) -> None:
    values = {formulation: value(catalogue, formulation, name) for formulation in BUTTER}
    assert max(values, key=values.__getitem__) == "american-butter"
    assert values["italian-butter"] > values["swiss-butter"] > values["french-butter"]


def test_shortening_whitens(catalogue: Catalogue) -> None:
    for family in ("swiss", "italian"):
        plain = value(catalogue, f"{family}-butter", "whiteness")
        assert value(catalogue, f"{family}-butter-shortening", "whiteness") > plain


def test_every_buttercream_softens_before_it_slumps(catalogue: Catalogue) -> None:
    for family in catalogue.families:
        softens, slumps = catalogue.fact(family, "softens"), catalogue.fact(family, "slumps")
        assert softens.value < slumps.value and softens.low < slumps.low and softens.high < slumps.high


def test_only_the_all_butter_values_of_the_families_say_when_they_soften(catalogue: Catalogue) -> None:
    for subject, name in catalogue.facts:
        if name in ("softens", "slumps"):
            assert subject in catalogue.families


def test_what_has_no_source_says_so(catalogue: Catalogue) -> None:
    for fact in catalogue.facts.values():
        if fact.basis in ("common-practice", "assumption"):
            assert fact.source == fact.basis
