"""Whether what is kept is as it was written: the audit, its heads, and copies to go back to."""
