"""Consultations that last: what was asked, advised and seen afterwards, in SQLite or PostgreSQL.

``open_records`` opens the storage and brings its schema up to date; ``Records`` holds one small repository a kind
of record. Briefs and advices are kept as JSON documents with the versions of code and data that made them, so
this package knows nothing of the advisor: it must never import ``webapp.advice`` or ``webapp.pages``.
"""
