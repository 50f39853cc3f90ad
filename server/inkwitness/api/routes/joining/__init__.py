"""Who is signed in, which devices there are, and how one joins."""
