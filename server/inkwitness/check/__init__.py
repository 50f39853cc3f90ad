"""A check: a photo read, and the reading judged. `pipeline` is the story in steps."""
