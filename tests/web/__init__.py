"""The page in a browser, against the real server."""
