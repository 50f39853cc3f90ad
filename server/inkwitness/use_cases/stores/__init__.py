"""Goods in store, what is remembered of them, and records that need no consignment."""
