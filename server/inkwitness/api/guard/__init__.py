"""What stands before every route: gate, roles, limits, headers."""
