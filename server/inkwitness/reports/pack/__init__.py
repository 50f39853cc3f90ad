"""The evidence pack: a zip in the form of BagIt (RFC 8493, 2018) with its own verifier inside.

`bag` writes the zip, `contents` gathers what goes in, `records` the rows that the goods rest on,
`verify_pack` is copied into each pack as it is and runs with nothing but Python.
"""
