"""A check: one photograph from bytes to outcome. `pipeline.check_photo` is the story in steps."""
