"""What the demo's reviewer says of some sizes: read and signed with a note, and one held."""

from __future__ import annotations

from people.models import Person
from releases.actions.sign_off import sign_size
from releases.models import SignOffState, Version
from testing_rounds.sign_off_page import sign_page

BACK = "Fits but for the back length, short in every size: sign again once the next version lengthens it."
WORDS = {
    "10": (SignOffState.NOTED, BACK),
    "12": (SignOffState.NOTED, BACK),
    "14": (SignOffState.NOTED, BACK),
    "18": (
        SignOffState.HELD,
        "The waist is tight on all three toiles, and on no neighbour. Measure the waist seam of 18 on the pattern.",
    ),
}


def sign(version: Version, by: Person) -> None:
    """Say it on the pages as they stand."""
    for size, (state, note) in WORDS.items():
        page = sign_page(version, version.sizes.index(size), by)
        sign_size(version=version, size=size, state=state, note=note, saw=page.saw, met=page.met, by=by)
