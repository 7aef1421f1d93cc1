"""Every page in every state that it can be met in, by the address that leads there."""

from __future__ import annotations

from tests.days import MIDSUMMER

GARDEN = (
    "setting=shade&air_high_c=31&hold_hours=3&travel_minutes=45&tiers-0-width_cm=30&tiers-1-width_cm=22"
    "&tiers-2-width_cm=15&supported=true&sweetness=2&piping=rosettes"
)
NOON = "setting=sun&air_high_c=37&hold_hours=5&colour=deep"
BRIGHT = "setting=sun&air_high_c=27&hold_hours=3&piping=rosettes"
LARGE = "setting=indoors&air_high_c=22&hold_hours=4&cupcakes=2000&" + "&".join(
    f"tiers-{place}-width_cm={width}" for place, width in enumerate((60, 50, 40, 32, 24, 15))
)
SPONGE = (
    "coat=american-butter&filling=swiss-butter&sponge_list=wheat+flour%0Asugar%0Aeggs%0Abutter"
    "&sponge_allergens=gluten&sponge_allergens=egg&sponge_allergens=milk&handled=peanut"
)
OWN = (
    "name=The+icing+that+my+grandmother+made+for+every+summer+wedding&family=american"
    "&lines=3+cups+powdered+sugar%0A1+1/2+cups+high-ratio+shortening%0A2+tbsp+milk"
)
NOTHING = "diet=egg-free&diet=soy-free&diet=vegan&equipment="

STATES = {
    "start": "/",
    "brief": f"/?{GARDEN}",
    "brief-errors": "/advice?setting=shade&air_high_c=hot&hold_hours=40&tiers-0-width_cm=2&importance-heat=9",
    "holds": f"/advice?{GARDEN}",
    "map": f"/advice/map?{GARDEN}",
    "marginal": f"/advice?{BRIGHT}",
    "no-coat-holds": f"/advice?{NOON}",
    "nothing-fits": f"/advice?{NOTHING}",
    "cupcakes": "/advice?setting=indoors&air_high_c=21&hold_hours=1&tiers=&cupcakes=48",
    "large-order": f"/advice?{LARGE}",
    "keeping-empty": "/keeping",
    "keeping": f"/keeping?coat=american-butter&filling=french-butter&setup_minutes=30&{GARDEN}",
    "keeping-errors": "/keeping?coat=none&setup_minutes=soon",
    "plan": f"/plan?{GARDEN}&date={MIDSUMMER}&guests=90",
    "plan-errors": f"/plan?{GARDEN}&allowance_pct=99&guests=none",
    "plan-nothing": f"/plan?{NOTHING}",
    "shopping": f"/plan/shopping?{GARDEN}&currency=GBP&price=butter:500:4.5",
    "substitutes-empty": "/substitutes",
    "substitutes": f"/substitutes?formulation=swiss-butter&avoid=dairy-free&{GARDEN}",
    "substitutes-nearest": "/substitutes?formulation=french-butter&avoid=egg-free",
    "substitutes-errors": "/substitutes?formulation=none&avoid=stones",
    "label-empty": "/label",
    "label": f"/label?{SPONGE}&law=us&{GARDEN}",
    "label-doubt": "/label?coat=swiss-butter&filling=swiss-butter&law=eu&sponge_list=flour%0Aground+almonds%0Aegg",
    "label-errors": "/label?coat=none&law=moon&slice_g=-3",
    "label-in-ounces-errors": "/label?coat=swiss-butter&law=us&slice_oz=-3&units=us",
    "own-formula-empty": "/own-formula",
    "own-formula-errors": "/own-formula?name=&family=swiss&lines=4+cups+sugar%0A200+g+mascarpone"
    "%0A1+cup+almond+milk%0A1+cup+ewe+milk%0A2+sticks+butter",
    "own-formula-alone": f"/own-formula?{OWN}",
    "own-formula": f"/own-formula?{OWN}&{GARDEN}",
    "keep": f"/consultations/new?{GARDEN}",
    "consultations": "/consultations",
    "compare-nothing": "/compare",
    "shop": "/shop",
    "shop-prices": "/shop/prices",
    "families": "/families",
    "family": "/families/american",
    "sources": "/sources",
    "words": "/words",
    "style": "/style",
    "not-found": "/families/none",
}
REFUSALS = {name: 422 for name in STATES if name.endswith("-errors")} | {"not-found": 404, "compare-nothing": 422}
