"""A running application, as tests/api has it, and goods that were released in it."""

from tests.api.conftest import client, send

__all__ = ["client", "send"]
