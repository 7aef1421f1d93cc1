"""``python -m webapp.catalogue [folder]``: check the data files after editing them."""

from __future__ import annotations

import sys
from pathlib import Path

from webapp.catalogue.loader import check_folder
from webapp.catalogue.tables import TABLES

DATA = Path(__file__).resolve().parents[2] / "data"


def main(arguments: list[str] | None = None) -> int:
    """Print every fault, or that there is none; return what the shell should see."""
    given = sys.argv[1:] if arguments is None else arguments
    if len(given) > 1:
        print("usage: python -m webapp.catalogue [folder]", file=sys.stderr)
        return 2
    rows, faults = check_folder(Path(given[0]) if given else DATA)
    for fault in faults:
        print(fault)
    if not faults:
        print(f"all {rows} rows of {len(TABLES)} files are sound")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
