"""Kept to what must be set before numpy is first imported, and to how hypothesis runs."""

from __future__ import annotations

import os

# Many small matrices: threads of the linear algebra library cost more than they bring, several times so on busy cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import settings

# How long an example takes says more of what else the machine does than of the code; benchmarks are programs.
settings.register_profile("project", deadline=None)
settings.load_profile("project")
