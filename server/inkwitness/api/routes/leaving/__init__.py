"""What leaves the house: packs, reports given, labels, messages, and what was answered."""
