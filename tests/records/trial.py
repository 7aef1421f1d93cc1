"""A step after the latest, which was never released: it makes a table anew, adds a column and fills it."""

from __future__ import annotations

import shutil
from pathlib import Path

from webapp.records.schema import STEPS, steps

REVISION = "trial"
_STEP = '''"""Only for tests."""

import sqlalchemy as sa
from alembic import op

revision, down_revision, branch_labels, depends_on = "trial", "{latest}", None, None


def upgrade():
    with op.batch_alter_table("consultation", recreate="{recreate}") as batch:
        batch.add_column(sa.Column("initial", sa.Text(), nullable=True))
    op.execute("UPDATE consultation SET initial = substr(client, 1, 1)")
    {more}
'''


def trial_steps(folder: Path, more: str = "", recreate: str = "auto") -> Path:
    """Our own steps and one more, in a folder; ``more`` is code that the last step runs at its end."""
    made = folder / "steps"
    shutil.copytree(STEPS, made, ignore=shutil.ignore_patterns("__pycache__"))
    (made / "trial.py").write_text(_STEP.format(latest=steps()[-1], more=more, recreate=recreate))
    return made
