"""A running server with a consignment on hold."""

from tests.leaving.house import house

__all__ = ["house"]
