"""Every kind of fault: a sound copy of the data is spoiled in one place, and that place is named."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from webapp.catalogue.loader import check_folder
from webapp.errors import DataFault

Lines = list[str]


def spoil(folder: Path, file: str, change: Callable[[Lines], None]) -> None:
    path = folder / file
    lines = path.read_text(encoding="utf-8").splitlines()
    change(lines)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def line_of(folder: Path, file: str, start: str) -> int:
    lines = (folder / file).read_text(encoding="utf-8").splitlines()
    (number,) = [n for n, line in enumerate(lines, start=1) if line.startswith(start)]
    return number


def replace(folder: Path, file: str, start: str, old: str, new: str) -> int:
    """In the one line that starts so, replace a text that stands there once; return the line's number."""
    number = line_of(folder, file, start)

    def change(lines: Lines) -> None:
        assert lines[number - 1].count(old) == 1
        lines[number - 1] = lines[number - 1].replace(old, new)

    spoil(folder, file, change)
    return number


def faults_of(folder: Path) -> tuple[DataFault, ...]:
    return check_folder(folder)[1]


def test_the_copy_is_sound_before_it_is_spoiled(folder: Path) -> None:
    assert faults_of(folder) == ()


@pytest.mark.parametrize(
    ("file", "start", "old", "new", "column", "problem"),
    [
        ("ingredients.csv", "butter,", ",17.94,", ",wet,", "water", "'wet' is not a number"),
        ("ingredients.csv", "butter,", ",81.11,", ",811.1,", "fat", "811.1 is not plausible"),
        ("ingredients.csv", "butter,", ",17.94,", ",12.94,", "other", "add up to 95.00 g"),
        ("ingredients.csv", "butter,", ",milk,", ",lactose,", "allergens", "'lactose' is not known"),
        ("ingredients.csv", "butter,", ",animal,", ",dairy,", "origin", "'dairy' is not known"),
        ("ingredients.csv", "butter,", ",milk-fat,", ",cow-fat,", "fat_kind", "'cow-fat' is not in fats.csv"),
        ("ingredients.csv", "butter,", ",usda-sr28,", ",usda,", "source", "'usda' is not in sources.csv"),
        ("ingredients.csv", "butter,", ",standard,", ",sure,", "basis", "'sure' is not known"),
        ("ingredients.csv", "butter,", ",1 cup,", ",1 cup ,", "household_measure", "stray white space"),
        ("ingredients.csv", "butter,", ",1 cup,", ",1  cup,", "household_measure", "stray white space"),
        ("ingredients.csv", "butter,", "Unsalted butter", "", "name", "the cell is empty"),
        ("ingredients.csv", "butter,", ",227,", ",,", "household_g", "the cell is empty"),
        ("sources.csv", "mcgee-2004,", ",handbook", ",book", "kind", "'book' is not known"),
        ("sources.csv", "mcgee-2004,", ",2004,", ",04,", "year", "04 is not plausible"),
        ("families.csv", "french,", ",yolk,", ",yolks,", "egg_part", "'yolks' is not known"),
        ("formulations.csv", "swiss-butter,", ",swiss,", ",swis,", "family", "'swis' is not in families.csv"),
        ("formulations.csv", "swiss-butter,", "heated-71c", "hot", "egg_treatment", "'hot' is not known"),
        ("formulations.csv", "swiss-butter,", "stand-mixer", "mixer", "equipment", "'mixer' is not known"),
        ("formulas.csv", "french-butter,egg-yolk", "egg-yolk", "yolk", "ingredient", "'yolk' is not in"),
        ("formulas.csv", "french-butter,egg-yolk", ",140,", ",0,", "grams", "0 is not plausible"),
        ("formulas.csv", "french-butter,egg-yolk", ",yolk-foam", ",foam", "stage", "'foam' is not known"),
        ("properties.csv", "swiss,softens", ",softens,", ",softness,", "property", "'softness' is not known"),
        ("properties.csv", "swiss,softens", ",softens,", ",warming,", "property", "no property 'warming'"),
        ("properties.csv", "swiss,softens", ",24.5,", ",27.5,", "value", "27.5 is outside its own range"),
        ("properties.csv", "swiss,softens", ",C,", ",F,", "unit", "'F' is not known"),
        ("properties.csv", "swiss,softens", ",C,", ",K,", "unit", "'K' is not the unit of softens"),
        ("properties.csv", "swiss,softens", ",27,", ",76,", "high", "76 is not plausible for softens"),
        ("properties.csv", "french-plant,whiteness", "french", "greek", "subject", "nothing is called"),
        ("properties.csv", "film,", "2026-11-24", "24.11.2026", "checked_on", "'24.11.2026' is not a date"),
        ("properties.csv", "film,", "2026-11-24", "2026-11-31", "checked_on", "is not in the calendar"),
        ("fats.csv", "milk-fat,25,", ",12,", ",16,", "solids_pct", "16 is outside its own range"),
        ("fats.csv", "milk-fat,25,", ",12,8,15,", ",21,8,25,", "solids_pct", "21 is more than"),
        ("fats.csv", "milk-fat,25,", ",25,", ",18,", "temperature_c", "does not rise"),
        ("substitutions.csv", "butter-to-plant", ",butter,", ",lard,", "replaces", "'lard' is not in"),
        ("criteria.csv", "heat,", "-6:0 0:0.35", "0:0 -6:1", "points", "x does not rise"),
        ("criteria.csv", "heat,", ",4,", ",6,", "weight", "6 is not plausible"),
        ("criteria.csv", "heat,", ",K,", ",kelvin,", "unit", "'kelvin' is not known"),
        ("rules.csv", "hot-syrup-burns,", ",caution,", ",warning,", "kind", "'warning' is not known"),
    ],
)  # fmt: skip
def test_a_fault_is_placed(
    folder: Path, file: str, start: str, old: str, new: str, column: str, problem: str
) -> None:
    number = replace(folder, file, start, old, new)
    faults = [fault for fault in faults_of(folder) if fault.line is not None]
    placed = [fault for fault in faults if (fault.file, fault.line, fault.column) == (file, number, column)]
    assert any(problem in fault.problem for fault in placed), faults
    assert all(fault.allowed for fault in faults)


def test_one_slip_gives_one_fault(folder: Path) -> None:
    replace(folder, "properties.csv", "swiss,softens", ",24.5,", ",27.5,")
    (fault,) = faults_of(folder)
    assert str(fault) == (
        f"properties.csv, line {line_of(folder, 'properties.csv', 'swiss,softens')}, column value: "
        "27.5 is outside its own range; allowed: low to high, here 22 to 27"
    )


def test_an_unknown_name_is_answered_with_the_known_ones(folder: Path) -> None:
    replace(folder, "properties.csv", "film,", ",factor,", ",warming,")
    faults = [fault for fault in faults_of(folder) if fault.line is not None]
    assert [fault.allowed for fault in faults] == ["factor"]


@pytest.mark.parametrize(
    ("file", "start"),
    [
        ("sources.csv", "mcgee-2004,"),
        ("formulas.csv", "french-butter,egg-yolk,"),
        ("properties.csv", "swiss,softens,"),
    ],
)
def test_a_key_given_twice_is_refused(folder: Path, file: str, start: str) -> None:
    first = line_of(folder, file, start)
    spoil(folder, file, lambda lines: lines.append(lines[first - 1]))
    (fault,) = faults_of(folder)
    assert fault.file == file
    assert f"stands on line {first} already" in fault.problem


def test_the_same_temperature_written_otherwise_is_the_same_key(folder: Path) -> None:
    first = line_of(folder, "fats.csv", "milk-fat,25,")
    again = "milk-fat,25.0,12,8,15,from-memory,fat-handbooks,,2026-11-24"
    spoil(folder, "fats.csv", lambda lines: lines.insert(first, again))
    problems = [(fault.line, fault.column) for fault in faults_of(folder)]
    assert (first + 1, "temperature_c") in problems


def test_the_lines_of_a_fat_stand_together(folder: Path) -> None:
    spoil(folder, "fats.csv", lambda lines: lines.append(lines.pop(1)))
    assert any("do not stand together" in fault.problem for fault in faults_of(folder))


def test_a_fat_has_one_source(folder: Path) -> None:
    number = replace(folder, "fats.csv", "milk-fat,40,", ",fat-handbooks,", ",versteeg-2016,")
    (fault,) = faults_of(folder)
    assert (fault.line, fault.column) == (number, "source")


def test_a_fact_that_the_advice_needs_is_missed(folder: Path) -> None:
    number = line_of(folder, "properties.csv", "french,slumps")
    spoil(folder, "properties.csv", lambda lines: lines.__delitem__(number - 1))
    (fault,) = faults_of(folder)
    assert (fault.file, fault.line, fault.problem) == (
        "properties.csv",
        None,
        "slumps of 'french' is not given",
    )


def test_a_formulation_without_ingredients_is_refused(folder: Path) -> None:
    row = "french-empty,French without anything,french,syrup-cooked,,"
    spoil(folder, "formulations.csv", lambda lines: lines.append(row))
    (fault,) = faults_of(folder)
    assert (fault.column, fault.problem) == ("id", "'french-empty' has no ingredients in formulas.csv")


def test_a_file_with_only_its_header_is_refused(folder: Path) -> None:
    spoil(folder, "rules.csv", lambda lines: lines.__delitem__(slice(1, None)))
    (fault,) = faults_of(folder)
    assert (fault.file, fault.problem) == ("rules.csv", "there are no rows")


def test_all_faults_of_all_files_come_at_once(folder: Path) -> None:
    replace(folder, "families.csv", "french,", ",yolk,", ",yolks,")
    replace(folder, "ingredients.csv", "butter,", ",17.94,", ",wet,")
    replace(folder, "ingredients.csv", "salt,", ",mineral,", ",rock,")
    replace(folder, "properties.csv", "film,", ",1,", ",9,")
    spoil(folder, "formulas.csv", lambda lines: lines.append("ragged,line"))
    (folder / "rules.csv").unlink()
    files = [fault.file for fault in faults_of(folder)]
    assert sorted(set(files)) == [
        "families.csv",
        "formulas.csv",
        "ingredients.csv",
        "properties.csv",
        "rules.csv",
    ]
    assert files.count("ingredients.csv") == 2


def test_a_lost_file_does_not_drown_the_others_in_faults(folder: Path) -> None:
    (folder / "sources.csv").unlink()
    assert [fault.file for fault in faults_of(folder)] == ["sources.csv"]


def test_a_lost_column_is_one_fault(folder: Path) -> None:
    spoil(folder, "families.csv", lambda lines: lines.__setitem__(0, lines[0].replace("method", "how")))
    faults = faults_of(folder)
    assert [(fault.line, fault.column) for fault in faults] == [(1, "how"), (1, "method")]


def test_a_swap_without_its_effects_is_named(folder: Path) -> None:
    def without_one(lines: Lines) -> None:
        lines[:] = [line for line in lines if not line.startswith("butter-to-palm,minutes,")]

    spoil(folder, "substitution_effects.csv", without_one)
    (fault,) = faults_of(folder)
    assert (fault.file, fault.line) == ("substitutions.csv", line_of(folder, "substitutions.csv", "butter-to-palm,"))
    assert fault.problem.startswith("minutes after 'butter-to-palm' is not given")


@pytest.mark.parametrize(
    ("file", "start", "old", "new", "column", "problem"),
    [
        ("substitution_effects.csv", "butter-to-palm,minutes", ",0,0,5,", ",9,0,5,", "change", "9 is outside its own"),
        ("allergens.csv", "us,milk", "us,", "uk,", "law", "'uk' is not known"),
        ("ingredients.csv", "brown-sugar,", ",bone-char,", ",bones,", "may_hold", "'bones' is not known"),
    ],
)
def test_swaps_and_allergens_are_checked_too(
    folder: Path, file: str, start: str, old: str, new: str, column: str, problem: str
) -> None:
    line = replace(folder, file, start, old, new)
    (fault,) = faults_of(folder)
    assert (fault.file, fault.line, fault.column) == (file, line, column)
    assert problem in fault.problem
