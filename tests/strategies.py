"""Random valid briefs, for every test that must hold for all of them."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any, get_args

from hypothesis import strategies as st

from webapp.advice.brief import (
    Brief,
    Colour,
    CriterionId,
    Diet,
    Equipment,
    Finish,
    Piping,
    Setting,
    Shape,
    Sponge,
    read_brief,
)

ZONES = ("Europe/Rome", "America/Chicago", "Asia/Kolkata", "UTC")
PLACES = ("Verona", "Portland, Maine", "Nairobi, KE", "Reykjavik", "Ushuaia, Argentina")


def decimals(low: float, high: float, places: int = 2) -> st.SearchStrategy[float]:
    """Numbers as people type them: at most two decimals."""
    grain = 10**places
    return st.integers(round(low * grain), round(high * grain)).map(lambda number: number / grain)


def choices(literal: Any) -> st.SearchStrategy[str]:
    return st.sampled_from(get_args(literal))


def several(literal: Any) -> st.SearchStrategy[list[str]]:
    return st.lists(choices(literal), unique=True)


@st.composite
def forecasts(draw: st.DrawFn) -> str:
    """Tables by the hour, as they are pasted: some have humidity, and some wind beside it; the air may leap."""
    columns = [decimals(-40, 50, 1), decimals(5, 100, 0), decimals(0, 15, 1)][: draw(st.integers(1, 3))]
    first, count, mark = draw(st.tuples(st.integers(0, 23), st.integers(2, 12), st.sampled_from(",;\t")))
    hours = [[draw(column) for column in columns] for _ in range(count)]
    rows = [[f"{(first + n) % 24}:00", *(f"{number:g}" for number in hour)] for n, hour in enumerate(hours)]
    return "\n".join(mark.join(row) for row in rows)


def tier_shapes() -> st.SearchStrategy[dict[str, Any]]:
    """JSON shapes of tiers: the width always given, the rest sometimes; another side only of a rectangle."""
    tiers = st.fixed_dictionaries(
        {"width_cm": decimals(8, 80)},
        optional={
            "shape": choices(Shape),
            "depth_cm": decimals(8, 80),
            "height_cm": decimals(4, 40),
            "layers": st.integers(1, 10),
        },
    )
    return tiers.map(_with_a_fitting_side)


def _with_a_fitting_side(tier: dict[str, Any]) -> dict[str, Any]:
    if tier.get("shape") != "rectangle":
        return {name: value for name, value in tier.items() if name != "depth_cm"}
    return tier | ({"depth_cm": min(tier["depth_cm"], tier["width_cm"])} if "depth_cm" in tier else {})


def cakes() -> st.SearchStrategy[list[dict[str, Any]]]:
    """Tiers that can be stacked: none is wider than the one below."""
    tiers = st.lists(tier_shapes(), min_size=1, max_size=5)
    return tiers.map(lambda rows: sorted(rows, key=lambda row: -row["width_cm"]))


OWN_RECIPES: dict[str, tuple[str, list[str]]] = {
    "american": ("none", ["4 cups icing sugar", "1 cup butter, softened", "2-3 tbsp milk", "a pinch of salt"]),
    "swiss": ("heated-71c", ["4 large egg whites", "1 1/4 cups caster sugar", "3 sticks (340 g) butter"]),
    "italian": ("syrup-cooked", ["150 g egg whites", "300 g white sugar", "75 ml water", "1 lb unsalted butter"]),
    "french": (
        "pasteurised",
        ["140 g pasteurised yolks", "240 g sugar [granulated sugar]", "60 g water", "400 g butter"],
    ),
}


def own_formula_shapes() -> st.SearchStrategy[list[dict[str, Any]]]:
    """JSON shapes of own formulas of some families, each under its own name."""
    families = st.lists(st.sampled_from(sorted(OWN_RECIPES)), max_size=3, unique=True)
    return families.map(lambda names: [_own_shape(family) for family in names])


def _own_shape(family: str) -> dict[str, Any]:
    treatment, lines = OWN_RECIPES[family]
    return {"name": f"Our {family}", "family": family, "egg_treatment": treatment, "lines": lines}


_OPTIONAL: dict[str, st.SearchStrategy[Any]] = {
    "setting": choices(Setting),
    "humidity_pct": decimals(5, 100),
    "wind_mps": decimals(0, 15),
    "hold_hours": decimals(0, 12),
    "date": st.dates(dt.date(1951, 1, 1), dt.date(2099, 12, 31)).map(lambda day: day.isoformat()),
    "start": st.times().map(lambda time: time.strftime("%H:%M")),
    "timezone": st.sampled_from(ZONES),
    "altitude_m": decimals(-400, 5000),
    "travel_minutes": decimals(0, 600),
    "travel_c": decimals(-10, 50),
    "start_c": decimals(-5, 30),
    "tiers": cakes(),
    "cupcakes": st.integers(0, 2000),
    "supported": st.booleans(),
    "cake_sweetness": st.integers(1, 5),
    "sweetness": st.integers(1, 5),
    "piping": choices(Piping),
    "finish": choices(Finish),
    "colour": choices(Colour),
    "coat_mm": decimals(3, 20),
    "sponge": choices(Sponge),
    "diet": several(Diet),
    "equipment": several(Equipment),
    "importance": st.dictionaries(choices(CriterionId), decimals(0, 5)),
    "place": st.sampled_from(PLACES),
    "cloud_pct": decimals(0, 100),
    "weather": forecasts(),
    "own_formulas": own_formula_shapes(),
}


GIVEN_FIELDS = frozenset({*_OPTIONAL, "air_high_c", "air_low_c", "latitude", "longitude"})


@st.composite
def brief_shapes(draw: st.DrawFn) -> dict[str, Any]:
    """JSON shapes of valid briefs, each field given or left out."""
    shape = draw(st.fixed_dictionaries({}, optional=_OPTIONAL))
    if draw(st.booleans()):
        shape["air_high_c"] = draw(decimals(-10, 50))
    if draw(st.booleans()):
        shape["air_low_c"] = draw(decimals(-40, shape.get("air_high_c", 21.0)))
    if draw(st.booleans()):
        shape |= {"latitude": draw(decimals(-90, 90)), "longitude": draw(decimals(-180, 180))}
    if shape.get("cupcakes") and draw(st.booleans()):
        shape["tiers"] = []
    return shape


def hot_brief_shapes() -> st.SearchStrategy[dict[str, Any]]:
    """JSON shapes of briefs for hot days and hours of display, many of which need something changed."""
    heat = st.fixed_dictionaries(
        {
            "setting": choices(Setting),
            "air_high_c": decimals(28, 50),
            "hold_hours": decimals(0.5, 10),
            "start": st.sampled_from(["11:00", "13:30", "15:00", "18:00"]),
            "diet": st.sampled_from([["soy-free"], ["egg-free", "soy-free"], ["vegan"], []]),
        }
    )
    return st.tuples(brief_shapes(), heat).map(
        lambda both: {name: value for name, value in both[0].items() if name != "air_low_c"} | both[1]
    )


def briefs() -> st.SearchStrategy[Brief]:
    """Valid briefs, read as the API reads them."""
    return brief_shapes().map(lambda shape: read_brief(json.dumps(shape)))
