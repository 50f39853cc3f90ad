"""What the readers saw: areas, lines and character probabilities."""
