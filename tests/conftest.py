"""Kept to what must be set before numpy is first imported, and to how hypothesis runs."""

from __future__ import annotations

import os

# Many small matrices: threads of the linear algebra library cost more than they bring, several times so on busy cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hypothesis import settings

# How long an example takes says more of what else the machine does than of the code; benchmarks are programs.
# The same examples each time, so that a run says something of the change and not of luck; raise max_examples to search.
settings.register_profile("project", deadline=None, derandomize=True)
settings.load_profile("project")
