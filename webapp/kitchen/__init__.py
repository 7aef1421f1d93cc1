"""Amounts and loads of a cake: plain arithmetic on sizes, volumes and densities.

Imports nothing of decision, thermal, advice or Flask.
"""
