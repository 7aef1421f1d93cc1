"""List the licence of all that the advisor or its tests need: ``python -m tests.licences > .ci/licences.csv``."""

from __future__ import annotations

import csv
import re
import sys
from importlib.metadata import PackageMetadata, metadata

from packaging.utils import canonicalize_name

from tests.test_lock import LOCKS, pins

# What the packages without a licence expression call theirs; the text of a licence is told by its first words.
EXPRESSIONS = {
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD 2-Clause License": "BSD-2-Clause",
    "BSD 3-Clause License": "BSD-3-Clause",
    "BSD License": "BSD",
    "MIT License": "MIT",
    "MIT license": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
    "Zope Public License": "ZPL-2.1",
}
PLAIN = {"Apache-2.0", "BSD-3-Clause", "MIT", "MPL-2.0"}
# Seen by hand in the packages: their metadata name none.
BY_HAND = {"axe-playwright-python": "MIT", "scikit-criteria": "BSD-3-Clause"}


def licence(package: str) -> str:
    """Return the licence of an installed package as an SPDX expression, or ``unknown``; BSD where no kind is said."""
    told = metadata(package)
    if expression := told.get("License-Expression"):
        return str(expression)
    named = [str(told.get("License") or "").split("\n")[0].strip(), *_classes(told)]
    known = [name if name in PLAIN else EXPRESSIONS[name] for name in named if name in PLAIN or name in EXPRESSIONS]
    return known[0] if known else BY_HAND.get(package, "unknown")


def _classes(told: PackageMetadata) -> list[str]:
    found = [re.fullmatch(r"License :: OSI Approved :: (.+)", line) for line in told.get_all("Classifier") or []]
    return [match[1] for match in found if match]


def locked_here(lock: str) -> list[str]:
    python = f"{sys.version_info.major}.{sys.version_info.minor}"
    return sorted(canonicalize_name(name) for name in pins((LOCKS / f"{lock}.txt").read_text(), python))


def main() -> int:
    runtime = set(locked_here("runtime"))
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(["package", "needed_by", "licence"])
    for package in locked_here("test"):
        writer.writerow([package, "runtime" if package in runtime else "tests", licence(package)])
    return 0


if __name__ == "__main__":
    sys.exit(main())
