"""What Alembic runs: the migrations, on the connection that `database.open_database` gives it."""

from alembic import context

from inkwitness.records.tables import metadata

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=metadata, render_as_batch=True)
context.run_migrations()
