"""Routes on what is kept and for how long."""
