"""A consignment's report in parts: its first page, the units' evidence, the same as a table."""
