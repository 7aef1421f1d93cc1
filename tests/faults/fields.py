"""Sound fillings of every form and address, and ways to spoil a field of them."""

from __future__ import annotations

import random
from collections.abc import Callable
from urllib.parse import quote

from webapp.records.model import new_id

FORM = "application/x-www-form-urlencoded"
Value = str | bytes
Fields = list[tuple[str, Value]]

BRIEF: Fields = [
    ("setting", "sun"),
    ("air_high_c", "31.5"),
    ("air_low_c", "19"),
    ("humidity_pct", "60"),
    ("wind_mps", "2"),
    ("hold_hours", "3.5"),
    ("date", "2027-06-26"),
    ("start", "15:30"),
    ("place", "Verona"),
    ("cloud_pct", "30"),
    ("travel_minutes", "40"),
    ("start_c", "5"),
    ("tiers-0-width_cm", "30"),
    ("tiers-0-shape", "square"),
    ("tiers-1-width_cm", "20"),
    ("tiers-1-layers", "3"),
    ("cupcakes", "24"),
    ("piping", "rosettes"),
    ("finish", "smooth"),
    ("colour", "pastel"),
    ("sweetness", "2"),
    ("diet", "gluten-free"),
    ("diet", "soy-free"),
    ("equipment", "stand-mixer"),
    ("equipment", "thermometer"),
    ("importance-heat", "4"),
]
SMALL: Fields = [("air_high_c", "27"), ("tiers-0-width_cm", "20"), ("hold_hours", "2"), ("piping", "borders")]
FORECAST: Fields = [("weather", "12:00, 28, 60\n15:00, 31, 50\n18:00, 27, 65"), *SMALL, ("setting", "shade")]
OWN: Fields = [
    ("own_formulas-0-name", "Our French"),
    ("own_formulas-0-family", "french"),
    ("own_formulas-0-egg_treatment", "pasteurised"),
    ("own_formulas-0-lines", "140 g pasteurised yolks\n240 g granulated sugar\n60 g water\n400 g butter"),
]
PLAN: Fields = [
    ("coat", "swiss-butter"),
    ("filling", "french-butter"),
    ("guests", "80"),
    ("allowance_pct", "8"),
    ("filling_mm", "7"),
    ("bowl_l", "6.9"),
    ("work_from", "08:00"),
    ("work_to", "18:00"),
    ("fridge_tiers", "2"),
    ("days_ahead", "3"),
    ("pack-butter", "250"),
    ("cost-butter", "2.60"),
    ("currency", "EUR"),
]
RECIPE: Fields = [
    ("name", "House icing"),
    ("family", "american"),
    ("egg_treatment", "none"),
    ("lines", "4 cups icing sugar\n1 cup butter, softened\n2 tbsp milk\n1 cup something"),
]
CARD: Fields = [
    ("coat", "swiss-butter"),
    ("filling", "american-butter"),
    ("law", "eu"),
    ("sponge_list", "wheat flour\nsugar\neggs\nbutter"),
    ("sponge_allergens", "gluten"),
    ("sponge_allergens", "egg"),
    ("handled", "tree-nuts"),
    ("slice_g", "120"),
]
NAMES: Fields = [("client", "Zoë Müller"), ("event", "Garden wedding"), ("event_date", "2027-06-26")]
WAY: Fields = [("revision", "1"), *NAMES]
DRAFT: Fields = [("draft", new_id()), ("revision", "1")]
SEEN: Fields = [
    ("coat", "swiss-butter"),
    ("outcome", "softened"),
    ("hold_hours", "2.5"),
    ("setting", "shade"),
    ("air_high_c", "30"),
    ("humidity_pct", "55"),
    ("cloud_pct", "20"),
    ("remark", "leant at the back"),
]
PAIRING: Fields = [("coat", "swiss-butter"), ("filling", "american-butter"), ("revision", "1")]
UNITS: Fields = [("units", "us"), ("back", "/advice?air_high_c=30")]
QUERY = "air_high_c=29&tiers-0-width_cm=25&piping=borders"
PASSWORDS: Fields = [("current", "flour butter sugar"), ("password", "a long new password"), ("again", "x")]

_FILLINGS: dict[str, list[Fields]] = {
    "GET /": [
        BRIEF,
        FORECAST,
        [*BRIEF, ("change", "add-tier")],
        [*BRIEF, ("change", "remove-tier-1"), ("units", "us")],
    ],
    "GET /advice": [BRIEF, FORECAST, [*SMALL, *OWN], [*SMALL, ("units", "us")]],
    "GET /advice/course.svg": [SMALL, FORECAST],
    "GET /advice/map": [SMALL],
    "GET /advice/map.svg": [SMALL],
    "POST /api/advice": [SMALL],
    "GET /api/substitutes": [[("formulation", "swiss-butter"), ("avoid", "egg-free"), ("avoid", "vegan"), *SMALL]],
    "GET /substitutes": [[("formulation", "french-butter"), ("avoid", "dairy-free"), *SMALL], [*SMALL, *OWN]],
    "GET /compare": [[("of", new_id()), ("of", new_id()), ("units", "metric")]],
    "GET /consultations": [[("q", "Zoë"), ("sort", "client"), ("reverse", "1"), ("show", "archived"), ("page", "1")]],
    "POST /consultations": [[*NAMES, ("brief", QUERY), ("coat", "swiss-butter"), ("filling", "swiss-butter")]],
    "GET /consultations/new": [BRIEF, [*SMALL, ("date", "2027-06-26")]],
    "GET /consultations/<id>": [[("done", "kept"), ("anew", "1")]],
    "POST /consultations/<id>": [WAY],
    "POST /consultations/<id>/after": [SEEN],
    "POST /consultations/<id>/anew": [[("revision", "1")]],
    "GET /consultations/<id>/brief": [[("draft", new_id())]],
    "POST /consultations/<id>/brief": [
        [*BRIEF, *DRAFT],
        [*FORECAST, *DRAFT, ("change", "add-tier")],
        [*SMALL, *OWN, *DRAFT],
    ],
    "POST /consultations/<id>/choice": [PAIRING],
    "POST /consultations/<id>/duplicate": [NAMES],
    "POST /consultations/<id>/links": [[("days", "30")]],
    "POST /drafts/<id>": [[*BRIEF, *DRAFT], [*FORECAST, ("consultation", new_id())]],
    "POST /events/use": [[("formulation", "swiss-butter"), ("use", "yours")]],
    "GET /keeping": [[("coat", "swiss-butter"), ("filling", "french-butter"), ("setup_minutes", "30"), *SMALL]],
    "GET /label": [CARD, [*CARD, *SMALL]],
    "GET /own-formula": [RECIPE, [*RECIPE, *SMALL], [*RECIPE, ("choice-3", "butter 1 cup something")]],
    "GET /plan": [[*BRIEF, *PLAN], [*SMALL, *OWN, ("coat", "own-1"), ("filling", "own-1")]],
    "GET /plan/shopping": [[*SMALL, *PLAN]],
    "GET /plan.<any(csv, xlsx):kind>": [[*SMALL, *PLAN]],
    "GET /plan.ics": [[*SMALL, *PLAN, ("date", "2027-06-26")]],
    "GET /log-in": [[("back", "/plan?air_high_c=30")]],
    "POST /log-in": [[("name", "Olive"), ("password", "flour butter sugar"), ("back", "/consultations")]],
    "POST /accounts": [[("name", "Ilse"), ("password", "a long new password"), ("role", "staff")]],
    "POST /accounts/<id>/password": [PASSWORDS],
    "POST /accounts/<id>/role": [[("role", "owner")]],
    "POST /password": [PASSWORDS],
    "POST /units": [UNITS],
}
PLAIN: Fields = [("x", "1"), ("revision", "1")]  # what asks for nothing is sent something all the same

TEXTS: tuple[Value, ...] = (
    *(
        "",
        " ",
        "-1",
        "-0",
        "nan",
        "inf",
        "-Infinity",
        "1e400",
        "1e-400",
        "2e-308",
        "9" * 400,
        "9" * 5000,
        "0x10",
        "1_000",
    ),
    *("1,5", "١٢", "½", "²", "Ⅷ", "true", "null", "[]", "{}", "0" * 300 + "7", "12:60", "2027-02-30", "9999-12-31"),
    *(
        "0001-01-01",
        "%",
        "%zz",
        "\\",
        "'",
        '"',
        "<script>alert(1)</script>",
        "{{ 7*7 }}",
        "${7*7}",
        "=1+1",
        "|",
        "a|b|c",
    ),
    *(
        "\x00",
        "a\x00b",
        "\ufeff",
        "\u202e31",
        "e" + "\u0301" * 2000,
        "\u200d" * 50,
        "🎂" * 40,
        "\uffff",
        "\U0010ffff",
    ),
    *(
        "\r\n",
        "a\r\nSet-Cookie: x=1",
        "\x1b[31m",
        "\x85",
        "\u2028",
        "İ",
        "ß" * 70,
        "x" * 3000,
        "line\n" * 400,
        ",;\t" * 200,
    ),
    *(b"\xff\xfe", b"\xed\xa0\x80", b"\xc0\xaf", b"\xf4\x90\x80\x80", "ü".encode("latin-1"), "31".encode("utf-16")),
    *("//evil.example", "javascript:alert(1)", "/\\evil", "../../etc/passwd", "own-1", "own-9", "tiers-0-width_cm"),
)
NAMES_OF_NOTHING = (
    *("", "tiers", "tiers-", "tiers-0", "tiers-999999-width_cm", "tiers-0-nothing", "tiers--1-width_cm", "importance"),
    *("importance-nothing", "own_formulas", "own_formulas-999999-name", "own_formulas-0-nothing", "diet[]", "a" * 500),
    *(
        "weather_f",
        "weather_f_mph",
        "air_high_f",
        "tiers-0-width_in",
        "choice-" + "9" * 5000,
        "choice-٣",
        "pack-",
        "pack_oz-",
        "cost-\x00",
        "kinds-x",
    ),
    *("__class__", "csrf", "units", "change", "draft", "revision", "price", "brief"),
)
Way = Callable[[random.Random, Fields], set[str]]


def fillings(method: str, rule: str) -> list[Fields]:
    """Return the sound fillings of a form or an address; never none."""
    return _FILLINGS.get(f"{method} {rule}", [PLAIN])


def described() -> frozenset[str]:
    """Name the routes that have fillings of their own."""
    return frozenset(_FILLINGS)


def _text(chance: random.Random, fields: Fields) -> set[str]:
    place = chance.randrange(len(fields))
    name = fields[place][0]
    fields[place] = name, chance.choice(TEXTS)
    return {name}


def _missing(chance: random.Random, fields: Fields) -> set[str]:
    name = fields[chance.randrange(len(fields))][0]
    fields[:] = [pair for pair in fields if pair[0] != name]
    return {name}


def _doubled(chance: random.Random, fields: Fields) -> set[str]:
    name, value = chance.choice(fields)
    fields += [(name, chance.choice((value, "2", "")))] * chance.choice((1, 1, 30))
    return {name}


def _swapped(chance: random.Random, fields: Fields) -> set[str]:
    left, right = chance.randrange(len(fields)), chance.randrange(len(fields))
    (first, one), (second, other) = fields[left], fields[right]
    fields[left], fields[right] = (first, other), (second, one)
    return {first, second}


def _renamed(chance: random.Random, fields: Fields) -> set[str]:
    place = chance.randrange(len(fields))
    name, value = fields[place]
    fields[place] = chance.choice(NAMES_OF_NOTHING), value
    return {name, fields[place][0]}


def _added(chance: random.Random, fields: Fields) -> set[str]:
    name = chance.choice(NAMES_OF_NOTHING)
    fields.append((name, chance.choice(TEXTS)))
    return {name}


def _shuffled(chance: random.Random, fields: Fields) -> set[str]:
    chance.shuffle(fields)
    return set()


def _many(chance: random.Random, fields: Fields) -> set[str]:
    row = chance.choice(("tiers-{}-width_cm", "own_formulas-{}-name", "importance-x{}", "pack-{}", "diet"))
    fields += [(row.format(number), "20") for number in range(2, chance.choice((12, 400)))]
    return {row.format(number) for number in range(400)} | {"tiers", "own_formulas"}


WAYS: tuple[Way, ...] = (_text, _text, _text, _text, _missing, _doubled, _swapped, _renamed, _added, _shuffled, _many)


def spoilt(chance: random.Random, sound: Fields) -> tuple[Fields, set[str]]:
    """Spoil one to three things; return the fields and the names of those that are not as they were."""
    fields, changed = list(sound), set[str]()
    for _ in range(chance.choice((1, 1, 2, 3))):
        if fields:
            changed |= chance.choice(WAYS)(chance, fields)
    return fields, changed


def encoded(chance: random.Random, fields: Fields) -> tuple[bytes, str]:
    """Write fields as a form is sent; now and then as something else, or under a wrong name."""
    kind = FORM
    if chance.random() < 0.06:
        kind = chance.choice(
            (
                "application/json",
                "multipart/form-data",
                "multipart/form-data; boundary=" + "x" * 200,
                "text/plain",
                "application/x-www-form-urlencoded; charset=utf-16",
                "",
                "\u00fc/x",
            )
        )
    return written(fields), kind


def written(fields: Fields) -> bytes:
    """Write fields as a browser does."""
    return b"&".join(_quoted(name) + b"=" + _quoted(value) for name, value in fields)


def _quoted(value: Value) -> bytes:
    raw = value if isinstance(value, bytes) else value.encode("utf-8", "surrogatepass")
    return quote(raw, safe="").encode()
