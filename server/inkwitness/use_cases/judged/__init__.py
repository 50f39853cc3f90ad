"""Readings judged: as they come in, before a lock is taken, and again by a new list."""
