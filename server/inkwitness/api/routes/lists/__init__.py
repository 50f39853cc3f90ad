"""Routes of the holder list: editions, changes, look-ups, files."""
