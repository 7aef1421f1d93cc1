"""The data files as checked, immutable objects; the only reader of ``data/``.

``load_catalogue`` reads and checks a folder, ``composition`` computes what follows from a formula, and
``python -m webapp.catalogue`` checks the files for whoever edits them in a spreadsheet. This package may
import ``webapp.units`` and ``webapp.errors`` and nothing else of the project.
"""
