"""Steps from each set of access tables to the next; see `records.migrations` for how to add one."""
