"""The command line: the same pipeline without a server."""
