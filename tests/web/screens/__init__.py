"""Pictures of every page and state: `python -m tests.web.screens --out screens`.

One furnished server, one visit; each state is looked at in each size, in the light and in the dark.
What could not be taken is said at the end, and everything else is there.
"""
