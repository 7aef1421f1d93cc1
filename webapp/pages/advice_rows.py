"""The rows of an advice as the page groups them; nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from webapp.advice.contract import CautionOut, ExcludedOut, PartsOut, RankedPairingOut
from webapp.advice.phrases import NEARLY_SURE
from webapp.pages.formatters import HORIZON_H, capital, lasting

# Cautions of work and of the estimate. Every other one, also one that is new, is shown as food safety.
HANDLING = frozenset({"hot-syrup-burns", "stacked-supports", "not-food", "fresh-flowers", "heat-estimate"})

# Limits whose source says that a food is an allergen.
ALLERGENS = frozenset({"egg-free", "dairy-free", "soy-free", "coconut-free", "tree-nut-free", "gluten-free"})


@dataclass(slots=True)
class Because:
    """One reason, with the roles it counts for; no source where it is cited elsewhere in the list."""

    text: str
    source: str
    roles: list[str] = field(default_factory=list)


@dataclass(slots=True)
class RuledOut:
    """One formulation that limits removed, with every reason once."""

    name: str
    formulation: str
    family: str
    reasons: list[Because] = field(default_factory=list)

    @property
    def roles(self) -> list[str]:
        return sorted({role for reason in self.reasons for role in reason.roles})

    def add(self, row: ExcludedOut) -> None:
        known = next((reason for reason in self.reasons if reason.text == row.because), None)
        if known is None:
            known = Because(row.because, row.source)
            self.reasons.append(known)
        known.roles.append(row.role)


def ruled_out(excluded: Iterable[ExcludedOut]) -> list[RuledOut]:
    """Give one row a formulation, with each source once: where it comes first, that of the allergens below them all."""
    excluded = list(excluded)
    rows: dict[str, RuledOut] = {}
    for row in excluded:
        rows.setdefault(row.formulation, RuledOut(row.name, row.formulation, row.family)).add(row)
    cited = {*allergen_sources(excluded)}
    for reason in (reason for each in rows.values() for reason in each.reasons):
        if reason.source in cited:
            reason.source = ""
        cited.add(reason.source)
    return list(rows.values())


def allergen_sources(excluded: Iterable[ExcludedOut]) -> list[str]:
    """List what names the allergens that ruled something out: it says which foods count, not what is in a product."""
    return list(dict.fromkeys(row.source for row in excluded if row.limit in ALLERGENS))


def food_safety(cautions: Iterable[CautionOut]) -> list[CautionOut]:
    """Pick the cautions of food safety: what this is, then the clock, then the rest."""
    first = ("planning-help", "time-out", "time-control")
    kept = [caution for caution in cautions if caution.id not in HANDLING]
    return sorted(kept, key=lambda caution: first.index(caution.id) if caution.id in first else len(first))


def handling(cautions: Iterable[CautionOut]) -> list[CautionOut]:
    """Pick the cautions of work and of the estimate."""
    return [caution for caution in cautions if caution.id in HANDLING]


def parts_in_one(parts: PartsOut, needed_h: float) -> str | None:
    """Say once what every part would say for itself; none where some part differs or is in any doubt."""
    named = {"coat": parts.coat, "piping": parts.detail, "filling": parts.filling, "stack": parts.stack}
    given = {name: part for name, part in named.items() if part is not None}
    if any(part.low_h < HORIZON_H - 1 / 24 or part.chance < NEARLY_SURE for part in given.values()):
        return None
    *first, last = given
    long_enough = "long enough" if needed_h > 0 else "in shape on arrival"
    return f"{capital(', '.join(first))} and {last}: each keeps {lasting(HORIZON_H)}, nearly always {long_enough}."


def tied(pairings: Iterable[RankedPairingOut], coat: str, filling: str) -> list[RankedPairingOut]:
    """List the pairings that cannot be told from the advised one."""
    others = (p for p in pairings if (p.coat.formulation, p.filling.formulation) != (coat, filling))
    return [pairing for pairing in others if pairing.tied_with_first]
