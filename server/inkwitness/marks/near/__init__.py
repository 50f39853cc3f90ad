"""Print that is near a published form."""
