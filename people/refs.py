"""Opaque names for things that have an address, and secrets for links."""

from __future__ import annotations

import hashlib
import secrets

# No vowels and no look-alikes: a ref never spells a word and can be read out.
ALPHABET = "23456789bcdfghjkmnpqrstvwxz"


def new_ref() -> str:
    """Ten characters, about 47 bits: enough that addresses cannot be guessed one by one."""
    return "".join(secrets.choice(ALPHABET) for _ in range(10))


def new_token() -> str:
    """A secret for a link: 256 bits, shown once."""
    return secrets.token_urlsafe(32)


def token_hash(token: str) -> str:
    """What is stored of a token: a reader of the database cannot make a link from it."""
    return hashlib.sha256(token.encode()).hexdigest()
