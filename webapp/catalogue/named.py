"""The rows that the advisor asks for by name: without one of them a page or a caution would be missing.

A test holds these lists to the criteria, the limits and the occasions of the code.
"""

from __future__ import annotations

# Criterion: the unit of what it measures, which its points are in.
CRITERION_UNITS: dict[str, str] = {
    "heat": "K",
    "hold_time": "-",
    "sweetness": "g/100g",
    "piping": "feel",
    "finish": "feel",
    "stacking": "feel",
    "humidity": "share",
    "colour": "feel",
    "richness": "feel",
    "mouthfeel": "g/100g",
    "effort": "min",
}

_LIMITS = (
    *("egg-free", "dairy-free", "vegan", "soy-free", "coconut-free", "tree-nut-free", "gluten-free"),
    *("no-undercooked-egg", "equipment", "load-too-great", "too-soft-for-fine-piping"),
)
_CAUTIONS = (
    *("egg-cooking", "syrup-not-pasteurising", "hot-syrup-burns", "time-out", "time-control", "at-risk-guests"),
    *("allergens", "label-check", "aquafaba-legume", "cross-contact", "stacked-supports", "not-food"),
    *("fresh-flowers", "heat-estimate", "planning-help"),
)
_KEEPING = (
    *("food-code-b", "food-code-a", "kansas-sugar", "minnesota", "iowa-activity", "four-hours", "six-hours"),
    *("sugar-protects", "egg-code"),
)
# Rule: its kind.
RULE_KINDS: dict[str, str] = {
    **dict.fromkeys(_LIMITS, "limit"),
    **dict.fromkeys(_CAUTIONS, "caution"),
    **dict.fromkeys(_KEEPING, "keeping"),
}

# Kind of rule: on what occasion it can be shown.
OCCASIONS: dict[str, tuple[str, ...]] = {
    "limit": ("diet", "equipment", "stacked", "piping"),
    "caution": (
        *("always", "egg", "syrup", "syrup-cooked-egg", "perishable", "stacked", "piped-flowers", "diet"),
        *("label", "aquafaba", "heat"),
    ),
    "keeping": ("room", "time", "meringue", "egg-table"),
}

# What a rule's sentence may leave open, to be filled by whoever shows it.
PLACEHOLDERS: dict[str, frozenset[str]] = {"limit": frozenset({"what", "name"})}

FATS = ("milk-fat",)
INGREDIENTS = ("water", "egg-white", "egg-yolk")
