"""Every table of the database: importing this fills `metadata`."""

import importlib
import importlib.util

from inkwitness.records import tables
from inkwitness.records.metadata import metadata

if importlib.util.find_spec("inkwitness.records.list_tables") is not None:
    importlib.import_module("inkwitness.records.list_tables")

__all__ = ["metadata", "tables"]
