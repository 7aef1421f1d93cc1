"""Use case: a formulation and what must be avoided in; every swap that frees it of that, and what each costs, out.

The record holds no sentences; pages and the API write it down. What is free and what is not is read from the
ingredients themselves: their allergens, their origin, and what a label may still say.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Literal, get_args

from webapp.advice.brief import Brief, Diet
from webapp.advice.candidates import formulation_facts, situation_of
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.holds import coat_hold, filling_margin
from webapp.advice.service import Advisor
from webapp.catalogue.checks import FELT
from webapp.catalogue.composition import allergens, compose, fat_blend
from webapp.catalogue.model import Basis, Catalogue, Formulation, Ingredient, Substitution
from webapp.decision.limits import screen
from webapp.decision.model import Candidate, HoldClass
from webapp.kitchen.swaps import PASTEURISED, WATER, WeighedSwap, chained, swapped, weigh
from webapp.kitchen.water_activity import Range
from webapp.thermal.holding import Spread

Avoided = Literal[Diet, "bone-char-free"]
Fidelity = Literal["faithful", "workable", "different-icing"]

AVOIDABLE: tuple[Avoided, ...] = get_args(Avoided)
FIDELITIES: tuple[Fidelity, ...] = get_args(Fidelity)
BONE_CHAR = "bone-char"
# What each wish names in an ingredient's lists; the others are asked of its origin or of how its egg is treated.
NAMED: Mapping[Avoided, str] = {
    "egg-free": "egg",
    "dairy-free": "milk",
    "soy-free": "soy",
    "coconut-free": "coconut",
    "tree-nut-free": "tree-nut",
    "gluten-free": "gluten",
    "bone-char-free": BONE_CHAR,
}
# A buttercream whose foam is not of its family's part of the egg is made, eats and softens as the one with white.
FAMILY_WITHOUT_YOLK = "italian"
LEAST_FAT = 40.0  # g/100 g; milk and cream hold fat, but no buttercream is built on theirs
LIKENESS = ("sweetness", "softens", "smoothness", "piping_detail", "richness")
_Test = Callable[[Ingredient, Avoided, Formulation], bool]
_LEAST_SURE: tuple[Basis, ...] = ("assumption", "from-memory", "common-practice", "computed", "published", "standard")


@dataclass(frozen=True, slots=True)
class Effect:
    """What a swap does to one property, before and after; units as in the data, temperatures in °C."""

    name: str
    unit: str
    before: Range
    after: Range
    basis: Basis
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offence:
    """An ingredient and what it has of that which must be avoided."""

    ingredient: Ingredient
    avoided: tuple[Avoided, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """How a formulation does at the event of a brief; barred from a role where a limit says so.

    ``filling_margin`` is by how much [K] it stays, between the layers, below the temperature at which it creeps.
    """

    hold_class: HoldClass
    chance: float
    may_coat: bool
    may_fill: bool
    filling_margin: Range

    @property
    def order(self) -> int:
        """0 for a coat that holds, 1 for one in doubt, 2 for what can only fill, 3 for what fits nowhere."""
        if self.may_coat and self.hold_class != "fails":
            return 0 if self.hold_class == "holds" else 1
        return 2 if self.may_fill else 3


@dataclass(frozen=True, slots=True)
class Way:
    """A chain of swaps done to one formula: the new formula, and what it costs."""

    formulation: Formulation
    swaps: tuple[WeighedSwap, ...]
    fidelity: Fidelity
    effects: tuple[Effect, ...]
    brings: frozenset[str]
    takes_away: frozenset[str]
    doubts: tuple[Offence, ...]
    fit: Fit | None

    def effect(self, name: str) -> Effect:
        """Return what happens to one property."""
        return next(effect for effect in self.effects if effect.name == name)


@dataclass(frozen=True, slots=True)
class Nearby:
    """Another formulation that is free of all that must be avoided, as it is or after swaps; nearest 0.

    ``effects``, ``brings`` and ``takes_away`` are against the formulation that was asked about; ``lost`` names its
    fats that need not go and are not in this one.
    """

    way: Way
    origin: Formulation
    distance: float
    effects: tuple[Effect, ...]
    brings: frozenset[str]
    takes_away: frozenset[str]
    lost: frozenset[str]


@dataclass(frozen=True, slots=True)
class Substitutes:
    """All that was found for one formulation; ``nearby`` only where nothing faithful or workable was."""

    formulation: Formulation
    avoid: tuple[Avoided, ...]
    offences: tuple[Offence, ...]
    doubts: tuple[Offence, ...]
    ways: tuple[Way, ...]
    nearby: tuple[Nearby, ...]

    @property
    def is_free(self) -> bool:
        """Whether the formulation is free of all that must be avoided as it is."""
        return not self.offences

    @property
    def has_close_way(self) -> bool:
        """Whether some way gives the same icing, or nearly."""
        return any(way.fidelity != "different-icing" for way in self.ways)


def offences(formulation: Formulation, avoid: Sequence[Avoided]) -> tuple[Offence, ...]:
    """Return the ingredients of a formula that a guest who avoids all this must not eat."""
    return tuple(_found(formulation, avoid, _offends))


def doubts(formulation: Formulation, avoid: Sequence[Avoided]) -> tuple[Offence, ...]:
    """Return the ingredients whose label decides: some makers' products hold what must be avoided."""
    return tuple(_found(formulation, avoid, _is_in_doubt))


def against_diet(formulation: Formulation, brief: Brief, catalogue: Catalogue) -> tuple[str, ...]:
    """Say of each of the brief's diets that a formulation breaks what it has, in the words of its limit."""
    broken = ((wish, offences(formulation, (wish,))) for wish in brief.diet)
    return tuple(
        catalogue.rules[wish].sentence.format(
            name=formulation.name, what=" and ".join(each.ingredient.name.lower() for each in found)
        )
        for wish, found in broken
        if found
    )


def pairing_against_diet(pairing: Sequence[Formulation], brief: Brief, catalogue: Catalogue) -> tuple[str, ...]:
    """Say of each formulation of a pairing by its name what of the brief's diets it breaks."""
    each_once = {formulation.id: formulation for formulation in pairing}.values()
    return tuple(f"{each.name}: {said}" for each in each_once for said in against_diet(each, brief, catalogue))


def _found(formulation: Formulation, avoid: Sequence[Avoided], test: _Test) -> Iterator[Offence]:
    for ingredient in dict.fromkeys(line.ingredient for line in formulation.lines):
        what = tuple(wish for wish in avoid if test(ingredient, wish, formulation))
        if what:
            yield Offence(ingredient, what)


def _offends(ingredient: Ingredient, wish: Avoided, formulation: Formulation) -> bool:
    if wish == "vegan":
        return ingredient.origin == "animal"
    if wish == "no-undercooked-egg":
        is_raw = ingredient.egg_part != "none" and not ingredient.id.endswith(PASTEURISED)
        return is_raw and formulation.egg_treatment == "syrup-cooked"
    # Nobody lists bone char: who avoids it avoids every sugar that may have met it.
    held = ingredient.may_hold if wish == "bone-char-free" else ingredient.allergens
    return NAMED[wish] in held


def _is_in_doubt(ingredient: Ingredient, wish: Avoided, formulation: Formulation) -> bool:
    return wish in NAMED and wish != "bone-char-free" and NAMED[wish] in ingredient.may_hold


def find_substitutes(
    advisor: Advisor,
    formulation: Formulation,
    avoid: Sequence[Avoided],
    brief: Brief | None = None,
    today: dt.date | None = None,
) -> Substitutes:
    """Find every swap that frees a formulation of what must be avoided, the most faithful first.

    At an event those that hold there go before; another icing is the last resort all the same.

    Parameters
    ----------
    brief : Brief, optional
        The event for which each result is tried as the coat and as the filling.
    today : date, optional
        Needed with a brief, whose day it may lie ahead of.
    """
    return _Search(advisor, tuple(avoid), _event(advisor, brief, today), brief).of(formulation)


def _event(advisor: Advisor, brief: Brief | None, today: dt.date | None) -> CakeHeat | None:
    if brief is None:
        return None
    if today is None:
        raise ValueError("an event needs the day on which it is asked about")
    return warm_cake(brief, advisor.catalogue, advisor.seed, today)


@dataclass(frozen=True, slots=True)
class _Search:
    advisor: Advisor
    avoid: tuple[Avoided, ...]
    heat: CakeHeat | None
    brief: Brief | None

    @property
    def catalogue(self) -> Catalogue:
        return self.advisor.catalogue

    def of(self, formulation: Formulation) -> Substitutes:
        wrong, unsure = offences(formulation, self.avoid), doubts(formulation, self.avoid)
        ways = tuple(sorted(self._ways(formulation), key=_way_order))
        found = Substitutes(formulation, self.avoid, wrong, unsure, ways, ())
        if found.is_free or found.has_close_way:
            return found
        return replace(found, nearby=self._nearby(formulation))

    def _ways(self, formulation: Formulation) -> Iterator[Way]:
        wrong = offences(formulation, self.avoid)
        to_swap = wrong or doubts(formulation, self.avoid)
        if not to_swap:
            return
        choices = [self._swaps_of(offence.ingredient, formulation) for offence in to_swap]
        for chain in product(*choices):
            made = _made(formulation, chain, self.catalogue)
            if not offences(made, self.avoid) and (wrong or not doubts(made, self.avoid)):
                yield self._way(formulation, chain, made)

    def _swaps_of(self, ingredient: Ingredient, formulation: Formulation) -> list[Substitution]:
        """Return the swaps of one ingredient that bring in nothing that must be avoided."""
        swaps = [swap for swap in self.catalogue.substitutions.values() if swap.replaces == ingredient.id]
        return [s for s in swaps if not self._is_barred(self.catalogue.ingredients[s.with_], formulation)]

    def _is_barred(self, ingredient: Ingredient, formulation: Formulation) -> bool:
        return any(_offends(ingredient, wish, formulation) for wish in self.avoid)

    def _way(self, before: Formulation, chain: tuple[Substitution, ...], made: Formulation) -> Way:
        was, is_now = allergens(before), allergens(made)
        return Way(
            formulation=made,
            swaps=tuple(_weighed(before, chain, self.catalogue)),
            fidelity=_worst(chain),
            effects=tuple(self._effects(before, chain, made)),
            brings=is_now - was,
            takes_away=was - is_now,
            doubts=doubts(made, self.avoid),
            fit=self._fit(made),
        )

    def _effects(self, before: Formulation, chain: tuple[Substitution, ...], made: Formulation) -> Iterator[Effect]:
        sweet = [Range(value, value, value) for value in (compose(before).sweetness, compose(made).sweetness)]
        yield Effect("sweetness", "g/100g", sweet[0], sweet[1], "computed", ("computed",))
        soft = [self._softens(each) for each in (before, made)]
        yield Effect("softens", "C", soft[0], soft[1], "computed", _fat_sources(made, self.catalogue))
        for name in FELT:
            yield self._felt(name, before, chain, made)

    def _softens(self, formulation: Formulation) -> Range:
        spread = Spread.of(self.advisor.softness.of(formulation).softens)
        return Range(spread.likely, spread.low, spread.high)

    def _felt(self, name: str, before: Formulation, chain: tuple[Substitution, ...], made: Formulation) -> Effect:
        """Add what each swap of the chain does to a judged property, by its share of the fat where it is a fat."""
        fact = self.catalogue.formulation_fact(before, name)
        base, counted = fact, chain
        if made.family.id != before.family.id:
            # Another family's icing: its own number, and only the swaps within it.
            base = self.catalogue.formulation_fact(made, name)
            counted = tuple(swap for swap in chain if swap.faithful != "different-icing")
        moves = [(self.catalogue.effects[s.id, name], _share_of_fat(before, s, self.catalogue)) for s in counted]
        parts = [(share * e.change, share * e.low, share * e.high) for e, share in moves]
        after = _shifted(Range.of(base), parts, 10.0 if fact.unit == "feel" else math.inf)
        bases = [base.basis, *(effect.basis for effect, _ in moves)]
        sources = dict.fromkeys([base.source, *(effect.source for effect, _ in moves)])
        return Effect(name, fact.unit, Range.of(fact), after, min(bases, key=_LEAST_SURE.index), tuple(sources))

    def _fit(self, formulation: Formulation) -> Fit | None:
        if self.heat is None or self.brief is None:
            return None
        advisor, catalogue = self.advisor, self.catalogue
        facts = formulation_facts(catalogue, formulation, advisor.softness)
        margin = filling_margin(formulation, self.heat, advisor.softness, catalogue)
        facts["filling_margin"] = replace(
            facts["fat"], name="filling_margin", unit="K", value=margin.likely, low=margin.low, high=margin.high
        )
        hold = coat_hold(formulation, self.heat, advisor.softness, catalogue).facts(self.brief.hold_hours)
        left = screen([Candidate(formulation, facts, hold)], situation_of(self.brief, catalogue), catalogue.rules)
        between = Range(margin.likely, margin.low, margin.high)
        return Fit(hold.hold_class, hold.chance, bool(left.coats), bool(left.fillings), between)

    def _nearby(self, formulation: Formulation) -> tuple[Nearby, ...]:
        """Return the nearest of each other family that can be had free of all that is avoided and fits the event.

        One that keeps the fat of the formulation, where that need not go, comes before one that is nearer without it.
        """
        spans = self._spans()
        fats = _fats_that_may_stay(formulation, self.avoid)
        here = self._likeness(formulation, None)
        best: dict[str, Nearby] = {}
        for other, way in self._free_ones(formulation.family.id):
            there = self._likeness(other, way)
            distance = sum(abs(there[name] - here[name]) / spans[name] for name in LIKENESS) / len(LIKENESS)
            made = way.formulation
            found = Nearby(
                way=way,
                origin=other,
                distance=distance,
                effects=tuple(self._against(formulation, effect) for effect in way.effects),
                brings=allergens(made) - allergens(formulation),
                takes_away=allergens(formulation) - allergens(made),
                lost=fats - {line.ingredient.id for line in made.lines},
            )
            known = best.get(other.family.id)
            if known is None or _nearby_order(found) < _nearby_order(known):
                best[other.family.id] = found
        return tuple(sorted(best.values(), key=_nearby_order))

    def _against(self, formulation: Formulation, effect: Effect) -> Effect:
        """Return what another formulation changes against this one, of which the effect tells only the after."""
        if effect.name in FELT:
            fact = self.catalogue.formulation_fact(formulation, effect.name)
            before, basis = Range.of(fact), min((fact.basis, effect.basis), key=_LEAST_SURE.index)
            return replace(
                effect,
                before=before,
                basis=basis,
                sources=tuple(dict.fromkeys((fact.source, *effect.sources))),
            )
        if effect.name == "softens":
            return replace(effect, before=self._softens(formulation))
        sweet = compose(formulation).sweetness
        return replace(effect, before=Range(sweet, sweet, sweet))

    def _free_ones(self, but_family: str) -> Iterator[tuple[Formulation, Way]]:
        """Yield every formulation of other families that is free as it is, or after close swaps, and fits somewhere."""
        for other in self.catalogue.formulations.values():
            if other.family.id == but_family:
                continue
            as_it_is = not offences(other, self.avoid)
            for way in [self._way(other, (), other)] if as_it_is else self._ways(other):
                if way.fidelity != "different-icing" and not _fits_nowhere(way):
                    yield other, way

    def _spans(self) -> dict[str, float]:
        all_ = [self._likeness(each, None) for each in self.catalogue.formulations.values()]
        return {name: max(n[name] for n in all_) - min(n[name] for n in all_) for name in LIKENESS}

    def _likeness(self, formulation: Formulation, way: Way | None) -> dict[str, float]:
        made = formulation if way is None else way.formulation
        facts = {name: self.catalogue.formulation_fact(formulation, name).value for name in LIKENESS[2:]}
        changed = {} if way is None else {e.name: e.after.likely for e in way.effects if e.name in facts}
        return {"sweetness": compose(made).sweetness, "softens": self._softens(made).likely} | facts | changed


def _made(formulation: Formulation, chain: tuple[Substitution, ...], catalogue: Catalogue) -> Formulation:
    made = chained(formulation, chain, catalogue.ingredients)
    parts = {line.ingredient.egg_part for line in made.lines}
    if made.family.egg_part == "yolk" and "yolk" not in parts:
        return replace(made, family=catalogue.families[FAMILY_WITHOUT_YOLK])
    return made


def _weighed(formulation: Formulation, chain: tuple[Substitution, ...], catalogue: Catalogue) -> Iterator[WeighedSwap]:
    made = formulation
    for swap in chain:
        weighed = weigh(made, swap, catalogue.ingredients)
        # The new fat's water is made up for only where there is water to leave out; a syrup's is what stays in it.
        has = sum(line.grams for line in made.lines if line.ingredient.id == WATER and line.stage != "syrup")
        yield replace(weighed, water_g=max(weighed.water_g, -has))
        made = swapped(made, swap, catalogue.ingredients)


def _worst(chain: tuple[Substitution, ...]) -> Fidelity:
    return max((swap.faithful for swap in chain), key=FIDELITIES.index, default="faithful")


def _way_order(way: Way) -> tuple[bool, int, int, int, int, float, str]:
    each = [FIDELITIES.index(weighed.swap.faithful) for weighed in way.swaps]
    at_event = way.fit.order if way.fit else 0
    unsure = len(way.swaps) + len(way.doubts)
    less_sure = -round(way.fit.chance, 2) if way.fit else 0.0
    is_other = way.fidelity == "different-icing"
    return is_other, at_event, max(each, default=0), sum(each), unsure, less_sure, way.formulation.id


def _nearby_order(near: Nearby) -> tuple[int, int, float, int]:
    return near.way.fit.order if near.way.fit else 0, len(near.lost), near.distance, len(near.way.swaps)


def _fats_that_may_stay(formulation: Formulation, avoid: Sequence[Avoided]) -> frozenset[str]:
    barred = {offence.ingredient.id for offence in offences(formulation, avoid)}
    held = {line.ingredient for line in formulation.lines}
    fats = {each.id for each in held if each.fat_kind is not None and each.fat > LEAST_FAT}
    return frozenset(fats - barred)


def _fits_nowhere(way: Way) -> bool:
    return way.fit is not None and not (way.fit.may_coat or way.fit.may_fill)


def _share_of_fat(formulation: Formulation, swap: Substitution, catalogue: Catalogue) -> float:
    """Return how much of the stiffening fat a swap of fat moves (0..1); 1 for every other swap."""
    old = catalogue.ingredients[swap.replaces]
    new = catalogue.ingredients[swap.with_]
    if old.fat_kind is None or new.fat_kind is None:
        return 1.0
    fats = [line for line in formulation.lines if line.ingredient.fat_kind is not None]
    total = sum(line.grams * line.ingredient.fat for line in fats)
    return sum(line.grams * old.fat for line in fats if line.ingredient.id == old.id) / total


def _shifted(base: Range, moves: Sequence[tuple[float, float, float]], most: float) -> Range:
    """Add independent changes, each (likely, low, high), to a range: likely ones add up, doubts in quadrature."""
    value = base.likely + sum(change for change, _, _ in moves)
    down = math.hypot(base.likely - base.low, *(change - low for change, low, _ in moves))
    up = math.hypot(base.high - base.likely, *(high - change for change, _, high in moves))
    low, likely, high = (min(max(number, 0.0), most) for number in (value - down, value, value + up))
    return Range(likely, low, high)


def _fat_sources(formulation: Formulation, catalogue: Catalogue) -> tuple[str, ...]:
    return tuple(dict.fromkeys(catalogue.fats[fat].source for fat in fat_blend(formulation)))
