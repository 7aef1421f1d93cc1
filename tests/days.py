"""A day for what is planned by the clock of this machine."""

from __future__ import annotations

import datetime as dt

from webapp.advice.brief import next_midsummer_saturday

# Far enough ahead for every plan; a day that is written down would one day have passed.
MIDSUMMER = next_midsummer_saturday(dt.date.today() + dt.timedelta(days=60)).isoformat()
