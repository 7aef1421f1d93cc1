"""The hard conditions: what removes a formulation from a role, with the reason kept.

A limit is a machine test next to the id of its sentence in ``rules.csv``. Each belongs to one entry of the
brief (a diet, the equipment, the piping, the supports), which is what a client could give up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations
from typing import Literal

from webapp.catalogue.model import Formulation, Ingredient, Rule
from webapp.decision.model import Candidate, Exclusion, Situation

FormulationRole = Literal["coat", "filling"]
Offence = Callable[[Candidate, Situation], str | None]

ROLES: tuple[FormulationRole, ...] = ("coat", "filling")


@dataclass(frozen=True, slots=True)
class Limit:
    """A condition: the entry of the brief that asks for it, the roles it bars, and its test.

    ``offence`` returns what breaks the limit, in the words that fill ``{what}`` in the sentence, or none.
    """

    id: str
    asked_by: str
    roles: tuple[FormulationRole, ...]
    is_asked: Callable[[Situation], bool]
    offence: Offence

    def exclude(
        self, candidate: Candidate, role: FormulationRole, situation: Situation, rules: Mapping[str, Rule]
    ) -> Exclusion | None:
        """Return why a candidate may not take a role, or none when this limit lets it."""
        if role not in self.roles or not self.is_asked(situation):
            return None
        what = self.offence(candidate, situation)
        if what is None:
            return None
        formulation = candidate.formulation
        because = rules[self.id].sentence.format(name=formulation.name, what=what)
        return Exclusion(formulation, role, self.id, because)


@dataclass(frozen=True, slots=True)
class Screening:
    """What is left for each role, and everything that was removed."""

    coats: tuple[Candidate, ...]
    fillings: tuple[Candidate, ...]
    exclusions: tuple[Exclusion, ...]

    @property
    def is_empty(self) -> bool:
        """Whether no pairing is left."""
        return not self.coats or not self.fillings


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A smallest set of entries of the brief to give up, and what would fit then."""

    limits: tuple[str, ...]
    coats: tuple[Formulation, ...]
    fillings: tuple[Formulation, ...]


@dataclass(frozen=True, slots=True)
class EmptyExplanation:
    """Why nothing is left: the role, a smallest set of entries that already empties it, the ways out."""

    role: Literal["coat", "filling", "both"]
    limits: tuple[str, ...]
    relaxations: tuple[Relaxation, ...]


def screen(candidates: Sequence[Candidate], situation: Situation, rules: Mapping[str, Rule]) -> Screening:
    """Separate what may be a coat or a filling from what may not; every broken limit is kept."""
    exclusions = tuple(
        exclusion
        for candidate in candidates
        for role in ROLES
        for limit in LIMITS
        if (exclusion := limit.exclude(candidate, role, situation, rules)) is not None
    )
    barred = {(exclusion.formulation.id, exclusion.role) for exclusion in exclusions}
    coats = tuple(candidate for candidate in candidates if (candidate.id, "coat") not in barred)
    fillings = tuple(candidate for candidate in candidates if (candidate.id, "filling") not in barred)
    return Screening(coats, fillings, exclusions)


def explain_empty(
    candidates: Sequence[Candidate], situation: Situation, rules: Mapping[str, Rule]
) -> EmptyExplanation:
    """Say which entries of the brief together leave no pairing, and the smallest ways out.

    Raises
    ------
    ValueError
        If something is left.
    """
    screening = screen(candidates, situation, rules)
    if not screening.is_empty:
        raise ValueError("some pairing is left")
    barriers = {role: _barriers(candidates, screening.exclusions, role) for role in ROLES}
    return EmptyExplanation(
        _empty_role(screening), _smallest_emptying(barriers), _smallest_relaxations(candidates, barriers)
    )


Barriers = dict[str, frozenset[str]]
"""For each formulation the entries of the brief that bar it from one role."""


def _barriers(
    candidates: Sequence[Candidate], exclusions: Iterable[Exclusion], role: FormulationRole
) -> Barriers:
    asked_by = {limit.id: limit.asked_by for limit in LIMITS}
    found: dict[str, set[str]] = {candidate.id: set() for candidate in candidates}
    for exclusion in exclusions:
        if exclusion.role == role:
            found[exclusion.formulation.id].add(asked_by[exclusion.limit])
    return {id_: frozenset(entries) for id_, entries in found.items()}


def _empty_role(screening: Screening) -> Literal["coat", "filling", "both"]:
    if screening.coats:
        return "filling"
    return "coat" if screening.fillings else "both"


def _smallest_emptying(barriers: Mapping[FormulationRole, Barriers]) -> tuple[str, ...]:
    active = frozenset(chain.from_iterable(chain(*(by_id.values() for by_id in barriers.values()))))
    ordered = [entry for entry in ENTRIES if entry in active]
    for size in range(len(ordered) + 1):
        for entries in combinations(ordered, size):
            if any(all(bars & set(entries) for bars in by_id.values()) for by_id in barriers.values()):
                return entries
    raise AssertionError("all entries together empty a role that was found empty")


def _smallest_relaxations(
    candidates: Sequence[Candidate], barriers: Mapping[FormulationRole, Barriers]
) -> tuple[Relaxation, ...]:
    # A pairing fits once everything that bars either half is given up, so each way out is a union of two.
    ways = {c | f for c in barriers["coat"].values() for f in barriers["filling"].values()}
    least = min((len(way) for way in ways), default=0)
    smallest = [tuple(entry for entry in ENTRIES if entry in way) for way in ways if len(way) == least]
    smallest.sort(key=lambda way: [ENTRIES.index(entry) for entry in way])
    return tuple(_relaxation(way, candidates, barriers) for way in smallest)


def _relaxation(
    way: tuple[str, ...], candidates: Sequence[Candidate], barriers: Mapping[FormulationRole, Barriers]
) -> Relaxation:
    coats, fillings = (
        tuple(c.formulation for c in candidates if barriers[role][c.id] <= set(way)) for role in ROLES
    )
    return Relaxation(way, coats, fillings)


def _ingredients(candidate: Candidate, is_meant: Callable[[Ingredient], bool]) -> str | None:
    names = [line.ingredient.name for line in candidate.formulation.lines if is_meant(line.ingredient)]
    names = [name[:1].lower() + name[1:] for name in dict.fromkeys(names)]
    if not names:
        return None
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _free_of(diet: str, allergen: str) -> Limit:
    return _diet_limit(diet, lambda ingredient: allergen in ingredient.allergens)


def _diet_limit(diet: str, is_barred: Callable[[Ingredient], bool]) -> Limit:
    return Limit(
        diet,
        diet,
        ROLES,
        lambda situation: diet in situation.diet,
        lambda candidate, situation: _ingredients(candidate, is_barred),
    )


def _undercooked_egg(candidate: Candidate, situation: Situation) -> str | None:
    if candidate.formulation.egg_treatment != "syrup-cooked":
        return None
    return _ingredients(candidate, lambda ingredient: ingredient.egg_part != "none")


def _missing_equipment(candidate: Candidate, situation: Situation) -> str | None:
    missing = sorted(candidate.formulation.equipment - situation.equipment)
    return " and a ".join(name.replace("-", " ") for name in missing) or None


def least_firmness(situation: Situation) -> float:
    """Return the firmness (feel scale) below which even a dam does not keep a filling under its load."""
    unloaded = situation.requirements["load:0-kpa", "least_firmness"].value
    loaded = situation.requirements["load:1-kpa", "least_firmness"].value
    return unloaded + (loaded - unloaded) * situation.carried_kpa


def _too_soft_for_load(candidate: Candidate, situation: Situation) -> str | None:
    firmness = candidate.facts["firmness"].value
    least = least_firmness(situation)
    return None if firmness >= least else f"{firmness:g} of 10 where it takes {least:.1f}"


def _too_soft_for_fine_piping(candidate: Candidate, situation: Situation) -> str | None:
    detail = candidate.facts["piping_detail"].value
    least = situation.requirements["fine-piping", "least_detail"].value
    return None if detail >= least else f"{detail:g} of 10 where it takes {least:g}"


LIMITS: tuple[Limit, ...] = (
    _free_of("egg-free", "egg"),
    _free_of("dairy-free", "milk"),
    _diet_limit("vegan", lambda ingredient: ingredient.origin == "animal"),
    _free_of("soy-free", "soy"),
    _free_of("coconut-free", "coconut"),
    _free_of("tree-nut-free", "tree-nut"),
    _free_of("gluten-free", "gluten"),
    Limit(
        "no-undercooked-egg",
        "no-undercooked-egg",
        ROLES,
        lambda situation: "no-undercooked-egg" in situation.diet,
        _undercooked_egg,
    ),
    Limit("equipment", "equipment", ROLES, lambda situation: True, _missing_equipment),
    Limit(
        "load-too-great",
        "supported",
        ("filling",),
        lambda situation: situation.carried_kpa > 0,
        _too_soft_for_load,
    ),
    Limit(
        "too-soft-for-fine-piping",
        "piping",
        ("coat",),
        lambda situation: situation.piping == "fine",
        _too_soft_for_fine_piping,
    ),
)

ENTRIES: tuple[str, ...] = tuple(limit.asked_by for limit in LIMITS)
