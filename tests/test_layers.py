"""Who may import whom; see the layout in DEVELOPERS.md. Seen to fail: an import of Flask in webapp/advice."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "webapp"
MAY_IMPORT = {
    "units": set(),
    "errors": set(),
    "config": set(),
    "catalogue": {"units", "errors"},
    "thermal": {"catalogue", "units", "errors"},
    "decision": {"catalogue", "units", "errors"},
    "kitchen": {"catalogue", "units", "errors"},
    "records": {"decision", "thermal", "kitchen", "catalogue", "units", "errors"},
    "advice": {"decision", "thermal", "kitchen", "catalogue", "units", "errors"},
    "pages": {"advice", "records", "catalogue", "config", "units", "errors"},
}
WEB_ONLY = {"flask", "wtforms", "werkzeug", "jinja2", "waitress"}
MODULES = sorted(PACKAGE.rglob("*.py"))


def imported(path: Path) -> Iterator[str]:
    """Every module a file imports, also inside functions; those for type checkers count too."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write imports in full"
            yield node.module or ""


def layer_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_the_layers_below_it(path):
    layer = layer_of(path)
    if layer in ("__init__", "__main__"):
        return
    used = {name.split(".")[1] for name in imported(path) if name.startswith("webapp.")}
    assert used - {layer} <= MAY_IMPORT[layer]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_pages_know_the_web(path):
    if layer_of(path) in ("pages", "__init__", "__main__"):
        return
    assert not {name.split(".")[0] for name in imported(path)} & WEB_ONLY


def test_only_the_catalogue_reads_the_data_folder():
    readers = {
        layer_of(path) for path in MODULES if {n.split(".")[0] for n in imported(path)} & {"pandas", "csv"}
    }
    assert readers == {"catalogue"}


def test_each_package_of_the_product_is_named_here():
    assert {layer_of(path) for path in MODULES} - {"__init__", "__main__"} == set(MAY_IMPORT)
