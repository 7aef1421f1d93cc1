"""What each field of the brief is called when a person is asked, and the words of every choice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from webapp.advice.brief import Brief, Tier
from webapp.advice.plan_options import PlanOptions

Kind = Literal["number", "choice", "yes-no", "text", "lines", "many"]


@dataclass(frozen=True, slots=True)
class Asked:
    """How a field is asked: its label on the form, and its noun in a sentence."""

    kind: Kind
    label: str
    noun: str


ASKED = {
    "setting": Asked("choice", "Where will the cake stand?", "where the cake stands"),
    "air_high_c": Asked("number", "Warmest air around the cake", "the warmest air"),
    "air_low_c": Asked("number", "Coolest air that day", "the coolest air that day"),
    "humidity_pct": Asked("number", "Humidity at the warmest time", "the humidity"),
    "wind_mps": Asked("number", "Air movement at the cake", "the air movement"),
    "hold_hours": Asked("number", "Hours on display until it is cut", "the hours on display"),
    "date": Asked("text", "Day of the event", "the day of the event"),
    "start": Asked("text", "Display starts at", "the time at which the display starts"),
    "latitude": Asked("number", "Latitude", "the latitude"),
    "longitude": Asked("number", "Longitude", "the longitude"),
    "timezone": Asked("text", "Time zone", "the time zone"),
    "place": Asked("text", "City", "the city"),
    "cloud_pct": Asked("number", "Cloud", "the cloud"),
    "weather": Asked("lines", "Forecast by the hour", "the forecast"),
    "altitude_m": Asked("number", "Altitude", "the altitude"),
    "travel_minutes": Asked("number", "Minutes on the road", "the minutes on the road"),
    "travel_c": Asked("number", "Air around the boxed cake on the way", "the air on the way"),
    "start_c": Asked("number", "How cold is the coat when it leaves the kitchen?", "the coat's temperature at leaving"),
    "cupcakes": Asked("number", "Cupcakes", "the number of cupcakes"),
    "supported": Asked("yes-no", "Is every upper tier on a board and dowels?", "whether it is supported"),
    "cake_sweetness": Asked("choice", "How sweet is the sponge?", "how sweet the sponge is"),
    "sweetness": Asked("choice", "How sweet should the whole taste?", "how sweet the whole should taste"),
    "piping": Asked("choice", "Piped detail", "the piped detail"),
    "finish": Asked("choice", "Finish of the coat", "the finish"),
    "colour": Asked("choice", "Colour of the coat", "the colour"),
    "coat_mm": Asked("number", "Thickness of the coat", "the thickness of the coat"),
    "sponge": Asked("choice", "Kind of sponge", "the kind of sponge"),
    "diet": Asked("many", "What must it be free of?", "what it must be free of"),
    "equipment": Asked("many", "What is in the kitchen?", "what is in the kitchen"),
    "tiers": Asked("many", "Tiers", "the tiers"),
    "own_formulas": Asked("many", "Own formulas", "your own formula"),
    "importance": Asked("many", "What matters most?", "what matters most"),
    "shape": Asked("choice", "Shape", "the shape"),
    "width_cm": Asked("number", "Width", "the width"),
    "depth_cm": Asked("number", "Other side", "the other side"),
    "height_cm": Asked("number", "Height", "the height"),
    "layers": Asked("number", "Layers", "the layers of sponge"),
}

# The fields of an own formula are asked on a page of their own.
ASKED_OF_OWN = {
    "name": Asked("text", "What do you call it?", "its name"),
    "family": Asked("choice", "Which family is it?", "its family"),
    "egg_treatment": Asked("choice", "How is the egg heated?", "how its egg is heated"),
    "lines": Asked("lines", "The recipe, one ingredient a line", "its lines"),
}

CHOICES: dict[str, dict[str, str]] = {
    "family": {
        "american": "American: fat beaten with powdered sugar",
        "swiss": "Swiss: whites warmed with the sugar",
        "italian": "Italian: hot syrup into whites",
        "french": "French: hot syrup, or heat, and yolks",
    },
    "egg_treatment": {
        "none": "It has no egg",
        "heated-71c": "The whole egg mix is heated to 71 °C (160 °F), measured",
        "syrup-cooked": "By hot syrup alone",
        "pasteurised": "The egg was bought pasteurised",
    },
    "setting": {
        "indoors": "Indoors",
        "tent": "In a tent or marquee",
        "shade": "Outdoors, in the shade",
        "sun": "Outdoors, the sun reaches it",
    },
    "piping": {
        "none": "None",
        "borders": "Borders",
        "rosettes": "Rosettes and swirls",
        "fine": "Fine work: flowers, lace, strings",
    },
    "finish": {"smooth": "Smooth, sharp edges", "textured": "Textured: strokes, ridges, swirls"},
    "colour": {"white": "White or ivory", "pastel": "Pastel", "deep": "Deep", "dark": "Dark or black"},
    "sponge": {"light": "Light: whisked or chiffon", "butter": "Butter sponge", "dense": "Dense: pound, mud"},
    "shape": {
        "round": "Round",
        "square": "Square",
        "rectangle": "Rectangle",
        "hexagon": "Hexagon",
        "heart": "Heart",
    },
    "sweetness": {"1": "Barely", "2": "A little", "3": "Medium", "4": "Sweet", "5": "Very"},
    "cake_sweetness": {"1": "Barely", "2": "A little", "3": "Medium", "4": "Sweet", "5": "Very"},
    "supported": {"true": "Yes", "false": "No"},
    "diet": {
        "egg-free": "Egg",
        "dairy-free": "Dairy",
        "vegan": "Anything from animals (vegan)",
        "soy-free": "Soy",
        "coconut-free": "Coconut",
        "tree-nut-free": "Tree nuts",
        "gluten-free": "Gluten",
        "no-undercooked-egg": "Undercooked egg",
    },
    "equipment": {"stand-mixer": "A stand mixer", "thermometer": "A sugar or probe thermometer"},
}

CRITERIA = {
    "heat": "Standing the heat",
    "hold_time": "Lasting longer than needed",
    "sweetness": "Sweetness that fits",
    "piping": "Crisp piped detail",
    "finish": "A smooth finish",
    "stacking": "Carrying the tiers",
    "humidity": "A crust that keeps off dust",
    "colour": "Taking the colour",
    "richness": "Richness",
    "mouthfeel": "Melting on the tongue",
    "effort": "Little work",
}

WHOLE = frozenset({"cupcakes", "layers", "sweetness", "cake_sweetness"})


def bounds_of(field: str) -> tuple[float, float]:
    """Return what the brief, or the options of a plan, allow for a number, so that page and API never differ."""
    if field.startswith("importance"):
        return 0, 5
    model = next(model for model in (Brief, Tier, PlanOptions) if field in model.model_fields)
    limits: dict[str, Any] = {}
    for rule in model.model_fields[field].metadata:
        limits |= {key: getattr(rule, key) for key in ("ge", "le") if hasattr(rule, key)}
    return limits["ge"], limits["le"]
