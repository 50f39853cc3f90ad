"""Routes on what comes with goods: papers, declarations, intended use."""
