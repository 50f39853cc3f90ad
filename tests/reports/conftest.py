"""The running application of the API tests, for reports made from what it keeps."""

from tests.api.conftest import client, send

__all__ = ["client", "send"]
