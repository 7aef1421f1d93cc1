"""How large each picture is; read by the pages too, which must not load the drawing library for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Sheet = Literal["wide", "narrow"]  # narrow: drawn for a phone, so that its texts can be read there

PX_PER_IN = 96
PT_PER_IN = 72


@dataclass(frozen=True, slots=True)
class Layout:
    """A sheet [in] and the shares of it between which the axes stand."""

    width_in: float
    height_in: float
    left: float
    right: float
    top: float
    bottom: float

    @property
    def axes_pt(self) -> tuple[float, float]:
        """Width and height of the axes [pt]."""
        wide, tall = (self.right - self.left) * self.width_in, (self.top - self.bottom) * self.height_in
        return wide * PT_PER_IN, tall * PT_PER_IN

    @property
    def pixels(self) -> tuple[int, int]:
        """The size that an image element reserves [px]."""
        return round(self.width_in * PX_PER_IN), round(self.height_in * PX_PER_IN)


COURSE: dict[Sheet, Layout] = {
    "wide": Layout(6.4, 4.3, left=0.09, right=0.68, top=0.80, bottom=0.13),
    "narrow": Layout(3.7, 4.2, left=0.16, right=0.66, top=0.80, bottom=0.13),
}
MAP: dict[Sheet, Layout] = {
    "wide": Layout(6.4, 5.6, left=0.10, right=0.98, top=0.97, bottom=0.33),
    "narrow": Layout(3.7, 6.8, left=0.16, right=0.97, top=0.98, bottom=0.44),
}
