"""Where an advice leads: to the kitchen, to what is known of its eggs, to substitutes and to the card."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from webapp.advice.brief import MOST_OWN, Brief
from webapp.advice.contract import Advice
from webapp.pages.brief_address import address_of

OWN = "own-"


@dataclass(frozen=True, slots=True)
class NextStep:
    """One link with the words on it."""

    name: str
    address: str


def next_steps(advice: Advice, brief: Brief) -> list[NextStep]:
    """List the pages that go on from an advice, each about the same brief and pairing."""
    if advice.pairing is None:
        return [NextStep("Look for substitutes", address_of(brief, "/substitutes"))]
    coat, filling = (part.formulation for part in (advice.pairing.coat, advice.pairing.filling))
    return [
        NextStep("Kitchen plan", address_of(brief, "/plan")),
        NextStep("Eggs and keeping", address_of(brief, "/keeping")),
        NextStep("Ingredient card", _with(address_of(brief, "/label"), coat=coat, filling=filling)),
        NextStep("Substitutes", _with(address_of(brief, "/substitutes"), formulation=coat)),
    ]


def own_choice(advice: Advice, brief: Brief) -> NextStep | None:
    """Give the plan of the best pairing with an own formula that cannot be told from the advised one, if any."""
    for row in advice.pairings[1:]:
        parts = (row.coat, row.filling)
        own = next((part for part in parts if part.formulation.startswith(OWN)), None)
        if row.tied_with_first and own is not None:
            address = _with(address_of(brief, "/plan"), coat=row.coat.formulation, filling=row.filling.formulation)
            return NextStep(own.name, address)
    return None


def firmer_address(advice: Advice, brief: Brief) -> str | None:
    """Give the address of the brief with the favourite's firmer formula in the race, where there is one."""
    if advice.taste is None or advice.taste.firmer is None or len(brief.own_formulas) >= MOST_OWN:
        return None
    own = (*brief.own_formulas, advice.taste.firmer)
    if len({each.name.casefold() for each in own}) < len(own):
        return None
    fields = {name: getattr(brief, name) for name in brief.model_fields_set}
    return address_of(Brief.model_validate(fields | {"own_formulas": own}))


def _with(address: str, **fields: str) -> str:
    return f"{address}{'&' if '?' in address else '?'}{urlencode(fields)}"
