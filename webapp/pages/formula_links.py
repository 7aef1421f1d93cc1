"""Where a formulation is explained: ours on its family's page, an own one on the page of own formulas."""

from __future__ import annotations

import re
from urllib.parse import urlencode

from flask import Flask, request

from webapp.pages.brief_address import Pair

OWN_PAGE = "/own-formula"
_OWN_ID = re.compile(r"own-([1-9][0-9]*)")


def formula_address(family: str, formulation: str) -> str:
    """Write the address of a formulation; an own one's recipe stands in the address of the page that names it."""
    own = _OWN_ID.fullmatch(formulation)
    if own is None:
        return f"/families/{family}#{formulation}"
    return own_address(list(request.args.items(multi=True)), int(own[1]) - 1)


def own_address(pairs: list[Pair], place: int) -> str:
    """Write the address of the page of a brief's own formula, counted from 0; it carries the brief along."""
    head = f"own_formulas-{place}-"
    recipe = [(name.removeprefix(head), text) for name, text in pairs if name.startswith(head)]
    rest = [pair for pair in pairs if pair[0] not in ("units", "change")]
    return f"{OWN_PAGE}?{urlencode([*recipe, *rest])}"


def init_app(app: Flask) -> None:
    # A global, as the macros that link to formulations are imported without a page's context.
    app.jinja_env.globals["formula_address"] = formula_address
