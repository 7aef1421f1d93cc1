"""Judges formulations for a brief: limits, criteria, weighted value, precedence, ties, confidence.

May import the catalogue's model, the units and the errors. Never reads files, knows no physics and no pages.
"""
