"""A photo from a phone made fit to keep, and changed as its tester asked.

How a picture is read and written anew: releases.picture_work. Method and limits: docs/algorithms/photos.md.
"""

from __future__ import annotations

from typing import IO

from releases.picture_work import (
    BROKEN,
    EMPTY,
    NOT_A_PHOTO,
    TOO_HEAVY,
    TOO_MANY_PIXELS,
    TROUBLES,
    MadePhoto,
    PhotoError,
    PhotoFacts,
    both_sizes,
    inspect_photo,
    make_photo,
    opened,
)
from testing_rounds.photo_edits import Edits, apply_edits

__all__ = [
    "BROKEN",
    "EMPTY",
    "NOT_A_PHOTO",
    "TOO_HEAVY",
    "TOO_MANY_PIXELS",
    "TROUBLES",
    "MadePhoto",
    "PhotoError",
    "PhotoFacts",
    "change_photo",
    "inspect_photo",
    "make_photo",
]


def change_photo(source: IO[bytes], edits: Edits) -> MadePhoto:
    """Turn, cover and crop the large picture that was made of a photo, and write both sizes anew. Raises PhotoError."""
    with opened(source) as image:
        try:
            picture = apply_edits(image.convert("RGB"), edits)
        except OSError as cause:
            raise PhotoError(BROKEN) from cause
    return both_sizes(picture)
