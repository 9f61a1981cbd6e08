"""Fixtures of the tests of what must hold."""

from tests.holds.s3 import s3, s3_address
from tests.holds.servers import serve
from tests.people.pipes import pipes

__all__ = ["pipes", "s3", "s3_address", "serve"]
