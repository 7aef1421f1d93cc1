"""Change what modules state outside of their functions, one thing at a time, and see whether a test notices.

Run ``python -m tests.mutants FILE …`` with files below ``webapp``. mutmut changes the insides of functions; this does
the rest: constants, tables and the short tests of module level. A number grows by a tenth (a whole one by 1), a
comparison is turned. Every change is made in a copy of the project and meets the tests of its module in a process of
its own; one that no test notices is printed. The exit code is 1 if there is any.
"""

from __future__ import annotations

import ast
import importlib
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEAVY = ("numpy", "pandas", "pydantic", "pytest")  # imported once, before the forks
# Where a module is tested beside its mirror.
ALSO = {
    "thermal/air": ("outside/test_diurnal_air.py",),
    "thermal/film": ("outside/test_film.py",),
    "thermal/foods": ("outside/test_food_properties.py",),
    "thermal/humid": ("outside/test_moist_air.py",),
    "thermal/sun": ("outside/test_sun.py",),
    "kitchen/geometry": ("outside/test_geometry.py",),
    "kitchen/water_activity": ("outside/test_water_activity.py",),
    "kitchen/syrup": ("outside/test_syrup.py",),
    "kitchen/egg_heat": ("outside/test_egg_heat.py",),
    "kitchen/keeping": ("outside/test_food_code.py",),
    "decision/model": ("decision/test_ranking.py",),
    "advice/softness": ("advice/test_learnt.py",),
}
TURNED = {
    ast.Gt: ">=", ast.GtE: ">", ast.Lt: "<=", ast.LtE: "<", ast.Eq: "!=", ast.NotEq: "==", ast.In: "not in"
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """Bytes ``start`` to ``end`` of one line of a file, and what stands there instead."""

    line: int
    start: int
    end: int
    text: str

    def made_in(self, source: bytes) -> bytes:
        lines = source.splitlines(keepends=True)
        old = lines[self.line - 1]
        lines[self.line - 1] = old[: self.start] + self.text.encode() + old[self.end :]
        return b"".join(lines)


def changes(source: bytes) -> Iterator[Change]:
    """Yield every change of what stands outside of functions."""
    found: list[ast.AST] = [ast.parse(source)]
    while found:
        node = found.pop()
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            continue
        found += ast.iter_child_nodes(node)
        if isinstance(node, ast.Constant) and node.end_col_offset is not None:
            number = node.value
            if isinstance(number, int) and not isinstance(number, bool):
                yield Change(node.lineno, node.col_offset, node.end_col_offset, repr(number + 1))
            elif isinstance(number, float):
                yield Change(node.lineno, node.col_offset, node.end_col_offset, repr(number * 1.1 or 0.1))
        if isinstance(node, ast.Compare) and len(node.ops) == 1 and node.left.end_lineno == node.lineno:
            left, right = node.left, node.comparators[0]
            if type(node.ops[0]) in TURNED and left.end_col_offset is not None and right.lineno == node.lineno:
                yield Change(node.lineno, left.end_col_offset, right.col_offset, f" {TURNED[type(node.ops[0])]} ")


def tests_of(file: Path) -> list[str]:
    """Return the test files of a module, as paths in the project."""
    inside = file.with_suffix("").relative_to("webapp")
    mirror = Path("tests", inside.parent, f"test_{inside.name}.py")
    if inside.parts[:2] == ("decision", "criteria"):
        mirror = Path("tests/decision/criteria/test_criteria.py")
    return [str(mirror)] * (ROOT / mirror).exists() + [f"tests/{name}" for name in ALSO.get(inside.as_posix(), ())]


def is_noticed(copy: Path, tests: list[str]) -> bool:
    """Run the tests in a process of their own; whether any fails."""
    child = os.fork()
    if child == 0:
        try:
            os.chdir(copy)
            for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "webapp")]:
                del sys.modules[name]
            sys.path.insert(0, str(copy))
            void = os.open(os.devnull, os.O_WRONLY)
            os.dup2(void, 1)
            os.dup2(void, 2)
            os._exit(int(importlib.import_module("pytest").main(["-x", "-q", "-p", "no:cacheprovider", *tests])))
        finally:
            os._exit(9)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def run(files: list[str]) -> int:
    sys.dont_write_bytecode = True  # two changes of one second would share what was compiled of the first
    for name in HEAVY:
        importlib.import_module(name)
    unseen = 0
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Path(folder, "project")
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".*", "__pycache__", "mutants"))
        for file in files:
            tests, source = tests_of(Path(file)), (ROOT / file).read_bytes()
            tried = list(changes(source))
            if not tried:
                continue
            if not tests or is_noticed(copy, tests):
                raise SystemExit(f"{file}: its tests are not there or fail without any change: {tests}")
            missed = []
            for change in tried:
                (copy / file).write_bytes(change.made_in(source))
                if not is_noticed(copy, tests):
                    missed.append(change)
            (copy / file).write_bytes(source)
            print(f"{file}: {len(tried) - len(missed)} of {len(tried)} noticed", flush=True)
            for change in missed:
                line = source.splitlines()[change.line - 1]
                was, now = line[change.start : change.end].decode().strip(), change.text.strip()
                print(f"  line {change.line}: {was} -> {now} in {line.decode().strip()[:80]}", flush=True)
            unseen += len(missed)
    return 1 if unseen else 0


if __name__ == "__main__":
    raise SystemExit(run(sys.argv[1:]))
