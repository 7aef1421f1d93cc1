"""Whole eggs: whites for one buttercream and yolks for another from the same eggs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EggCount:
    """Eggs to crack, and what is over of them.

    ``white_g`` and ``yolk_g`` are what one egg gives [g], ``used_white_g`` and ``used_yolk_g`` what is used of all.
    """

    eggs: int
    whites: int
    yolks: int
    white_g: float
    yolk_g: float
    used_white_g: float
    used_yolk_g: float

    @property
    def whites_over(self) -> int:
        """Whites that nothing needs."""
        return self.eggs - self.whites

    @property
    def yolks_over(self) -> int:
        """Yolks that nothing needs."""
        return self.eggs - self.yolks

    @property
    def over_g(self) -> float:
        """Mass of what is over [g]."""
        return self.white_over_g + self.yolk_over_g

    @property
    def white_over_g(self) -> float:
        """White that is over [g]."""
        return self.eggs * self.white_g - self.used_white_g

    @property
    def yolk_over_g(self) -> float:
        """Yolk that is over [g]."""
        return self.eggs * self.yolk_g - self.used_yolk_g

    @property
    def apart(self) -> int:
        """Eggs that it would take if whites and yolks came from eggs of their own."""
        return self.whites + self.yolks


def count_eggs(uses: Iterable[tuple[int, int]], egg_g: tuple[float, float], used_g: tuple[float, float]) -> EggCount:
    """Return the fewest whole eggs that give every buttercream its whites and yolks.

    Minimise n over the whole numbers with n >= all whites and n >= all yolks. What is over then is least too, since
    it is n times a whole egg less a fixed amount.

    Parameters
    ----------
    uses
        Whole whites and yolks of each buttercream.
    egg_g, used_g
        White and yolk of one egg, and those used of all [g].
    """
    counted = list(uses)
    whites, yolks = sum(white for white, _ in counted), sum(yolk for _, yolk in counted)
    return EggCount(max(whites, yolks), whites, yolks, *egg_g, *used_g)
