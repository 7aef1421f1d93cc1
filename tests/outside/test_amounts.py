"""Amounts of whole orders and weights of whole cakes against what catering, school-food and food tables print.

Sources
-------
The keys are those of data/sources.csv.

* afrs-g47, light butter cream frosting, 3 1/4 qt: about 2 cups, 1 lb, on a two-layer cake of 9 in; about 1 tbsp on a
  cupcake.
* usda-school-1988, vanilla and chocolate cream frosting: 4 cups cover the top of one sheet cake of 18 x 26 in, 50
  servings.
* baking-school-chart: 3 1/2 to 4 1/2 cups for a two-layer cake of 8 or 9 in, 5 to 5 1/2 cups for three layers, 2 1/2
  to 3 cups for 9 x 13 in, 3 1/2 to 4 1/2 cups for 24 cupcakes.
* usda-sr28, file WEIGHT.

No catering source gives frosting for the very sizes below: each states it for one cake, so its millilitres for each cm²
of spread surface (top, side and every filling) are carried over to the order's own surface.
"""

from __future__ import annotations

import json
import math

import pytest

from webapp.advice.brief import read_brief
from webapp.advice.kitchen_plan import KitchenPlan, PlanOptions, plan_kitchen
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.geometry import TierSize

CATALOGUE = load_catalogue(Config().data_dir)
CUP_ML, TBSP_ML, INCH = 236.588, 14.787, 2.54


def layer_cake(inches: float, height_in: float = 3.0, layers: int = 2) -> TierSize:
    cm = inches * INCH
    return TierSize(math.pi * cm**2 / 4, math.pi * cm, height_in * INCH, layers)


def spread_cm2(tier: TierSize) -> float:
    return tier.layers * tier.area_cm2 + tier.outline_cm * tier.height_cm


# Least and most that the sources spread [mL/cm²]. Two layers of 1 1/2 in; the sheet cake on its top alone.
LEAST = 4 * CUP_ML / (18 * 26 * INCH**2)  # usda-school-1988: 0.31
MOST = 4.5 * CUP_ML / spread_cm2(layer_cake(8))  # baking-school-chart: 0.94

GARDEN = {"tiers": [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}], "piping": "rosettes", "supported": True}
CUPCAKES = {"tiers": [{"width_cm": 15, "height_cm": 10}], "cupcakes": 48, "piping": "borders"}
SHEET = {
    "tiers": [{"shape": "rectangle", "width_cm": 33, "depth_cm": 23, "height_cm": 5, "layers": 1}],
    "diet": ["vegan"],
    "piping": "borders",
}


def plan(shape: dict[str, object], coat: str, filling: str, **options: object) -> KitchenPlan:
    brief = read_brief(json.dumps(shape))
    return plan_kitchen(brief, (coat, filling), CATALOGUE, PlanOptions(**options))  # type: ignore[arg-type]


def ml_on(made: KitchenPlan, *, cupcakes: bool) -> float:
    return math.fsum(portion.ml for portion in made.portions if (portion.place == "cupcakes") == cupcakes)


def surface(made: KitchenPlan) -> float:
    assert made.stack is not None
    return sum(spread_cm2(standing.tier.size) for standing in made.stack.standings)


@pytest.mark.parametrize(
    ("shape", "pairing"),
    [
        (GARDEN, ("american-half-shortening", "swiss-butter")),
        (CUPCAKES, ("swiss-butter", "french-butter")),
        (SHEET, ("american-plant", "american-plant")),
    ],
    ids=["three-tier garden wedding", "48 cupcakes and a cutting cake", "vegan sheet cake"],
)
def test_coat_filling_and_piping_lie_between_what_sources_spread(shape, pairing):
    made = plan(shape, *pairing)
    # usda-school-1988 to baking-school-chart, both above.
    assert LEAST * surface(made) <= ml_on(made, cupcakes=False) <= MOST * surface(made)


def test_a_cupcake_gets_between_one_tablespoon_and_the_chart():
    # afrs-g47: 1 tbsp spread; baking-school-chart: 4 1/2 cups for 24, piped.
    each = ml_on(plan(CUPCAKES, "swiss-butter", "french-butter"), cupcakes=True) / 48
    assert TBSP_ML <= each <= 4.5 * CUP_ML / 24


def test_a_thin_coat_on_two_layers_of_9_in_is_about_a_pound():
    # afrs-g47: 1 lb in 2 cups; usda-sr28: a tub of 462 g is twelve slices (NDB 19230); coconut frosting on twelve
    # slices of a cake of 9 in is 12 x (112 - 74) g = 456 g (NDB 18102 less 18139). A fifth for the
    # thickness of filling.
    shape = {"tiers": [{"width_cm": 9 * INCH, "height_cm": 3 * INCH, "layers": 2}], "coat_mm": 3, "piping": "none"}
    made = plan(shape, "american-butter", "american-butter")
    for published_g in (453.6, 462, 456):
        assert made.balance.on_cake_g == pytest.approx(published_g, rel=0.2)


def test_a_usual_coat_on_two_layers_is_what_the_chart_says():
    # baking-school-chart: make 3 1/2 to 4 1/2 cups for 8 or 9 in; what stays in the bowl is in it, borders are not.
    for inches in (8, 9):
        shape = {"tiers": [{"width_cm": inches * INCH, "height_cm": 3 * INCH, "layers": 2}], "piping": "none"}
        made = plan(shape, "american-butter", "american-butter")
        assert 3.5 * CUP_ML <= (1 + made.losses.whole) * ml_on(made, cupcakes=False) <= 4.5 * CUP_ML


def test_beaten_american_weighs_what_the_card_weighs():
    # afrs-g47: 12 oz margarine, 12 oz shortening, 4 lb sugar, 2 oz dry milk, 3/4 cup water, 2 tbsp vanilla in 3 1/4 qt.
    grams = 28.35 * (12 + 12 + 64 + 2) + 177 + 26
    density = CATALOGUE.fact("american", "density")
    assert density.low <= grams / (13 * CUP_ML) <= density.high


# usda-sr28: layer cakes without frosting, whole (NDB 18139 white and 18101 chocolate, 9 in; 18146 yellow, 8 in).
@pytest.mark.parametrize(
    ("weight_g", "inches"), [(887, 9), (817, 8), (1137, 9)], ids=["white", "yellow", "chocolate"]
)
def test_bare_layer_cakes_weigh_what_sr28_says(weight_g, inches):
    # Height is not stated: two layers of 1 to 1 1/2 in; the sponge's density with its range.
    density = CATALOGUE.fact("sponge:butter", "density")
    lightest = layer_cake(inches, 2).area_cm2 * 2 * INCH * density.low / 1000
    heaviest = layer_cake(inches, 3).area_cm2 * 3 * INCH * density.high / 1000
    assert lightest <= weight_g <= heaviest


# usda-sr28: frosted cakes of in-store bakeries, whole, twelve slices (NDB 18140 yellow, 18096 chocolate).
@pytest.mark.parametrize("weight_g", [1729, 1660], ids=["yellow", "chocolate"])
def test_a_frosted_8_in_cake_weighs_what_sr28_says(weight_g):
    # Size is not stated: 8 in, two layers, 2 1/2 to 4 in high.
    weights = []
    for height_in in (2.5, 4):
        tier = {"width_cm": 8 * INCH, "height_cm": height_in * INCH, "layers": 2}
        made = plan({"tiers": [tier], "piping": "borders"}, "american-shortening", "american-shortening")
        assert made.stack is not None
        weights.append(made.stack.whole_g)
    assert weights[0] <= weight_g <= weights[1]


# usda-sr28: whole eggs without shell, NDB 01123 (38, 44, 50, 56, 63 g); one large white 33 g and yolk 17 g.
@pytest.mark.parametrize(
    ("size", "whole_g"), [("small", 38), ("medium", 44), ("large", 50), ("extra-large", 56), ("jumbo", 63)]
)
def test_white_and_yolk_of_a_size_are_its_egg(size, whole_g):
    made = plan({}, "swiss-butter", "french-butter", egg_size=size)
    assert made.eggs is not None
    assert made.eggs.white_g + made.eggs.yolk_g == pytest.approx(whole_g, abs=0.1)


def test_a_dozen_eggs_is_twelve_of_sr28():
    assert CATALOGUE.ingredients["egg-white"].pack_g == 12 * 33
    assert CATALOGUE.ingredients["egg-yolk"].pack_g == 12 * 17
