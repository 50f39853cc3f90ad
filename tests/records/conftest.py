"""Tests of the records that need a running application use the one of the API's tests."""

from tests.api.conftest import client, send

__all__ = ["client", "send"]
