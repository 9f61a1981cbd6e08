"""Addresses of photos: signed, and dead after a while. Alone they open nothing: the view asks who looks."""

from __future__ import annotations

from django.conf import settings
from django.core.signing import BadSignature, TimestampSigner
from django.urls import reverse

SIGNER = TimestampSigner(salt="photo")


def photo_address(ref: str, width: int) -> str:
    """Where one of a photo's two sizes can be had for the next PHOTO_LINK_SECONDS."""
    said = f"{ref}/{width}"
    return reverse("photo", args=[ref, str(width), SIGNER.sign(said).removeprefix(f"{said}:")])


def is_live(ref: str, width: str, signed: str) -> bool:
    """Whether this was signed for this size of this photo, and not too long ago."""
    try:
        SIGNER.unsign(f"{ref}/{width}:{signed}", max_age=settings.PHOTO_LINK_SECONDS)
    except BadSignature:
        return False
    return True
