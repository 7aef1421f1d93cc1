"""Benchmark programs: run one with ``python -m tests.benchmarks.<name>``; none of them is a test."""

import os

# As the server does at its start, before numpy is imported: threads cost more than they bring on small matrices.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
