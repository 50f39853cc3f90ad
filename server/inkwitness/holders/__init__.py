"""The user's own list of approval holders: kept, imported, compared with the print. Never proof."""
