"""The locks under .ci/lock name what pyproject.toml asks for, on every Python that it allows, and name no index."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
LOCKS = ROOT / ".ci" / "lock"
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
PINNED = re.compile(r"^(?P<pin>[\w.\[\]-]+==\S+(?: ; [^\\]+)?)(?: \\)?$", re.MULTILINE)


def project() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text())


def asked_for(pyproject: dict[str, Any], *extras: str) -> list[Requirement]:
    listed = pyproject["project"]
    lines = pyproject["build-system"]["requires"] + listed["dependencies"]
    return [
        Requirement(line) for line in lines + [one for name in extras for one in listed["optional-dependencies"][name]]
    ]


def pins(lock: str, python: str) -> dict[str, str]:
    """Return the version of each package that a lock gives a Python on Linux."""
    place = {"python_version": python, "python_full_version": f"{python}.0", "sys_platform": "linux"}
    found = [Requirement(match["pin"].strip()) for match in PINNED.finditer(lock)]
    return {
        canonicalize_name(pin.name): str(pin.specifier).removeprefix("==")
        for pin in found
        if pin.marker is None or pin.marker.evaluate(place)
    }


def disagreements(asked: list[Requirement], lock: str, python: str) -> list[str]:
    """Return what is asked for and is not locked, or is locked at a version that is not allowed."""
    locked = pins(lock, python)
    return [
        f"Python {python}: {wanted} is asked for, {locked.get(canonicalize_name(wanted.name), 'nothing')} is locked"
        for wanted in asked
        if not wanted.specifier.contains(locked.get(canonicalize_name(wanted.name), "0"), prereleases=True)
        or canonicalize_name(wanted.name) not in locked
    ]


def test_every_python_that_is_allowed_is_looked_at() -> None:
    assert project()["project"]["requires-python"] == f">={PYTHONS[0]}"


@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize(("lock", "extras"), [("runtime", ()), ("test", ("test",))])
def test_the_lock_and_the_project_agree(lock: str, extras: tuple[str, ...], python: str) -> None:
    text = (LOCKS / f"{lock}.txt").read_text()
    assert not disagreements(asked_for(project(), *extras), text, python), "run sh .ci/relock"


def test_what_runs_is_locked_alike_for_users_and_tests() -> None:
    for python in PYTHONS:
        runtime, test = (pins((LOCKS / f"{lock}.txt").read_text(), python) for lock in ("runtime", "test"))
        assert runtime.items() <= test.items()


def test_the_oldest_that_are_tested_are_the_oldest_that_are_allowed() -> None:
    oldest = pins((LOCKS / "oldest.txt").read_text(), PYTHONS[0])
    for wanted in (Requirement(line) for line in project()["project"]["dependencies"]):
        (bound,) = wanted.specifier
        assert bound.operator == ">="
        # 3.0 and 3.0.0 are one version, and a bound may name a release that its index never had: then the next one.
        assert wanted.specifier.contains(oldest[canonicalize_name(wanted.name)]), "run sh .ci/relock"
        assert oldest[canonicalize_name(wanted.name)].startswith(bound.version), f"{wanted}: run sh .ci/relock"


def test_a_dependency_that_is_not_locked_is_found() -> None:
    lock = "flask==3.1.3 \\\n    --hash=sha256:0\nnumpy==2.4.6 ; python_full_version < '3.12' \\\n"
    assert not disagreements([Requirement("Flask>=3"), Requirement("numpy>=2")], lock, "3.11")
    assert disagreements([Requirement("numpy>=2")], lock, "3.12") == [
        "Python 3.12: numpy>=2 is asked for, nothing is locked"
    ]
    assert disagreements([Requirement("flask>=3.2")], lock, "3.11") == [
        "Python 3.11: flask>=3.2 is asked for, 3.1.3 is locked"
    ]
    assert disagreements([Requirement("frosting")], lock, "3.11")


@pytest.mark.parametrize("lock", sorted(path.name for path in LOCKS.iterdir()))
def test_a_lock_has_a_digest_for_all_it_names_and_names_no_index(lock: str) -> None:
    text = (LOCKS / lock).read_text()
    assert "://" not in text and "index" not in text
    assert len(PINNED.findall(text)) == len(re.findall(r"^\S", text, re.MULTILINE))
    assert all("--hash=sha256:" in block for block in re.split(r"\n(?=\S)", text))
