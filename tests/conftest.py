"""What must be set before numpy is first imported, how hypothesis runs, and in which order the files do."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

# Many small matrices: threads of the linear algebra library cost more than they bring, several times so on busy cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from flask import Flask
from hypothesis import settings
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket

# Whatever opens an advisor with the usual settings keeps its records here, never among somebody's own.
os.environ["XDG_DATA_HOME"] = tempfile.mkdtemp(prefix="kept-")
atexit.register(shutil.rmtree, os.environ["XDG_DATA_HOME"], ignore_errors=True)

# How long an example takes says more of what else the machine does than of the code; benchmarks are programs.
settings.register_profile("project", deadline=None)
settings.load_profile("project")

# Long ones first, so that no worker is still at one of them when the others have nothing left: in this order.
LONGEST_FILES = (
    "browser/test_every_state.py",
    "advice/test_invariants.py",
    "browser/test_walk.py",
    "browser/test_follow.py",
    "faults/test_forms.py",
    "faults/test_interface.py",
    "faults/test_data_files.py",
    "faults/test_server.py",
    "faults/test_outages.py",
    "browser/",
    "test_release.py",
    "pages/test_guard.py",
    "records/test_archive.py",
    "pages/test_send_again.py",
    "pages/test_shop_settings.py",
    "pages/test_advice_page.py",
    "pages/",
    "records/",
    "advice/",
)


def place_in_line(test: str) -> int:
    """Return the place of a test, by its id, among those of other files."""
    found = (place for place, name in enumerate(LONGEST_FILES) if test.startswith(f"tests/{name}"))
    return next(found, len(LONGEST_FILES))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: place_in_line(item.nodeid))


class CompiledOnce(BytecodeCache):
    """Templates compiled by one application of a process, for all its others."""

    def __init__(self) -> None:
        self._known: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self._known:
            bucket.bytecode_from_string(self._known[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._known[bucket.key] = bucket.bytecode_to_string()


# A template is still read from its file, and compiled anew if it is not what was compiled.
Flask.jinja_options = {**Flask.jinja_options, "bytecode_cache": CompiledOnce()}
