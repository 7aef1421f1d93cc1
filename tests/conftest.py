"""Kept to what must be set before numpy is first imported."""

from __future__ import annotations

import os

# Many small matrices: threads of the linear algebra library cost more than they bring, several times so on busy cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
