"""Print that no label and no form names: what is free, and what it may be."""
