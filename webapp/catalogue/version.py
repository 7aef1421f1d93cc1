"""Which data the advisor runs on, as one short word."""

from __future__ import annotations

import hashlib
from pathlib import Path

from webapp.catalogue.tables import TABLES


def data_version(folder: Path) -> str:
    """Return 16 hexadecimal digits that change whenever a data file does: of the SHA-256 of all, in their order."""
    digest = hashlib.sha256()
    for table in sorted(table.file for table in TABLES):
        content = (folder / table).read_bytes()
        digest.update(f"{table} {len(content)}\n".encode())
        digest.update(content)
    return digest.hexdigest()[:16]
