"""Reports: what was read, what is missing, what contradicts what, what was not looked at.

`document` names the parts of a report, `unit`, `consignment` and `papers` fill them from the
records, `words` holds the sentences, `pdf` draws them. A report says nothing that the records do
not hold, and holds no word that is a verdict.
"""
