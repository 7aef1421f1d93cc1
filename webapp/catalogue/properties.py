"""Which properties ``data/properties.csv`` may hold: of what, in which unit and within which bounds.

Bounds refuse slips (a density in g/L, a temperature in °F), not unusual values. Every property listed here
must be given for each of its subjects; a buttercream property for each family, optionally for a formulation.
"""

from __future__ import annotations

from dataclasses import dataclass

BUTTERCREAM = "buttercream"
SOLUTES = ("sucrose", "glucose", "fructose", "lactose", "glucose-syrup", "salt")

SUBJECTS: dict[str, tuple[str, ...]] = {
    "sponge": ("sponge:light", "sponge:butter", "sponge:dense"),
    "sponge-sweetness": tuple(f"sponge-sweetness:{level}" for level in range(1, 6)),
    "forkful-sweetness": tuple(f"forkful-sweetness:{level}" for level in range(1, 6)),
    "colour": ("colour:white", "colour:pastel", "colour:deep", "colour:dark"),
    "air": ("air:indoors", "air:outdoors"),
    "forecast": ("forecast",),
    "sky": ("sky",),
    "film": ("film",),
    "conduction": ("conduction",),
    "surroundings": ("surroundings:tent", "surroundings:sun", "surroundings:shade", "surroundings:indoors"),
    "cake": ("cake",),
    "cupcake": ("cupcake",),
    "part": ("part:filling", "part:stack-supported", "part:stack-unsupported"),
    "load": ("load:0-kpa", "load:1-kpa"),
    "piping": ("piping:borders", "piping:rosettes", "piping:fine"),
    "fine-piping": ("fine-piping",),
    "second-batch": ("second-batch",),
    "shared-eggs": ("shared-eggs",),
    "warm-filling": ("warm-filling",),
    "crusting": ("crusting",),
    "wetness": ("wetness",),
    "sweat": ("sweat",),
    "texture": ("texture",),
    "pastel": ("pastel",),
    "mouthful": ("mouthful",),
    "sponge-nutrition": ("sponge-nutrition",),
    "solute": tuple(f"solute:{name}" for name in SOLUTES),
    "sucrose-solution": ("solute:sucrose-solution",),
    "making": ("making",),
    "egg": ("egg:white", "egg:yolk"),
    "pour": ("pour",),
    "rule:kansas": ("rule:kansas",),
    "rule:minnesota": ("rule:minnesota",),
    "rule:iowa": ("rule:iowa",),
    "out:home": ("out:home",),
    "out:four-hours": ("out:four-hours",),
    "out:six-hours": ("out:six-hours",),
    "loss": ("loss",),
    "edge": ("edge:borders", "edge:rosettes", "edge:fine"),
    "rosette": ("rosette",),
    "swirl": ("swirl:low", "swirl:medium", "swirl:tall"),
    "swirl-shape": ("swirl-shape",),
    "slice-cut": ("slice:wedding", "slice:party"),
    "board": ("board",),
    "dowel": ("dowel",),
    "carry": ("carry",),
    "oven": ("oven",),
    "mixer": ("mixer",),
    "shop": ("shop",),
    "syrup": ("syrup",),
    "raw-egg": ("raw-egg:white", "raw-egg:yolk"),
    "heat-step": ("heat-step:syrup", "heat-step:water-bath", "heat-step:cool"),
    "fridge": ("fridge",),
    "chill": ("chill",),
    "kitchen": ("kitchen",),
    "serving": ("serving",),
}


@dataclass(frozen=True, slots=True)
class PropertySpec:
    """One property of one group of subjects: its unit and its plausible bounds, both ends allowed."""

    group: str
    name: str
    unit: str
    low: float
    high: float


PROPERTIES: tuple[PropertySpec, ...] = (
    PropertySpec(BUTTERCREAM, "softens", "C", 15, 45),
    PropertySpec(BUTTERCREAM, "slumps", "C", 18, 55),
    PropertySpec(BUTTERCREAM, "look_smooth", "share", 0, 1),
    PropertySpec(BUTTERCREAM, "look_textured", "share", 0, 1),
    PropertySpec(BUTTERCREAM, "look_borders", "share", 0, 1),
    PropertySpec(BUTTERCREAM, "look_rosettes", "share", 0, 1),
    PropertySpec(BUTTERCREAM, "look_fine", "share", 0, 1),
    PropertySpec(BUTTERCREAM, "smoothness", "feel", 0, 10),
    PropertySpec(BUTTERCREAM, "piping_detail", "feel", 0, 10),
    PropertySpec(BUTTERCREAM, "whiteness", "feel", 0, 10),
    PropertySpec(BUTTERCREAM, "takes_colour", "feel", 0, 10),
    PropertySpec(BUTTERCREAM, "firmness", "feel", 0, 10),
    PropertySpec(BUTTERCREAM, "richness", "feel", 0, 10),
    PropertySpec(BUTTERCREAM, "minutes", "min", 5, 180),
    PropertySpec(BUTTERCREAM, "density", "g/mL", 0.3, 1.3),
    PropertySpec(BUTTERCREAM, "crusts", "share", 0, 1),
    PropertySpec(BUTTERCREAM, "ph", "-", 2, 12),
    PropertySpec(BUTTERCREAM, "refrigerated_days", "days", 1, 30),
    PropertySpec(BUTTERCREAM, "frozen_months", "months", 0, 12),
    PropertySpec("sponge", "density", "kg/m3", 80, 1200),
    PropertySpec("sponge", "conductivity", "W/mK", 0.03, 0.5),
    PropertySpec("sponge", "heat_capacity", "J/kgK", 1200, 4200),
    PropertySpec("sponge-sweetness", "sweetness", "g/100g", 0, 60),
    PropertySpec("forkful-sweetness", "sweetness", "g/100g", 0, 70),
    PropertySpec("colour", "absorptance", "share", 0, 1),
    PropertySpec("air", "error", "K", 0, 10),
    PropertySpec("forecast", "error_per_day", "K", 0, 5),
    PropertySpec("forecast", "error_of_season", "K", 0, 15),
    PropertySpec("sky", "turbidity", "-", 1, 12),
    PropertySpec("film", "factor", "-", 0.2, 5),
    PropertySpec("conduction", "conductivity_factor", "-", 0.2, 5),
    PropertySpec("conduction", "capacity_factor", "-", 0.2, 5),
    PropertySpec("surroundings", "warming", "K", -10, 40),
    PropertySpec("cake", "filling_mm", "mm", 1, 40),
    PropertySpec("cake", "crumb_coat_mm", "mm", 0.5, 10),
    PropertySpec("cake", "dam_mm", "mm", 2, 30),
    PropertySpec("cupcake", "width_mm", "mm", 20, 120),
    PropertySpec("cupcake", "height_mm", "mm", 10, 100),
    PropertySpec("cupcake", "swirl_mm", "mm", 0, 80),
    PropertySpec("cupcake", "core_ml", "mL", 0, 60),
    PropertySpec("part", "softening_share", "share", 0, 1),
    PropertySpec("load", "needs_firmness", "feel", 0, 10),
    PropertySpec("load", "least_firmness", "feel", 0, 10),
    PropertySpec("piping", "needs_detail", "feel", 0, 10),
    PropertySpec("fine-piping", "least_detail", "feel", 0, 10),
    PropertySpec("second-batch", "minutes_share", "share", 0, 1),
    PropertySpec("shared-eggs", "saves_minutes", "min", 0, 60),
    PropertySpec("warm-filling", "firmness_per_k", "feel/K", 0, 10),
    PropertySpec("wetness", "softening_per_point", "K", 0, 10),
    PropertySpec("crusting", "full_below", "%", 5, 100),
    PropertySpec("crusting", "none_above", "%", 5, 100),
    PropertySpec("crusting", "minutes", "min", 1, 240),
    PropertySpec("sweat", "visible_from", "g/m2", 0, 1000),
    PropertySpec("sweat", "runs_from", "g/m2", 0, 1000),
    PropertySpec("texture", "smoothness_share", "share", 0, 1),
    PropertySpec("pastel", "whiteness_share", "share", 0, 1),
    PropertySpec("mouthful", "filling_share", "share", 0, 1),
    PropertySpec("sponge-nutrition", "energy", "kcal/100g", 50, 700),
    PropertySpec("sponge-nutrition", "fat", "g/100g", 0, 60),
    PropertySpec("sponge-nutrition", "carbohydrate", "g/100g", 0, 100),
    PropertySpec("sponge-nutrition", "sugar", "g/100g", 0, 100),
    PropertySpec("sponge-nutrition", "protein", "g/100g", 0, 40),
    PropertySpec("solute", "molar_mass", "g/mol", 18, 2000),
    PropertySpec("solute", "norrish_k", "-", 0, 20),
    PropertySpec("solute", "particles", "-", 1, 3),
    PropertySpec("sucrose-solution", "solubility", "%", 60, 75),
    PropertySpec("sucrose-solution", "saturated_activity", "-", 0.7, 0.95),
    PropertySpec("making", "water_lost", "share", 0, 0.3),
    PropertySpec("egg", "specific_heat", "J/gK", 2, 4.3),
    PropertySpec("pour", "egg_c", "C", 0, 45),
    PropertySpec("pour", "bowl_c", "C", 0, 45),
    PropertySpec("pour", "left_share", "share", 0, 0.3),
    PropertySpec("pour", "stream_k", "K", 0, 20),
    PropertySpec("pour", "bowl_capacity", "J/K", 0, 2000),
    PropertySpec("pour", "steam_share", "share", 0, 0.1),
    PropertySpec("rule:kansas", "least_sugar", "share", 0.5, 0.8),
    PropertySpec("rule:minnesota", "least_brix", "share", 0.5, 0.8),
    PropertySpec("rule:minnesota", "most_activity", "-", 0.6, 1),
    PropertySpec("rule:iowa", "most_activity", "-", 0.6, 1),
    PropertySpec("out:home", "hours", "h", 0, 12),
    PropertySpec("out:home", "hot_hours", "h", 0, 12),
    PropertySpec("out:home", "hot_above", "C", 20, 45),
    PropertySpec("out:four-hours", "hours", "h", 0, 12),
    PropertySpec("out:four-hours", "start_at_most", "C", 0, 10),
    PropertySpec("out:six-hours", "hours", "h", 0, 12),
    PropertySpec("out:six-hours", "start_at_most", "C", 0, 10),
    PropertySpec("out:six-hours", "food_at_most", "C", 10, 30),
    PropertySpec("fridge", "air", "C", -5, 12),
    PropertySpec("fridge", "still_air", "m/s", 0, 1),
    PropertySpec("fridge", "moved_air", "m/s", 0, 5),
    PropertySpec("fridge", "cupcakes", "pieces", 1, 200),
    PropertySpec("chill", "coat_firm", "C", 5, 20),
    PropertySpec("chill", "through", "K", 0.5, 10),
    PropertySpec("kitchen", "air", "C", 5, 40),
    PropertySpec("serving", "coat", "C", 5, 30),
    PropertySpec("serving", "core", "C", 5, 30),
    PropertySpec("loss", "bowl", "%", 0, 25),
    PropertySpec("loss", "bag", "%", 0, 25),
    PropertySpec("loss", "trimming", "%", 0, 25),
    PropertySpec("edge", "top_ml_m", "mL/m", 0, 1000),
    PropertySpec("edge", "foot_ml_m", "mL/m", 0, 1000),
    PropertySpec("rosette", "width_mm", "mm", 10, 120),
    PropertySpec("rosette", "height_mm", "mm", 3, 60),
    PropertySpec("rosette", "spacing_mm", "mm", 10, 120),
    PropertySpec("swirl", "height_mm", "mm", 5, 90),
    PropertySpec("swirl-shape", "of_cylinder", "share", 0.2, 0.8),
    PropertySpec("slice-cut", "volume", "mL", 20, 1000),
    PropertySpec("board", "thickness_mm", "mm", 1, 30),
    PropertySpec("board", "margin_mm", "mm", 0, 200),
    PropertySpec("dowel", "each_cm", "cm", 2, 15),
    PropertySpec("dowel", "least", "-", 2, 10),
    PropertySpec("carry", "apart_kg", "kg", 1, 30),
    PropertySpec("carry", "apart_tiers", "-", 2, 8),
    PropertySpec("oven", "shelf_width", "cm", 20, 120),
    PropertySpec("oven", "shelf_depth", "cm", 20, 120),
    PropertySpec("oven", "shelves", "-", 1, 20),
    PropertySpec("oven", "gap", "cm", 0, 10),
    PropertySpec("oven", "cupcakes", "pieces", 6, 400),
    PropertySpec("mixer", "bowl_l", "L", 1, 80),
    PropertySpec("mixer", "fill_share", "share", 0.2, 1),
    PropertySpec("shop", "price_share", "share", 0.1, 5),
    PropertySpec("syrup", "start_water", "share", 0.1, 1),
    PropertySpec("raw-egg", "refrigerated_days", "days", 1, 30),
    PropertySpec("raw-egg", "frozen_months", "months", 0, 12),
    PropertySpec("heat-step", "minutes", "min", 1, 60),
)

_GROUP_OF = {subject: group for group, subjects in SUBJECTS.items() for subject in subjects}
_SPECS = {(spec.group, spec.name): spec for spec in PROPERTIES}
PROPERTY_NAMES: tuple[str, ...] = tuple(dict.fromkeys(spec.name for spec in PROPERTIES))
PROPERTY_UNITS: tuple[str, ...] = tuple(dict.fromkeys(spec.unit for spec in PROPERTIES))


def group_of(subject: str) -> str:
    """Return the group of a subject; whatever is no listed subject can only be a buttercream."""
    return _GROUP_OF.get(subject, BUTTERCREAM)


def property_spec(subject: str, name: str) -> PropertySpec | None:
    """Return what is known of a property of this subject, or nothing where it has no such property."""
    return _SPECS.get((group_of(subject), name))


def names_for(subject: str) -> tuple[str, ...]:
    """Return the properties that a subject has."""
    group = group_of(subject)
    return tuple(spec.name for spec in PROPERTIES if spec.group == group)


def required_facts(families: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Return every (subject, property) that the data must give, for these families."""
    subjects = {BUTTERCREAM: families, **SUBJECTS}
    return tuple((subject, spec.name) for spec in PROPERTIES for subject in subjects[spec.group])
