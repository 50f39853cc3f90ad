"""Who may do what: people with roles, the devices they are signed in on, codes, waits.

Kept in a database of its own (`access.sqlite`), so that a copy of the records carries no password
and a restored backup brings no revoked device back. The records name people by id and name.
"""
