"""What this server is, whether it is ready, and the description of its API."""
