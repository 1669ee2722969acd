"""The forms that a shop had, one step each, run by Alembic."""
