"""Spoil every data file in every way: each must be refused by name and place, or work on every page.

Run ``python -m tests.faults.data_files [count] [seed]``. What is accepted is tried: pages of every kind are asked for.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from flask import Flask

from tests.faults.spoiling import WAYS, Sheet, Spoilt, Way, read_sheets
from webapp import create_app
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Catalogue
from webapp.config import Config
from webapp.errors import CatalogueError, DataFault

Became = Literal["refused with its place", "accepted, the same", "accepted as another value", "other"]
FIRST = "swiss-butter"
PAGES = (
    "/advice?setting=sun&air_high_c=33&hold_hours=4&tiers-0-width_cm=30&tiers-1-width_cm=20&piping=fine&colour=deep",
    "/advice?diet=vegan&diet=gluten-free&cupcakes=24&tiers=&humidity_pct=90&travel_minutes=60",
    "/advice?sweetness=1&equipment=&finish=textured&date=2027-06-26&place=Verona",
    "/families",
    *(f"/families/{family}" for family in ("american", "swiss", "italian", "french")),
    "/sources",
    "/words",
    f"/keeping?coat={FIRST}&filling=italian-butter",
    f"/label?coat={FIRST}&filling=american-butter",
    f"/substitutes?formulation={FIRST}&avoid=egg",
    "/substitutes?formulation=american-butter&avoid=milk",
    f"/plan?date=2027-06-26&coat={FIRST}&filling=french-butter&tiers-0-width_cm=25",
    f"/plan/shopping?coat={FIRST}&filling=french-butter&tiers-0-width_cm=25",
)


@dataclass(frozen=True, slots=True)
class Found:
    """What became of one spoilt file."""

    file: str
    way: str
    became: Became
    note: str = ""


class Trial:
    """Spoils a copy of the data, one file at a time."""

    def __init__(self, folder: Path, sound: Path) -> None:
        self.data = folder / "data"
        shutil.copytree(sound, self.data)
        self.sheets = read_sheets(self.data)
        self.sound = load_catalogue(self.data)
        self.config = Config(data_dir=self.data, records_dir=folder / "kept")

    def run(self, count: int, seed: int) -> Iterator[Found]:
        """Spoil files in turn, each in ways in turn."""
        chance = random.Random(seed)
        turns = [(sheet, way) for way in WAYS for sheet in self.sheets.values()]
        chance.shuffle(turns)
        done = 0
        while done < count:
            for sheet, way in turns:
                spoilt = way(chance, sheet)
                if spoilt is not None and done < count:
                    done += 1
                    yield self.judge(sheet, way, spoilt)

    def judge(self, sheet: Sheet, way: Way, spoilt: Spoilt) -> Found:
        """Lay a spoilt file in the place of the sound one, and see."""
        file = self.data / sheet.table.file
        try:
            if spoilt.content is None:
                file.unlink()
            else:
                file.write_bytes(spoilt.content)
            became, note = self._became(spoilt, sheet.table.file)
        finally:
            file.write_bytes(sheet.content)
        return Found(sheet.table.file, way.__name__, became, note)

    def _became(self, spoilt: Spoilt, file: str) -> tuple[Became, str]:
        try:
            catalogue = load_catalogue(self.data)
        except CatalogueError as refusal:
            return self._refused(spoilt, file, refusal)
        except Exception as error:  # whatever else is raised is what is looked for
            return "other", f"{type(error).__name__}: {error}"
        if spoilt.outcome == "refused":
            return "other", f"accepted: line {spoilt.line}, column {spoilt.column}"
        if catalogue == self.sound:
            return "accepted, the same", ""
        problem = self._page_that_fails(catalogue)
        return ("other", problem) if problem else ("accepted as another value", "")

    def _refused(self, spoilt: Spoilt, file: str, refusal: CatalogueError) -> tuple[Became, str]:
        if spoilt.outcome == "taken":
            return "other", f"refused: {refusal.faults[0]}"
        named = any(_names(fault, spoilt, file) for fault in refusal.faults)
        return ("refused with its place", "") if named else ("other", f"elsewhere: {refusal.faults[0]}")

    def _page_that_fails(self, catalogue: Catalogue) -> str:
        try:
            app = create_app(self.config, catalogue)
        except Exception as error:
            return f"accepted, then at the start {type(error).__name__}: {error}"
        return next((page for page in PAGES if _fails(app, page)), "")


def _fails(app: Flask, page: str) -> bool:
    # What is not there any more may be answered by 404, 409 or 422.
    return app.test_client().get(page).status_code >= 500


def _names(fault: DataFault, spoilt: Spoilt, file: str) -> bool:
    if not fault.file.endswith(".csv"):
        return False
    if spoilt.line is None:
        return True  # the place that breaks may be in another file
    is_column = spoilt.column is None or fault.column is None or fault.column == spoilt.column
    return fault.file == file and fault.line == spoilt.line and is_column


def main() -> None:
    """Print how many became what, by the way of spoiling, and every fault that was found."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2500
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as folder:
        found = list(Trial(Path(folder), Config().data_dir).run(count, seed))
    for line in table(found):
        print(line)
    bad = [one for one in found if one.became == "other"]
    for one in bad:
        print(f"{one.file} {one.way}: {one.note}")
    sys.exit(bool(bad))


def table(found: list[Found]) -> Iterator[str]:
    """Write the counts."""
    kinds: tuple[Became, ...] = (
        "refused with its place",
        "accepted, the same",
        "accepted as another value",
        "other",
    )
    yield f"{'':22}" + "".join(f"{kind:>27}" for kind in kinds)
    for way in dict.fromkeys(one.way for one in sorted(found, key=lambda one: one.way)):
        counts = Counter(one.became for one in found if one.way == way)
        yield f"{way:22}" + "".join(f"{counts[kind]:27}" for kind in kinds)
    counts = Counter(one.became for one in found)
    yield f"{'all':22}" + "".join(f"{counts[kind]:27}" for kind in kinds)


if __name__ == "__main__":
    main()
