"""Benchmark programs: run one with ``python -m tests.benchmarks.<name>``; none of them is a test."""
