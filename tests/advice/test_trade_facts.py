"""What every decorator knows of the four buttercreams: common practice, no source.

These are checks of the data and of the advice as a whole, not where the numbers come from.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.advice.asking import THREE_TIERS
from webapp.advice.contract import Advice
from webapp.advice.service import Advisor
from webapp.catalogue.composition import compose
from webapp.catalogue.model import Catalogue, Formulation

ORDER = ("american", "swiss", "italian", "french")


def all_butter(catalogue: Catalogue, family: str) -> Formulation:
    return catalogue.formulations[f"{family}-butter"]


def values(catalogue: Catalogue, name: str) -> dict[str, float]:
    """A property of each family, made with butter."""
    return {f: catalogue.formulation_fact(all_butter(catalogue, f), name).value for f in ORDER}


def made_with(catalogue: Catalogue, share: str) -> dict[str, float]:
    """What the formula of each family gives, made with butter."""
    return {f: float(getattr(compose(all_butter(catalogue, f)), share)) for f in ORDER}


def test_sugar_falls_from_american_by_swiss_and_italian_to_french(catalogue: Catalogue) -> None:
    sugar = list(made_with(catalogue, "sugar").values())
    assert sugar == sorted(sugar, reverse=True)
    assert len(set(sugar)) == 4


def test_work_rises_from_american_by_swiss_and_italian_to_french(catalogue: Catalogue) -> None:
    minutes = list(values(catalogue, "minutes").values())
    assert minutes == sorted(minutes)
    assert len(set(minutes)) == 4


def test_only_american_forms_a_crust(catalogue: Catalogue) -> None:
    crusts = {f.id: catalogue.formulation_fact(f, "crusts").value for f in catalogue.formulations.values()}
    assert {id_ for id_, share in crusts.items() if share > 0.5} == {
        f.id for f in catalogue.formulations.values() if f.family.id == "american"
    }
    assert all(share < 0.1 for id_, share in crusts.items() if not id_.startswith("american"))


def test_swiss_takes_the_smoothest_finish(catalogue: Catalogue) -> None:
    smoothness = values(catalogue, "smoothness")
    assert max(smoothness, key=lambda family: smoothness[family]) == "swiss"


@pytest.mark.parametrize("temperature", ["softens", "slumps"])
def test_italian_stands_heat_a_little_better_than_swiss(catalogue: Catalogue, temperature: str) -> None:
    known = values(catalogue, temperature)
    assert 0 < known["italian"] - known["swiss"] <= 2


def test_italian_outlasts_swiss_on_the_same_warm_afternoon(advice: Callable[..., Advice]) -> None:
    chances = {out.formulation: out.hold.chance for out in advice(air_high_c=25).coats if out.hold}
    assert chances["italian-butter"] > chances["swiss-butter"]


def test_italian_is_denser_than_swiss(catalogue: Catalogue) -> None:
    density = values(catalogue, "density")
    assert density["italian"] > density["swiss"]


@pytest.mark.parametrize("name", ["firmness", "softens", "slumps", "whiteness", "piping_detail"])
def test_french_is_the_softest_the_yellowest_and_the_poorest_at_piping(catalogue: Catalogue, name: str) -> None:
    known = values(catalogue, name)
    assert known.pop("french") < min(known.values())


def test_french_is_the_richest(catalogue: Catalogue) -> None:
    richness = values(catalogue, "richness")
    assert richness.pop("french") > max(richness.values())


def test_french_is_the_least_sweet(catalogue: Catalogue) -> None:
    sweetness = made_with(catalogue, "sweetness")
    assert sweetness.pop("french") < min(sweetness.values())


def test_french_goes_between_the_layers_but_takes_no_fine_piping(advice: Callable[..., Advice]) -> None:
    given = advice(air_high_c=20, piping="fine")
    assert "french-butter" in {out.formulation for out in given.fillings}
    assert "french-butter" not in {out.formulation for out in given.coats}


def test_american_needs_neither_mixer_nor_thermometer_and_the_others_need_both(catalogue: Catalogue) -> None:
    both = {"stand-mixer", "thermometer"}
    for formulation in catalogue.formulations.values():
        needed = set() if formulation.family.id == "american" else both
        assert formulation.equipment == needed, formulation.id


def test_shortening_makes_every_family_stand_more_heat(catalogue: Catalogue, advisor: Advisor) -> None:
    for plain, firmer in (
        ("american-butter", "american-half-shortening"),
        ("american-half-shortening", "american-shortening"),
        ("american-plant", "american-plant-shortening"),
        ("swiss-butter", "swiss-butter-shortening"),
        ("italian-butter", "italian-butter-shortening"),
    ):
        soft, firm = (advisor.softness.of(catalogue.formulations[id_]).softens.mean() for id_ in (plain, firmer))
        assert firm > soft + 1, firmer


@pytest.mark.parametrize("air_high_c", [29, 31, 33])
def test_a_summer_wedding_has_american_outside_with_swiss_between(
    advice: Callable[..., Advice], air_high_c: float
) -> None:
    given = advice(setting="shade", air_high_c=air_high_c, hold_hours=3, tiers=THREE_TIERS)
    assert given.pairing is not None
    assert (given.pairing.coat.family, given.pairing.filling.family) == ("american", "swiss")
    assert given.verdict in ("holds", "marginal")
