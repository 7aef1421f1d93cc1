"""The brief that an address carries along to a page of its own questions."""

from __future__ import annotations

from webapp.advice.brief import Brief
from webapp.catalogue.model import Catalogue
from webapp.errors import BriefError
from webapp.pages.advisor import current_catalogue
from webapp.pages.brief_address import Pair, brief_of
from webapp.pages.problem_texts import Shown, shown_problems
from webapp.pages.shop_advice import current_service
from webapp.units import Measures


def read_carried(carried: list[Pair], measures: Measures, problems: list[Shown]) -> tuple[Brief | None, Catalogue]:
    """Read the carried brief, if any, with what is known once its own formulas are in; what is wrong is added."""
    if not carried:
        return None, current_catalogue()
    try:
        brief = brief_of(carried)
        return brief, current_service().entering(brief).catalogue
    except BriefError as refused:
        found = shown_problems(refused.problems, carried, measures)
        problems += [Shown(each.field, "carried", each.text) for each in found]
        return None, current_catalogue()
