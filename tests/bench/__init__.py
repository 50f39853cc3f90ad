"""Benchmarks: long measurements against peers, run by `make bench`, never by `make test`."""
