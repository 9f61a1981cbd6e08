"""Fixtures of the tests of what must hold."""

from tests.holds.s3 import s3, s3_address
from tests.holds.servers import serve

__all__ = ["s3", "s3_address", "serve"]
