"""Kept to what must be set before numpy is first imported, and to how hypothesis runs."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

# Many small matrices: threads of the linear algebra library cost more than they bring, several times so on busy cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import settings

# Whatever opens an advisor with the usual settings keeps its records here, never among somebody's own.
os.environ["XDG_DATA_HOME"] = tempfile.mkdtemp(prefix="kept-")
atexit.register(shutil.rmtree, os.environ["XDG_DATA_HOME"], ignore_errors=True)

# How long an example takes says more of what else the machine does than of the code; benchmarks are programs.
settings.register_profile("project", deadline=None)
settings.load_profile("project")
