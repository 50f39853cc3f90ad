"""How phones in the room reach this machine: addresses, a local authority, a name, QR codes."""
