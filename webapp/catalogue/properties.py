"""Which properties ``data/properties.csv`` may hold: of what, in which unit and within which bounds.

Bounds refuse slips (a density in g/L, a temperature in °F), not unusual values. Every property listed here
must be given for each of its subjects; a buttercream property for each family, optionally for a formulation.
"""

from __future__ import annotations

from dataclasses import dataclass

BUTTERCREAM = "buttercream"

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
