"""Long runs with targets of their own: kills, power cuts, fuzzing."""
