"""Run by Alembic, on the connection (and so in the transaction) that `store` hands over."""

from alembic import context

from onboard.roster.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
)
context.run_migrations()
