"""Briefs for the tests, read as the API reads them."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from webapp.advice.brief import Brief, read_brief

TODAY = dt.date(2026, 11, 24)
THREE_TIERS = [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}]


def asked(**fields: Any) -> Brief:
    return read_brief(json.dumps(fields))
