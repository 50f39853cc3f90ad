"""What Alembic runs: the access migrations, on the connection that `store.open_access` gives it."""

from alembic import context

from inkwitness.access.tables import metadata

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=metadata, render_as_batch=True)
context.run_migrations()
