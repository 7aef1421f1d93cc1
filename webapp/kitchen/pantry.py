"""Matches the names of recipe lines to the ingredient table and weighs them; what is not known is asked for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from webapp.catalogue.model import Catalogue, Ingredient, ListedAllergen
from webapp.kitchen.household import MASSES, NoWeightError, Weighed, Weights, weigh
from webapp.kitchen.recipe_lines import Amount, LineProblemError, ParsedLine, parse_line
from webapp.kitchen.recipe_words import CONTAINERS, SIZES, is_remark, singular, words_of

# Two amounts of one line may differ by how a cup is filled or an egg is laid, not by more. Assumption.
MOST_APART = 1.5
MOST_GRAMS = 50_000.0
LEAST_GRAMS = 0.01
COUNTED_AS = "200 g beurre doux [unsalted butter]"  # a name that is not known here beside the known one
_LIQUID_FROM = 50.0  # water [g/100 g] from which an ounce might be a fluid ounce

Names = Mapping[tuple[str, ...], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class ReadLine:
    """One line as understood: the ingredient, its mass [g], the rule that gave it, and what the reader should know."""

    text: str
    ingredient: Ingredient
    grams: float
    rule: str
    source: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pantry:
    """What the catalogue knows of ingredients: by their names made comparable, and what their measures weigh.

    ``allergens`` are those that food laws name, with the words that ask for them.
    """

    ingredients: Mapping[str, Ingredient]
    names: Names
    weights: Weights
    allergens: tuple[ListedAllergen, ...]

    @classmethod
    def of(cls, catalogue: Catalogue) -> Pantry:
        """Index the ingredients by every name they go by."""
        own = ((name, item.id) for item in catalogue.ingredients.values() for name in (item.name, item.id))
        names: dict[tuple[str, ...], tuple[str, ...]] = {}
        for name, id_ in (*catalogue.ingredient_names, *own):
            words = words_of(name)
            names[words] = tuple(dict.fromkeys((*names.get(words, ()), id_)))
        return cls(catalogue.ingredients, names, catalogue.household, tuple(catalogue.allergens.values()))

    def read(self, text: str) -> ReadLine:
        """Read one line.

        Raises
        ------
        LineProblemError
            If it cannot be read, or if the ingredient is not known or not the only one of its name.
        """
        line = parse_line(text)
        ingredient = self._ingredient(line)
        weighed, noted = self._weighed(line, ingredient)
        is_other = bool(line.count_as) and ingredient.id not in self._meant(line)
        counted = (f"Counted as {ingredient.name.lower()}, its allergens too.",) if is_other else ()
        notes = (*line.notes, *noted, *counted)
        if not LEAST_GRAMS <= weighed.grams <= MOST_GRAMS:
            raise LineProblemError(
                line.text, f"that makes {weighed.grams:.3g} g", "from 0.01 g to 50 kg a line", "amount"
            )
        return ReadLine(line.text, ingredient, weighed.grams, weighed.rule, weighed.source, notes)

    def _ingredient(self, line: ParsedLine) -> Ingredient:
        if line.count_as:
            meant = self.names.get(words_of(line.count_as), ())
            if len(meant) != 1:
                raise self._unknown(line, line.count_as)
            self._refuse_lost_allergen(line, self.ingredients[meant[0]])
            return self.ingredients[meant[0]]
        found = self._meant(line)
        if not found:
            raise self._not_found(line)
        if len(found) > 1:
            problem = f"“{_said(line)}” can be {self._any_of(found)}"
            raise LineProblemError(line.text, problem, self._which(line, found), "ambiguous", found)
        return self.ingredients[found[0]]

    def _refuse_lost_allergen(self, line: ParsedLine, counted: Ingredient) -> None:
        """Refuse to count as something else what goes by the name of an allergen that this does not hold."""
        for word, each in self._lost_allergens(line, counted):
            name = counted.name.lower()
            problem = f"“{word}” names {each.words.lower()}, and {name} has none: the allergen would be lost"
            allowed = f"an ingredient that has it in the brackets, or the name without “{word}” if it holds none"
            raise LineProblemError(line.text, problem, allowed, "unclear")

    def _lost_allergens(self, line: ParsedLine, counted: Ingredient) -> Iterator[tuple[str, ListedAllergen]]:
        """Yield each word of a line that names an allergen which an ingredient does not hold, with the allergen."""
        own = {word for name, ids in self.names.items() if counted.id in ids for word in name}
        said = {*words_of(" ".join(line.names))} - own
        for each in self.allergens:
            named = sorted(said & {singular(word) for word in each.named_by})
            if named and each.allergen not in counted.allergens:
                yield named[0], each

    def _without_loss(self, line: ParsedLine, ids: Iterable[str]) -> tuple[str, ...]:
        """Keep the ingredients that the line can be counted as without an allergen being lost."""
        return tuple(id_ for id_ in ids if not any(self._lost_allergens(line, self.ingredients[id_])))

    def _meant(self, line: ParsedLine) -> tuple[str, ...]:
        """Return the ingredients that go by the name on the line."""
        return next(filter(None, (self.names.get(words) for words in _candidates(line.names))), ())

    def _which(self, line: ParsedLine, options: tuple[str, ...]) -> str:
        name = self.ingredients[options[0]].name.lower()
        return f"the line with the one that you use in square brackets, such as “{line.text} [{name}]”"

    def _not_found(self, line: ParsedLine) -> LineProblemError:
        if not any(words_of(name) for name in line.names):
            return LineProblemError(line.text, "there is no ingredient", "an amount and an ingredient", "unclear")
        names = " ".join(line.names)
        if re.search(r"\d(?![\d.]*%|x\b)", names) or self._several(names):
            return LineProblemError(
                line.text, "there is more than one ingredient on the line", "one ingredient a line", "unclear"
            )
        if self.names.get(_core(words_of(line.names[0]))) and len(line.names) > 1:
            aside = line.names[1].strip()
            problem = f"“{aside}” is not understood: it may change what the ingredient is"
            options = self._without_loss(line, self.names[_core(words_of(line.names[0]))])
            return LineProblemError(
                line.text, problem, "the line without it, if it changes nothing", "unknown", options
            )
        return self._unknown(line, _said(line))

    def _several(self, names: str) -> bool:
        parts = re.split(r"\b(?:and|or)\b|[&+/]", names)
        return len(parts) > 1 and any(_core(words_of(part)) in self.names for part in parts)

    def _unknown(self, line: ParsedLine, said: str) -> LineProblemError:
        options = self._without_loss(line, dict.fromkeys(self._near(words_of(said))))
        if options:
            near = f"a name that is known here, such as {self._any_of(options)}"
            allowed = f"{near}; if it is one of these under another name, add that in square brackets"
        else:
            same = f"add the known one in square brackets, as in “{COUNTED_AS}”"
            allowed = f"a name that is known here; if yours is another name for it, {same}; else take the line out"
        return LineProblemError(line.text, f"no ingredient called “{said}” is known", allowed, "unknown", options)

    def _any_of(self, ids: Sequence[str]) -> str:
        """Say which ingredients may be meant; a name may hold a comma itself."""
        *others, last = (self.ingredients[id_].name.lower() for id_ in ids)
        between = "; " if any("," in name for name in (*others, last)) else ", "
        return f"{between.join(others)} or {last}" if others else last

    def _near(self, words: tuple[str, ...]) -> Iterator[str]:
        """Yield ingredients whose names look like these words, then those that share their last one."""
        spelled = {" ".join(name): ids for name, ids in self.names.items()}
        for close in get_close_matches(" ".join(_core(words)), spelled, n=3, cutoff=0.75):
            yield from spelled[close]
        for name, ids in self.names.items():
            if words and words[-1] == name[-1]:
                yield from ids

    def _weighed(self, line: ParsedLine, ingredient: Ingredient) -> tuple[Weighed, tuple[str, ...]]:
        said = [self._weigh(line, amount, ingredient) for amount in _masses(line.also)]
        try:
            main = [self._weigh(line, amount, ingredient) for amount in line.amounts]
        except LineProblemError:
            if not said:
                raise
            return said[0], ()
        total = Weighed(
            sum(each.grams for each in main), " + ".join(dict.fromkeys(m.rule for m in main)), main[0].source
        )
        if not said:
            return total, tuple(_ounces(line.amounts, ingredient))
        if not 1 / MOST_APART <= total.grams / said[0].grams <= MOST_APART:
            problem = f"its two amounts differ: {total.grams:.0f} g and {said[0].grams:.0f} g"
            raise LineProblemError(line.text, problem, "the one that you weigh", "amount")
        return Weighed(said[0].grams, f"the weight on the line; by measure {total.grams:.3g} g", ""), ()

    def _weigh(self, line: ParsedLine, amount: Amount, ingredient: Ingredient) -> Weighed:
        try:
            return weigh(amount.number, amount.unit, ingredient, self.weights, size=line.size, state=line.state)
        except NoWeightError as unknown:
            raise LineProblemError(line.text, _no_weight(amount, ingredient), str(unknown), "amount") from None


def _no_weight(amount: Amount, ingredient: Ingredient) -> str:
    if amount.unit == "":
        return f"{amount.number:g} of {ingredient.name.lower()} has no unit"
    return f"a {amount.unit} of {ingredient.name.lower()} cannot be weighed from here"


def _masses(amounts: Iterable[Amount]) -> list[Amount]:
    """List masses, metric ones first: they are the ones that are put on a scale."""
    return sorted((a for a in amounts if a.unit in MASSES), key=lambda a: a.unit not in ("g", "kg"))


def _ounces(amounts: Iterable[Amount], ingredient: Ingredient) -> Iterator[str]:
    if any(amount.unit == "oz" for amount in amounts) and ingredient.water >= _LIQUID_FROM:
        yield "Ounces were taken by weight; write fl oz for a volume."


def _candidates(names: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Yield the words a name may consist of: all of them, then without remarks, then with its parts turned around."""
    parts = [words for words in map(words_of, names) if words]
    telling = [core for core in map(_core, parts) if core]
    if len(telling) <= 1:
        yield from parts[:1]
        yield from telling
        return
    yield tuple(word for words in parts for word in words)
    yield tuple(word for core in reversed(telling) for word in core)
    yield tuple(word for core in telling for word in core)


def _core(words: tuple[str, ...]) -> tuple[str, ...]:
    """Return a name's words without remarks and sizes."""
    return tuple(w for w in words if not is_remark(w) and w not in SIZES and w not in CONTAINERS)


def _said(line: ParsedLine) -> str:
    return " ".join(name.strip() for name in line.names)
