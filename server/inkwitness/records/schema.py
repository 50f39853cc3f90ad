"""Every table of the database: importing this fills `metadata`."""

from inkwitness.records import list_tables, tables
from inkwitness.records.metadata import metadata

__all__ = ["list_tables", "metadata", "tables"]
