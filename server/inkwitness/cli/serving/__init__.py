"""The server from the command line: how it listens, its demo, help for whoever is locked out."""
