"""Which data and which code an advice comes from, so that one that was kept can say what has changed since."""

from __future__ import annotations

import hashlib
import tomllib
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import cast

from flask import Flask, current_app

from webapp.catalogue.version import data_version
from webapp.config import ROOT

# What an advice follows from; pages only show it.
COMPUTING = ("advice", "catalogue", "decision", "kitchen", "thermal")


@dataclass(frozen=True)
class Versions:
    """The versions that run now, as short words."""

    data_dir: Path

    @cached_property
    def data(self) -> str:
        return data_version(self.data_dir)

    @property
    def code(self) -> str:
        return code_version()


@cache
def code_version() -> str:
    """Return the release, and 8 digits that change whenever the code does that an advice follows from."""
    return f"{release()}+{_digest(Path(__file__).parents[1])}"


def release() -> str:
    try:
        return version("coat-and-filling")
    except PackageNotFoundError:
        return str(tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"])


def _digest(package: Path) -> str:
    digest = hashlib.sha256()
    for file in sorted(file for part in COMPUTING for file in (package / part).rglob("*.py")):
        content = file.read_bytes()
        digest.update(f"{file.relative_to(package).as_posix()} {len(content)}\n".encode())
        digest.update(content)
    return digest.hexdigest()[:8]


def current_versions() -> Versions:
    return cast(Versions, current_app.extensions["versions"])


def init_app(app: Flask) -> None:
    app.extensions["versions"] = Versions(app.extensions["config"].data_dir)
