"""${message}"""

import sqlalchemy as sa
from alembic import op

from inkwitness.records.migrations import refuse_changes

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}
