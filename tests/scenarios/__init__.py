"""The scenarios of the job map (section 8), end to end through the API, their "must not" as well.

Names, numbers and lots are the job map's own, invented. Only the readers are stood in for: what
is printed on a photo is known by its file's name; marks, rules, list, gate, reports are real.
"""
