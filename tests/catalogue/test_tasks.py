from __future__ import annotations

from webapp.catalogue.loader import check_folder
from webapp.catalogue.tables import TASKS


def spoiled(folder, old, new):
    path = folder / "tasks.csv"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return [(fault.file, fault.column, fault.problem) for fault in check_folder(folder)[1]]


def test_every_task_of_a_plan_has_its_minutes(catalogue):
    assert {task for task, family, _ in catalogue.tasks if family == "all"} == set(TASKS)


def test_minutes_lie_within_their_range(catalogue):
    assert all(row.low <= row.minutes <= row.high for row in catalogue.tasks.values())


def test_a_task_that_is_missing_is_missed(folder):
    path = folder / "tasks.csv"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("cool,")]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    (fault,) = check_folder(folder)[1]
    assert (fault.file, fault.problem) == ("tasks.csv", "'cool' of all families is not given")


def test_a_family_that_is_not_there_is_refused(folder):
    assert spoiled(folder, "smooth,american", "smooth,flemish") == [
        ("tasks.csv", "family", "no family is called 'flemish'")
    ]


def test_minutes_outside_their_range_are_refused(folder):
    assert spoiled(folder, "cool,all,order,Cool on racks,120,", "cool,all,order,Cool on racks,220,") == [
        ("tasks.csv", "minutes", "220 is outside its own range")
    ]
