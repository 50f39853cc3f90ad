"""How many to look at, which ones, and what may be said afterwards.

Read in this order: `discovery` (how many), `cartons` (which cartons), `draw` (which units),
`bounds` (what the result excludes), `statements` (the sentences), `curve` (the whole picture).
`plans` holds the attribute plans of MIL-STD-105E, for ordinary print and pack faults only;
`false_alarms` treats a check whose flags are not confirmed one by one.

Nothing here knows of the web, the database or the clock. Arguments are taken exactly
(`arguments`), and a comparison that floats cannot decide is made in rationals (`chance`).
"""
