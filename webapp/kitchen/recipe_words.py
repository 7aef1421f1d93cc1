"""The words of recipe lines: units as people write them, remarks that change no weight, names made comparable."""

from __future__ import annotations

import re
import unicodedata

_SPELLINGS = {
    "g": "g gr gm gms gram grams gramme grammes",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "oz": "oz ozs ounce ounces",
    "lb": "lb lbs pound pounds",
    "cup": "c cup cups",
    "tbsp": "tbsp tbsps tbs tbl tblsp tablespoon tablespoons",
    "tsp": "tsp tsps teaspoon teaspoons",
    "fl oz": "floz",
    "pint": "pt pint pints",
    "quart": "qt quart quarts",
    "mL": "ml mls cc millilitre millilitres milliliter milliliters",
    "cL": "cl centilitre centilitres centiliter centiliters",
    "dL": "dl decilitre decilitres deciliter deciliters",
    "L": "l litre litres liter liters",
    "stick": "stick sticks",
    "pinch": "pinch pinches",
    "dash": "dash dashes",
}
UNITS = {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in spellings.split()}
# In these the capital is the whole difference.
CAPITALS = {"T": "tbsp", "Tb": "tbsp", "t": "tsp"}
FLUID_OUNCE = re.compile(r"(?:fl|fluid)\.?\s*(?:ozs?|ounces?)\b\.?", re.IGNORECASE)
CONTAINERS = frozenset(
    "bag bags box boxes package packages pkg packet packets can cans tub tubs carton cartons".split()
) | {
    *("block", "blocks", "container", "containers", "jar", "jars", "tin", "tins", "bottle", "bottles", "pack", "packs")
}
NO_WEIGHT = frozenset(
    "handful handfuls knob knobs dollop dollops splash splashes drop drops glug glugs scoop scoops spoon spoons "
    "spoonful spoonfuls glass glasses mug mugs part parts drizzle dab lump lumps sprinkle bit bits little some few "
    "sheet sheets square squares slice slices".split()
)
NUMBER_WORDS = {
    "a": "1",
    "an": "1",
    "one": "1",
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "eight": "8",
    "nine": "9",
    "ten": "10",
    "twelve": "12",
    "dozen": "12",
    "half": "1/2",
    "quarter": "1/4",
}
SIZES = {
    "small": "small",
    "medium": "medium",
    "large": "large",
    "lg": "large",
    "xl": "extra-large",
    "extra-large": "extra-large",
    "jumbo": "jumbo",
}
LEVELLED = frozenset({"scant", "heaped", "heaping", "generous", "rounded"})
REMARKS = LEVELLED | frozenset(
    "softened soft melted cold cool cooled chilled warm hot boiling lukewarm room temperature temp at about approx "
    "approximately roughly good quality fresh freshly squeezed pure real fine finely sifted unsifted divided chopped "
    "cubed cut into cube piece small-cubes diced sliced organic separated beaten lightly slightly very well drained "
    "reduced "
    "packed unpacked loosely firmly level leveled levelled optional homemade strained only and but still plus rinsed "
    "weighed measured total each spooned piled plain shell aged thawed defrosted frozen juice-only in if needed as "
    "preferably best".split()
)
_FILL = frozenset({"of", "the", "a", "an", "from", "s"})


def without_accents(text: str) -> str:
    """Return a text with its accents taken off, so that ``crème`` is ``creme``."""
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))


def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a name made comparable: small, singular, without marks and little words."""
    plain = re.sub(r"['’`]", "", without_accents(text).lower())
    return tuple(singular(word) for word in re.findall(r"[a-z0-9%]+", plain) if word not in _FILL)


def singular(word: str) -> str:
    """Return a word without its plural s.

    >>> singular("whites"), singular("boxes"), singular("grass")
    ('white', 'boxe', 'grass')
    """
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


_SINGULAR_REMARKS = frozenset(singular(word) for word in REMARKS)


def is_remark(word: str) -> bool:
    """Tell whether a word of a name, made comparable, changes neither the ingredient nor its weight."""
    return word in _SINGULAR_REMARKS
