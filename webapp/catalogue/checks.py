"""What can be wrong with rows once they are read: cells, keys, references, sums, ranges, curves, gaps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import groupby
from string import Formatter

from webapp.catalogue.cells import is_number, listed
from webapp.catalogue.named import CRITERION_UNITS, FATS, INGREDIENTS, OCCASIONS, PLACEHOLDERS, RULE_KINDS
from webapp.catalogue.properties import (
    BUTTERCREAM,
    SUBJECTS,
    group_of,
    names_for,
    property_spec,
    required_facts,
)
from webapp.catalogue.reading import Row, Sheet
from webapp.catalogue.tables import TASKS, Column
from webapp.errors import DataFault

Sheets = Mapping[str, Sheet]
FELT = ("smoothness", "piping_detail", "minutes")  # what a swap changes and no formula gives
COMPOSITION = ("water", "fat", "protein", "sugar", "starch", "other")


def find_faults(sheets: Sheets) -> tuple[DataFault, ...]:
    """Return every fault of every file, in the order of the files and their lines."""
    faults: list[DataFault] = []
    for sheet in sheets.values():
        own = [*sheet.faults, *_cell_faults(sheet), *_key_faults(sheet), *_reference_faults(sheet, sheets)]
        bad_lines = {fault.line for fault in own}
        sound = [row for row in sheet.rows if row.line not in bad_lines]
        if 1 not in bad_lines:
            own += _row_faults(sheet.table.file, sound)
        faults += sorted(own, key=lambda fault: fault.line or 0)
    return (*faults, *(fault for rule in SHEET_RULES for fault in rule(sheets)))


def _row_faults(file: str, rows: list[Row]) -> Iterator[DataFault]:
    for rule in ROW_RULES.get(file, ()):
        for row in rows:
            yield from rule(row)


def _cell_faults(sheet: Sheet) -> Iterator[DataFault]:
    for row in sheet.rows:
        for column in sheet.table.columns:
            if column.name in row.cells:
                problem, allowed = _cell_problem(column, row.cells[column.name])
                if problem is not None:
                    yield DataFault(sheet.table.file, row.line, column.name, problem, allowed)


def _cell_problem(column: Column, text: str) -> tuple[str | None, str]:
    if text != text.strip() or "  " in text:
        return "there is stray white space", "no space at either end and single spaces between words"
    if not text:
        return ("the cell is empty" if column.is_required else None), column.cell.allowed
    return column.cell.problem(text), column.cell.allowed


def _key_of(sheet: Sheet, row: Row) -> tuple[str, ...]:
    """Return the row's key; numbers compare as numbers, so that 5 and 5.0 are the same temperature."""
    cells = (row.cells.get(name, "") for name in sheet.table.key)
    return tuple(f"{float(cell):g}" if is_number(cell) else cell for cell in cells)


def _key_faults(sheet: Sheet) -> Iterator[DataFault]:
    first_line: dict[tuple[str, ...], int] = {}
    for row in sheet.rows:
        key = _key_of(sheet, row)
        line = first_line.setdefault(key, row.line)
        if line != row.line and any(key):
            problem = f"{' '.join(key)!r} stands on line {line} already"
            yield DataFault(sheet.table.file, row.line, sheet.table.key[-1], problem, "each once")


def _keys(sheet: Sheet) -> tuple[str, ...]:
    column = sheet.table.key[0]
    return tuple(dict.fromkeys(row.cells[column] for row in sheet.rows))


def _reference_faults(sheet: Sheet, sheets: Sheets) -> Iterator[DataFault]:
    for column in sheet.table.columns:
        targets = [sheets[file] for file in column.refers_to]
        if not targets or not all(target.is_whole for target in targets):
            continue  # with keys missing, every reference would look wrong
        known = tuple(key for target in targets for key in _keys(target))
        for row in sheet.rows:
            text = row.cells.get(column.name, "")
            if text and text == text.strip() and text not in known:
                problem = f"{text!r} is not in {' or '.join(column.refers_to)}"
                yield DataFault(sheet.table.file, row.line, column.name, problem, listed(known))


def _composition_sum(row: Row) -> Iterator[DataFault]:
    total = sum(row.number(name) for name in COMPOSITION)
    if not 99 <= total <= 101:
        problem = f"water to other add up to {total:.2f} g per 100 g"
        yield DataFault("ingredients.csv", row.line, "other", problem, "a sum from 99 to 101")


def _low_to_high(file: str, value_column: str) -> Callable[[Row], Iterator[DataFault]]:
    def rule(row: Row) -> Iterator[DataFault]:
        low, value, high = row.number("low"), row.number(value_column), row.number("high")
        if not low <= value <= high:
            problem = f"{value:g} is outside its own range"
            yield DataFault(file, row.line, value_column, problem, f"low to high, here {low:g} to {high:g}")

    return rule


def _known_property(row: Row) -> Iterator[DataFault]:
    subject, name = row.cells["subject"], row.cells["property"]
    spec = property_spec(subject, name)
    if spec is None:
        problem = f"{subject!r} has no property {name!r}"
        yield DataFault("properties.csv", row.line, "property", problem, listed(names_for(subject)))
        return
    if row.cells["unit"] != spec.unit:
        problem = f"{row.cells['unit']!r} is not the unit of {name}"
        yield DataFault("properties.csv", row.line, "unit", problem, spec.unit)
    for column in ("value", "low", "high"):
        if not spec.low <= row.number(column) <= spec.high:
            problem = f"{row.cells[column]} is not plausible for {name}"
            allowed = f"{spec.low:g} to {spec.high:g} {spec.unit}"
            yield DataFault("properties.csv", row.line, column, problem, allowed)


def _z_in_range(row: Row) -> Iterator[DataFault]:
    low, value, high = row.number("z_low"), row.number("z_k"), row.number("z_high")
    if not low <= value <= high:
        problem = f"{value:g} is outside its own range"
        yield DataFault("pathogens.csv", row.line, "z_k", problem, f"z_low to z_high, here {low:g} to {high:g}")


def _known_effect(row: Row) -> Iterator[DataFault]:
    """Hold what a swap changes to the unit that the property of a buttercream has."""
    name = row.cells["property"]
    spec = property_spec(BUTTERCREAM, name)
    if spec is None:
        problem = f"a buttercream has no property {name!r}"
        yield DataFault("substitution_effects.csv", row.line, "property", problem, listed(names_for(BUTTERCREAM)))
    elif row.cells["unit"] != spec.unit:
        problem = f"{row.cells['unit']!r} is not the unit of {name}"
        yield DataFault("substitution_effects.csv", row.line, "unit", problem, spec.unit)


def _known_criterion(row: Row) -> Iterator[DataFault]:
    name, unit = row.cells["criterion"], row.cells["unit"]
    if name not in CRITERION_UNITS:
        problem = f"there is no criterion {name!r}"
        yield DataFault("criteria.csv", row.line, "criterion", problem, listed((*CRITERION_UNITS,)))
    elif unit != CRITERION_UNITS[name]:
        problem = f"{unit!r} is not the unit of {name}"
        yield DataFault("criteria.csv", row.line, "unit", problem, CRITERION_UNITS[name])


def _shown_rule(row: Row) -> Iterator[DataFault]:
    """Refuse a rule that would never be shown, or not as what it is: a caution must not fall silent."""
    name, kind = row.cells["id"], row.cells["kind"]
    if kind != RULE_KINDS.get(name, kind):
        yield DataFault("rules.csv", row.line, "kind", f"{name!r} is no {kind}", RULE_KINDS[name])
    elif row.cells["applies_to"] not in OCCASIONS[kind]:
        problem = f"a {kind} is never shown for {row.cells['applies_to']!r}"
        yield DataFault("rules.csv", row.line, "applies_to", problem, "one of " + listed(OCCASIONS[kind]))


def _open_places(row: Row) -> Iterator[DataFault]:
    """Refuse a sentence with a place that nobody fills."""
    can_hold = PLACEHOLDERS.get(row.cells["kind"], frozenset())
    try:
        parts = [(place, form) for _, place, form, _ in Formatter().parse(row.cells["sentence"]) if place is not None]
    except ValueError:
        parts = [("", "")]
    for place, form in parts:
        if place not in can_hold or form:
            allowed = " or ".join(f"{{{word}}}" for word in sorted(can_hold)) or "no curly brackets"
            yield DataFault("rules.csv", row.line, "sentence", "a place in curly brackets is not filled", allowed)


ROW_RULES: dict[str, tuple[Callable[[Row], Iterator[DataFault]], ...]] = {
    "ingredients.csv": (_composition_sum,),
    "fats.csv": (_low_to_high("fats.csv", "solids_pct"),),
    "pathogens.csv": (_low_to_high("pathogens.csv", "d_min"), _z_in_range),
    "substitution_effects.csv": (_known_effect, _low_to_high("substitution_effects.csv", "change")),
    "criteria.csv": (_known_criterion,),
    "rules.csv": (_shown_rule, _open_places),
    "tasks.csv": (_low_to_high("tasks.csv", "minutes"),),
    "properties.csv": (_known_property, _low_to_high("properties.csv", "value")),
}


def _curves(sheets: Sheets) -> Iterator[DataFault]:
    """Hold each curve to physics: along one fat, temperatures rise and solids do not."""
    sheet = sheets["fats.csv"]
    if not sheet.is_whole or any(_cell_faults(sheet)):
        return
    for _, group in groupby(sheet.rows, key=lambda row: row.cells["fat"]):
        rows = list(group)
        for before, after in zip(rows, rows[1:], strict=False):
            yield from _step_faults(before, after)


def _step_faults(before: Row, after: Row) -> Iterator[DataFault]:
    if after.number("temperature_c") <= before.number("temperature_c"):
        problem = "the temperature does not rise from the line before"
        yield DataFault("fats.csv", after.line, "temperature_c", problem, "rising temperatures within a fat")
        return
    for column in ("solids_pct", "low", "high"):
        if after.number(column) > before.number(column):
            problem = f"{after.cells[column]} is more than at the cooler line before"
            allowed = f"at most {before.number(column):g}"
            yield DataFault("fats.csv", after.line, column, problem, allowed)
    if after.cells["source"] != before.cells["source"]:
        problem = "the source differs from the line before"
        yield DataFault("fats.csv", after.line, "source", problem, "one source for one fat")


def _fats_in_one_piece(sheets: Sheets) -> Iterator[DataFault]:
    """Keep a fat's lines together, or its curve would be cut in two."""
    rows = [row for row in sheets["fats.csv"].rows if "fat" in row.cells]
    seen: set[str] = set()
    for fat, group in groupby(rows, key=lambda row: row.cells["fat"]):
        lines = [row.line for row in group]
        if fat in seen:
            problem = f"the lines of {fat!r} do not stand together"
            yield DataFault("fats.csv", lines[0], "fat", problem, "all lines of one fat one after the other")
        seen.add(fat)


def _subjects(sheets: Sheets) -> Iterator[DataFault]:
    """Refuse a subject that is no family, no formulation and none of the listed ones."""
    if not all(sheets[file].is_whole for file in ("families.csv", "formulations.csv")):
        return
    buttercreams = (*_keys(sheets["families.csv"]), *_keys(sheets["formulations.csv"]))
    known = (*buttercreams, *(subject for group in SUBJECTS.values() for subject in group))
    for row in sheets["properties.csv"].rows:
        subject = row.cells.get("subject", "")
        if group_of(subject) == BUTTERCREAM and subject.strip() and subject not in buttercreams:
            problem = f"nothing is called {subject!r}"
            yield DataFault("properties.csv", row.line, "subject", problem, ", ".join(known))


def _missing_facts(sheets: Sheets) -> Iterator[DataFault]:
    sheet = sheets["properties.csv"]
    if not (sheet.is_whole and sheets["families.csv"].is_whole):
        return
    given = {(row.cells["subject"], row.cells["property"]) for row in sheet.rows}
    for subject, name in required_facts(_keys(sheets["families.csv"])):
        if (subject, name) not in given:
            problem = f"{name} of {subject!r} is not given"
            yield DataFault("properties.csv", None, "property", problem, "one row for it")


def _empty_formulas(sheets: Sheets) -> Iterator[DataFault]:
    """Refuse a formulation without ingredients: it could be advised but not made."""
    formulations, formulas = sheets["formulations.csv"], sheets["formulas.csv"]
    if not (formulations.is_whole and formulas.is_whole):
        return
    made = {row.cells["formulation"] for row in formulas.rows}
    for row in formulations.rows:
        if row.cells["id"] not in made:
            problem = f"{row.cells['id']!r} has no ingredients in formulas.csv"
            yield DataFault("formulations.csv", row.line, "id", problem, "at least one ingredient")


def _syrups_without_sugar(sheets: Sheets) -> Iterator[DataFault]:
    """Refuse a formula whose syrup cannot be boiled: nothing in it is sugar."""
    ingredients, formulas = sheets["ingredients.csv"], sheets["formulas.csv"]
    if not (ingredients.is_whole and formulas.is_whole) or any(_cell_faults(ingredients)):
        return
    sweet = {row.cells["id"] for row in ingredients.rows if row.number("sugar") > 0}
    syrups: dict[str, list[Row]] = {}
    for row in formulas.rows:
        if row.cells["stage"] == "syrup":
            syrups.setdefault(row.cells["formulation"], []).append(row)
    for name, rows in syrups.items():
        if not any(row.cells["ingredient"] in sweet for row in rows):
            problem = f"the syrup of {name!r} has no sugar in it"
            yield DataFault("formulas.csv", rows[0].line, "ingredient", problem, "an ingredient with sugar")


def _missing_names(sheets: Sheets) -> Iterator[DataFault]:
    """Ask for the rows that the advisor calls by name."""
    needed = {
        "criteria.csv": tuple(CRITERION_UNITS),
        "rules.csv": tuple(RULE_KINDS),
        "fats.csv": FATS,
        "ingredients.csv": INGREDIENTS,
    }
    for file, names in needed.items():
        sheet = sheets[file]
        given = _keys(sheet) if sheet.is_whole and sheet.rows else names
        for name in names:
            if name not in given:
                yield DataFault(file, None, sheet.table.key[0], f"{name!r} is not given", "one row for it")


def _missing_effects(sheets: Sheets) -> Iterator[DataFault]:
    """Ask of every swap what it does to what no formula gives."""
    swaps, effects = sheets["substitutions.csv"], sheets["substitution_effects.csv"]
    if not (swaps.is_whole and effects.is_whole):
        return
    given = {(row.cells["substitution"], row.cells["property"]) for row in effects.rows}
    for row in swaps.rows:
        for name in FELT:
            if (row.cells["id"], name) not in given:
                problem = f"{name} after {row.cells['id']!r} is not given in substitution_effects.csv"
                yield DataFault("substitutions.csv", row.line, "id", problem, "one row for it, 0 where nothing changes")


def _task_families(sheets: Sheets) -> Iterator[DataFault]:
    """Refuse a task of a family that is not there; ``all`` is every family."""
    if not sheets["families.csv"].is_whole:
        return
    known = ("all", *_keys(sheets["families.csv"]))
    for row in sheets["tasks.csv"].rows:
        if row.cells.get("family", "all") not in known:
            problem = f"no family is called {row.cells['family']!r}"
            yield DataFault("tasks.csv", row.line, "family", problem, listed(known))


def _missing_tasks(sheets: Sheets) -> Iterator[DataFault]:
    """Ask for every task that a plan may need, for all families."""
    sheet = sheets["tasks.csv"]
    if not sheet.is_whole:
        return
    given = {row.cells["task"] for row in sheet.rows if row.cells["family"] == "all"}
    for task in TASKS:
        if task not in given:
            yield DataFault("tasks.csv", None, "task", f"{task!r} of all families is not given", "one row for it")


def _empty_files(sheets: Sheets) -> Iterator[DataFault]:
    for sheet in sheets.values():
        if sheet.is_whole and not sheet.rows:
            yield DataFault(sheet.table.file, None, None, "there are no rows", "at least one row")


SHEET_RULES: tuple[Callable[[Sheets], Iterator[DataFault]], ...] = (
    _curves,
    _fats_in_one_piece,
    _subjects,
    _missing_facts,
    _empty_formulas,
    _syrups_without_sugar,
    _missing_names,
    _missing_effects,
    _task_families,
    _missing_tasks,
    _empty_files,
)
