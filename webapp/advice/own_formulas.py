"""A decorator's own recipe as a formulation of a family, ranked beside ours; what is not understood is asked for.

What a formula gives is computed from its lines; what is known by feel alone is taken from the family.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast

from webapp.advice.brief import Brief, FamilyId, OwnFormula
from webapp.catalogue.composition import compose, fat_blend
from webapp.catalogue.model import Catalogue, EggTreatment, Family, FormulaLine, Formulation, Ingredient
from webapp.errors import BriefError, FieldProblem
from webapp.kitchen.pantry import Pantry, ReadLine
from webapp.kitchen.recipe_lines import LineProblemError, is_heading

PREFIX = "own-"
WATER = "water"
SHELL_EGG = frozenset({"egg-white", "egg-yolk"})
FOAMS = frozenset({"egg-white", "egg-white-pasteurised", "egg-white-dried", "aquafaba"})
# Shares of a batch [g/100 g] outside which it is no buttercream of the family; ours lie well inside. Assumption.
LEAST_SUGAR = {"american": 30.0, "swiss": 10.0, "italian": 10.0, "french": 10.0}
LEAST_FAT, MOST_FAT = 8.0, 75.0
LEAST_FOAM, LEAST_DRIED, LEAST_YOLK = 3.0, 0.5, 3.0
LEAST_BATCH_G = 20.0
LONGEST_NAME = 60
LEAST_G = 0.05  # less is only what rounding left over
_COOKED: dict[str, tuple[EggTreatment, ...]] = {
    "american": (),
    "swiss": ("heated-71c", "pasteurised"),
    "italian": ("syrup-cooked", "heated-71c", "pasteurised"),
    "french": ("syrup-cooked", "heated-71c", "pasteurised"),
}

Line = ReadLine | LineProblemError
Part = Literal["family", "egg_treatment", "lines"]


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why a recipe cannot be of its family: the part of the form to change, what is wrong, and what would do."""

    part: Part
    problem: str
    allowed: str


@dataclass(frozen=True, slots=True)
class OwnRecipe:
    """A recipe as understood: its lines in their places (headings left out), why it cannot be entered, the formulation.

    The formulation is there only where every line was read and nothing speaks against the family.
    """

    lines: tuple[tuple[int, Line], ...]
    misfits: tuple[Misfit, ...]
    notes: tuple[str, ...]
    formulation: Formulation | None

    @property
    def read(self) -> list[ReadLine]:
        """The lines that were understood."""
        return [line for _, line in self.lines if isinstance(line, ReadLine)]

    @property
    def problems(self) -> list[tuple[int, LineProblemError]]:
        """The lines that were not, with their places."""
        return [(place, line) for place, line in self.lines if isinstance(line, LineProblemError)]


def own_formulations(brief: Brief, catalogue: Catalogue) -> tuple[Formulation, ...]:
    """Return the brief's own formulas as formulations ``own-1``, ``own-2``, ``own-3``.

    Raises
    ------
    BriefError
        With a problem for each line that is not understood, and for each recipe that is not of its family.
    """
    recipes = [understand(own, catalogue, number) for number, own in enumerate(brief.own_formulas, start=1)]
    problems = [problem for place, recipe in enumerate(recipes) for problem in _problems(place, recipe)]
    if problems:
        raise BriefError(tuple(problems))
    return tuple(recipe.formulation for recipe in recipes if recipe.formulation is not None)


def _problems(place: int, recipe: OwnRecipe) -> Iterator[FieldProblem]:
    for row, line in recipe.problems:
        yield FieldProblem(f"own_formulas.{place}.lines.{row}", f"“{line.text}”: {line.problem}", line.allowed)
    for misfit in recipe.misfits:
        yield FieldProblem(f"own_formulas.{place}.{misfit.part}", misfit.problem, misfit.allowed)


def understand(own: OwnFormula, catalogue: Catalogue, number: int = 1) -> OwnRecipe:
    """Read a recipe line by line and make a formulation ``own-<number>`` of it where that can be done."""
    lines = tuple(read_lines(own.lines, Pantry.of(catalogue)))
    read = [line for _, line in lines if isinstance(line, ReadLine)]
    if len(read) < len(lines) or not read:
        none = Misfit("lines", "there are only headings", "at least one ingredient")
        return OwnRecipe(lines, () if lines else (none,), (), None)
    family = catalogue.families[own.family]
    made, notes = _formulation(own, read, family, catalogue, number)
    misfits = tuple(_misfits(made, own))
    return OwnRecipe(lines, misfits, notes, None if misfits else made)


def read_lines(lines: Sequence[str], pantry: Pantry) -> Iterator[tuple[int, Line]]:
    """Read every line that is no heading; what cannot be read stands in its place."""
    for place, text in enumerate(lines):
        if is_heading(text):
            continue
        try:
            yield place, pantry.read(text)
        except LineProblemError as problem:
            yield place, problem


def _formulation(
    own: OwnFormula, read: Sequence[ReadLine], family: Family, catalogue: Catalogue, number: int
) -> tuple[Formulation, tuple[str, ...]]:
    first = next(f for f in catalogue.formulations.values() if f.family.id == family.id)
    has_syrup = family.id == "italian" or (family.id == "french" and own.egg_treatment != "heated-71c")
    lines = _merged(_staged(read, family, has_syrup))
    notes: tuple[str, ...] = ()
    if has_syrup:
        lines, notes = _boiled_down(lines, first)
    has_egg = any(line.ingredient.egg_part != "none" for line in lines)
    made = Formulation(
        id=f"{PREFIX}{number}",
        name=own.name,
        family=family,
        egg_treatment=own.egg_treatment if has_egg else "none",
        equipment=first.equipment,
        lines=lines,
        note=" ".join(("Your own recipe; what is known by feel alone is taken from the family.", *notes)),
    )
    return made, notes


def _staged(read: Sequence[ReadLine], family: Family, has_syrup: bool) -> Iterator[FormulaLine]:
    """Give each line its stage; the first water is the syrup's, any further one goes in with the fat."""
    has_water = False
    for line in read:
        stage = _stage(line.ingredient, family, has_syrup)
        if line.ingredient.id == WATER and stage == "syrup":
            stage, has_water = ("fat" if has_water else "syrup"), True
        yield FormulaLine(line.ingredient, line.grams, stage)


def _merged(lines: Iterator[FormulaLine]) -> tuple[FormulaLine, ...]:
    """Add up lines of one ingredient and stage, in the order in which they first come."""
    merged: dict[tuple[str, str], FormulaLine] = {}
    for line in lines:
        key = (line.ingredient.id, line.stage)
        known = merged.get(key)
        merged[key] = line if known is None else replace(known, grams=known.grams + line.grams)
    return tuple(merged.values())


def _stage(ingredient: Ingredient, family: Family, has_syrup: bool) -> str:
    """Say when an ingredient goes in, as in the family's own formulas."""
    if ingredient.fat_kind is not None and ingredient.fat > 20:
        return "fat"
    if ingredient.sugar < 15 and ingredient.water < 70 and ingredient.egg_part == "none":
        return "flavour"
    if family.id == "american":
        return "beat"
    if ingredient.egg_part == "yolk":
        return "yolk-foam"
    if ingredient.sugar > 50 or ingredient.id == WATER:
        return "syrup" if has_syrup else "yolk-foam" if family.id == "french" else "meringue"
    return "meringue" if ingredient.id in FOAMS else "flavour"


def _boiled_down(lines: tuple[FormulaLine, ...], first: Formulation) -> tuple[tuple[FormulaLine, ...], tuple[str, ...]]:
    """Leave in a syrup the water that stays when it is boiled as far as in the family's first formula."""
    syrup = [line for line in lines if line.stage == "syrup"]
    wet = next((line for line in syrup if line.ingredient.id == WATER), None)
    sugar, water = _sugar_and_water(syrup)
    of_ours = _sugar_and_water([line for line in first.lines if line.stage == "syrup"])
    stays = sugar * of_ours[1] / of_ours[0]
    if wet is None or water <= stays:
        return lines, ()
    left = max(0.0, wet.grams - (water - stays))
    share = 100 * of_ours[0] / sum(of_ours)
    note = f"Of {wet.grams:.0f} g water {left:.0f} g stay in a syrup boiled to about {share:.0f} % sugar."
    return tuple(replace(line, grams=left) if line is wet else line for line in lines if line is not wet or left > 0), (
        note,
    )


def _sugar_and_water(lines: Sequence[FormulaLine]) -> tuple[float, float]:
    sugar = sum(line.grams * line.ingredient.sugar for line in lines) / 100
    return sugar, sum(line.grams * line.ingredient.water for line in lines) / 100


def _misfits(made: Formulation, own: OwnFormula) -> Iterator[Misfit]:
    yield from _misfits_of_shares(made)
    yield from _misfits_of_foam(made)
    yield from _misfits_of_egg(made, own)


def _misfits_of_shares(made: Formulation) -> Iterator[Misfit]:
    composition, family = compose(made), made.family
    least = LEAST_SUGAR[family.id]
    if sum(line.grams for line in made.lines) < LEAST_BATCH_G:
        yield Misfit("lines", "the whole batch weighs next to nothing", f"{LEAST_BATCH_G:g} g or more: check the units")
    if composition.sugar < least:
        problem = f"it has {composition.sugar:.0f} g of sugar in 100 g"
        yield Misfit("lines", problem, f"{least:g} g or more for {family.name}: is the sugar missing?")
    if not fat_blend(made) or composition.fat < LEAST_FAT:
        problem = f"it has {composition.fat:.0f} g of fat in 100 g and so nothing that sets"
        yield Misfit("lines", problem, f"{LEAST_FAT:g} g or more: is the butter or shortening missing?")
    if composition.fat > MOST_FAT:
        yield Misfit("lines", f"it is {composition.fat:.0f} % fat", f"at most {MOST_FAT:g} %: check the amounts")


def _misfits_of_foam(made: Formulation) -> Iterator[Misfit]:
    family, share = made.family, _shares(made)
    foam = sum(part for id_, part in share.items() if id_ in FOAMS)
    yolk = sum(share[line.ingredient.id] for line in made.lines if line.ingredient.egg_part == "yolk")
    if family.id in ("swiss", "italian"):
        if foam < LEAST_FOAM and share.get("egg-white-dried", 0.0) < LEAST_DRIED:
            yield Misfit(
                "family", f"{family.name} needs egg whites or aquafaba", "the whites as a line, or another family"
            )
        if yolk > 0:
            yield Misfit("family", f"{family.name} has no yolks", "no yolks, or the French family")
    if family.id == "french" and yolk < LEAST_YOLK:
        yield Misfit("family", "French needs egg yolks", "the yolks as a line, or another family")
    if family.id == "american":
        if foam > 0 or yolk > 0:
            yield Misfit("family", "American has no egg", "no egg, or the Swiss, Italian or French family")
        powdered = sum(part for id_, part in share.items() if id_.startswith("powdered-"))
        if 0 < compose(made).sugar and powdered < sum(p for id_, p in share.items() if id_.endswith("sugar")) / 2:
            yield Misfit("lines", "most of its sugar does not dissolve unheated", "powdered sugar for most of it")


def _shares(made: Formulation) -> dict[str, float]:
    """Return the share of each ingredient by weight [g/100 g]."""
    shares: dict[str, float] = {}
    total = sum(line.grams for line in made.lines)
    for line in made.lines:
        shares[line.ingredient.id] = shares.get(line.ingredient.id, 0.0) + 100 * line.grams / total
    return shares


def _misfits_of_egg(made: Formulation, own: OwnFormula) -> Iterator[Misfit]:
    eggs = [line.ingredient for line in made.lines if line.ingredient.egg_part != "none"]
    cooked = _COOKED[made.family.id]
    if not eggs or not cooked:
        return
    words = " or ".join(cooked)
    if own.egg_treatment == "none":
        yield Misfit("egg_treatment", "how the egg is heated is not said; raw egg is not entered here", words)
    elif own.egg_treatment not in cooked:
        yield Misfit("egg_treatment", f"{made.family.name} is not made so", f"{words}; with a syrup it is Italian")
    shell = [egg.name.lower() for egg in eggs if egg.id in SHELL_EGG]
    if own.egg_treatment == "pasteurised" and shell:
        problem = f"it says pasteurised, but has {' and '.join(shell)}"
        yield Misfit(
            "egg_treatment", problem, "pasteurised egg whites or yolks in the line, or how shell egg is heated"
        )
    if made.family.id == "italian" and not any(
        line.stage == "syrup" and line.ingredient.id == WATER for line in made.lines
    ):
        yield Misfit("lines", "the syrup has no water", "the water that the sugar is boiled with")


__all__ = [
    "PREFIX",
    "LineProblemError",
    "Misfit",
    "OwnRecipe",
    "ReadLine",
    "own_formulations",
    "read_lines",
    "understand",
]


def as_typed(formulation: Formulation, name: str) -> OwnFormula:
    """Write a formulation as a brief takes it: each line in grams and words."""
    return OwnFormula(
        name=name[:LONGEST_NAME].strip(),
        family=cast(FamilyId, formulation.family.id),
        egg_treatment=formulation.egg_treatment,
        lines=tuple(
            f"{round(line.grams, 1):g} g {line.ingredient.name}" for line in formulation.lines if line.grams >= LEAST_G
        ),
    )
