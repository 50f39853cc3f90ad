"""A store: what was seen, said and decided, appended and never overwritten.

`tables` has the tables, `chain` says how facts are appended, `database` opens the file, `store` the
data folder; a module a noun (`units`, `photos`, `checks`, ...) appends and finds its rows. `stored`
writes readings and judgements; `old_form` reads rows that were kept before.
"""
