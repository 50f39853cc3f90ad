"""Papers beside the print: what a person typed of them, compared field by field.

`values` names what lies beside a paper, `compare` says whether two texts of one field agree,
`judge` raises the rules of `rules/papers.yaml`, `examples` runs their examples.
"""
