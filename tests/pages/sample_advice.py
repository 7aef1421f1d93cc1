"""Made-up advice in every shape that the pages must show; the numbers are not results."""

from __future__ import annotations

import math
from typing import Any

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.units import Measures

AMERICAN = {
    "formulation": "american-half-shortening",
    "name": "American, half butter and half high-ratio shortening",
    "family": "american",
    "family_name": "American",
}
SWISS = {
    "formulation": "swiss-butter",
    "name": "Swiss, all butter",
    "family": "swiss",
    "family_name": "Swiss",
}
FRENCH = {
    "formulation": "french-butter",
    "name": "French, all butter",
    "family": "french",
    "family_name": "French",
}
SOURCES = {
    "common-practice": "Common practice of the trade, no source",
    "usda-fsis-eggs": "US Department of Agriculture, Shell Eggs from Farm to Table",
    "computed": "Computed here",
}
VALUES = {
    "heat": 0.9,
    "hold_time": 0.8,
    "sweetness": 0.35,
    "piping": 0.85,
    "finish": 0.6,
    "stacking": 0.9,
    "colour": 1.0,
    "richness": 0.5,
    "mouthfeel": 0.5,
    "humidity": 0.5,
    "effort": 0.7,
}


def _hold(needed: float, likely: float, low: float, high: float, chance: float) -> dict[str, Any]:
    return {
        "needed_h": needed,
        "likely_h": likely,
        "low_h": low,
        "high_h": high,
        "peak_coat_c": 27.4,
        "peak_low_c": 25.9,
        "peak_high_c": 29.2,
        "softens_c": 29.5,
        "softens_low_c": 26.5,
        "softens_high_c": 32.5,
        "chance": chance,
        "sentence": "Likely to keep its look a little longer than you need.",
    }


def _course(needed: float) -> dict[str, Any]:
    hours = [-0.75 + 0.25 * step for step in range(int((needed + 1.75) * 4) + 1)]
    coat = [31 - 27 * math.exp(-(hour + 0.75) / 1.6) for hour in hours]
    return {
        "hours": hours,
        "coat_c": coat,
        "low_c": [celsius - 0.1 * (celsius - 4) for celsius in coat],
        "high_c": [celsius + 0.08 * (celsius - 4) for celsius in coat],
        "air_c": [21.0 if hour < 0 else 31 - 0.4 * hour for hour in hours],
        "tier": "Tier 3, the smallest, decides",
    }


def _ranked(named: dict[str, str], score: float, hold: dict[str, Any] | None) -> dict[str, Any]:
    holds = None if hold is None else hold["chance"] >= 0.9
    return named | {"score": score, "values": VALUES, "hold": hold, "holds": holds}


def _reason(criterion: str, title: str, role: str, text: str, value: float) -> dict[str, Any]:
    fact = {
        "subject": "american",
        "name": "softens",
        "value": 27.0,
        "low": 24.0,
        "high": 29.0,
        "unit": "C",
        "basis": "common-practice",
        "source": "common-practice",
    }
    return {
        "criterion": criterion,
        "title": title,
        "role": role,
        "text": text,
        "value": value,
        "weight": 0.2,
        "speaks": "for" if value >= 0.5 else "against",
        "facts": [fact],
        "source": "common-practice",
    }


def _part(likely: float, low: float, chance: float, sentence: str) -> dict[str, Any]:
    return {"likely_h": likely, "low_h": low, "chance": chance, "sentence": sentence}


def _rich(hold: dict[str, Any]) -> dict[str, Any]:
    french_hold = _hold(3, 0.9, 0.6, 1.3, 0.02)
    pair = {"coat": AMERICAN, "filling": SWISS}
    return {
        "pairing": pair
        | {
            "score": 0.74,
            "confidence": 0.68,
            "confidence_of_coat": 0.94,
            "sure": "American outside is clearly the best choice.",
            "needs_dam": True,
            "summary": "A coat that stands the garden, a light and less sweet filling.",
        },
        "hold": hold,
        "parts": {
            "coat": _part(4.4, 3.6, 0.97, "Keeps a clean surface."),
            "detail": _part(hold["likely_h"], hold["low_h"], hold["chance"], "Rosettes go first."),
            "filling": _part(12, 7.5, 0.99, "Stays cool inside the cake."),
            "stack": _part(12, 9, 0.99, "Boards and dowels carry the tiers."),
        },
        "coats": [_ranked(AMERICAN, 0.71, hold), _ranked(SWISS, 0.64, french_hold)],
        "fillings": [_ranked(SWISS, 0.78, None), _ranked(FRENCH, 0.75, None)],
        "pairings": [
            pair | {"score": 0.74, "hold_class": "holds", "tied_with_first": True, "values": VALUES},
            {"coat": AMERICAN, "filling": FRENCH, "score": 0.73}
            | {"hold_class": "holds", "tied_with_first": True, "values": VALUES},
        ],
        "reasons": [
            _reason("heat", "Standing the heat", "coat", "Its sugar crystals keep it standing.", 0.9),
            _reason("sweetness", "Sweetness", "pair", "A forkful is a little sweeter than was asked.", 0.35),
        ],
        "levers": [
            {"lever": "start", "from": "15:00", "to": "17:30", "effect": "Start later.", "verdict": "holds"},
            {"lever": "start_c", "from": 4.0, "to": 1.0, "effect": "Leave colder.", "verdict": "holds"},
        ],
        "taste": {"coat": SWISS, "filling": FRENCH, "is_the_advice": False, "hold": french_hold}
        | {"takes": "Indoors until cutting.", "firmer": None},
        "stress": {"chance": hold["chance"], "hotter": 0.61, "later": 0.72, "both": 0.38, "spare_k": 1.2, "even_k": 3.4}
        | {"sentence": "Hotter than forecast, it becomes a close call."},
        "moisture": MOISTURE,
        "food_clock": FOOD_CLOCK,
        "course": _course(hold["needed_h"]),
    }


FOOD_CLOCK = {
    "out_h": 3.75,
    "limit_h": 2,
    "is_longer": True,
    "short": "Food rule for homes: 2 h; you ask for 3 h 45 min",
    "sentence": "You ask for 3 h 45 min out of the fridge; the rule for homes allows 2 h.",
    "source": "usda-fsis-two-hour",
}
MOISTURE = {
    "amount": "sweat",
    "minutes": 25,
    "minutes_low": 15,
    "minutes_high": 35,
    "grams_m2": 22,
    "grams_m2_low": 15,
    "grams_m2_high": 30,
    "boxed_until": "15:40",
    "sentence": "Out of its box it sweats for 25 min (15 min to 35 min). Keep it shut until 15:40.",
    "crust": "Wait for the crust before smoothing with paper.",
}


def _common() -> dict[str, Any]:
    excluded = {"role": "coat", "limit": "role-fine-piping", "because": "Too soft to take fine piping."}
    return {
        "cut_by": None,
        "deadline": None,
        "excluded": [FRENCH_EXCLUDED | excluded],
        "cautions": [
            {
                "id": "egg-71c",
                "text": "Heat whites with their sugar to 71 °C (160 °F).",
                "source": "usda-fsis-eggs",
            }
        ],
        "assumed": [{"field": "humidity_pct", "taken": "50", "text": "Humidity is 50 % at the warmest time."}],
        "nothing_fits": None,
        "sources": SOURCES,
    }


FRENCH_EXCLUDED = {
    "formulation": "french-butter",
    "name": "French, all butter",
    "family": "french",
    "source": "common-practice",
}
EMPTY: dict[str, Any] = {
    "pairing": None,
    "hold": None,
    "parts": None,
    "coats": [],
    "fillings": [],
    "pairings": [],
    "reasons": [],
    "levers": [],
    "taste": None,
    "stress": None,
    "moisture": None,
    "food_clock": None,
    "course": None,
}


def garden_wedding(brief: Brief) -> Advice:
    answer = {
        "verdict": "holds",
        "headline": "American outside and Swiss between: likely to hold 3 h 40 min, and you need 3 h.",
    }
    return _advice(
        brief,
        _common()
        | _rich(_hold(3, 3.7, 3.1, 4.6, 0.93))
        | {
            "cut_by": "18:05",
            "deadline": "Cut at 18:00 as planned; the look keeps longer than that.",
        }
        | answer,
    )


def no_coat_holds(brief: Brief) -> Advice:
    answer = {"verdict": "no-coat-holds", "headline": "No coat keeps its look for 5 h in this sun."}
    return _advice(brief, _common() | _rich(_hold(5, 0.7, 0.4, 1.1, 0.0)) | answer)


def nothing_fits(brief: Brief) -> Advice:
    answer = {
        "verdict": "nothing-fits",
        "headline": "No formula is left that keeps every limit.",
        "nothing_fits": {
            "role": "both",
            "limits": ["vegan", "soy-free", "coconut-free"],
            "text": "Vegan, soy-free and coconut-free together rule out every formula.",
            "relaxations": [
                {"limits": ["soy-free"], "text": "Without soy-free, one fits.", "then": ["american-plant"]}
            ],
        },
    }
    return _advice(brief, _common() | EMPTY | answer)


def _advice(brief: Brief, shape: dict[str, Any]) -> Advice:
    return Advice.model_validate(shape | {"brief": brief})


def sample_advisor(brief: Brief, measures: Measures) -> Advice:
    """Answer like an advisor: by the diet and the sun, so that every page can be asked for by its address."""
    if len(brief.diet) > 2:
        return nothing_fits(brief)
    return no_coat_holds(brief) if brief.setting == "sun" else garden_wedding(brief)
