"""Work in processes of its own: photos waiting to be read, and what strangers' files may cost.

`queue` are the rows of what waits, `runner` has them done by `worker`s; `helpers` lend processes
(`apart`) for pictures and tables; `watch` looks through the records in the background.
"""
