"""Fixtures of the tests of what must hold."""

from tests.holds.s3 import s3, s3_address

__all__ = ["s3", "s3_address"]
