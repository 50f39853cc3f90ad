"""What many checked units say together about the consignment they came in, and what may follow.

`values` names the things, `roll_up` puts units together, `sample` counts a sample, `dispositions`
says what people may decide, `gate` what stands in the way of a release. Nothing is averaged and
nothing is scored: the worst outcome is the outcome.
"""
