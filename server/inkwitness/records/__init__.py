"""What was seen, said and decided, kept so that nothing is overwritten.

`metadata` and `chain` say how facts are appended; `database` opens the file; `photo_files` keeps
the bytes; a module a noun (`units`, `photos`, `checks`, ...) knows the queries; `runner` has
photos read in worker processes.
"""
