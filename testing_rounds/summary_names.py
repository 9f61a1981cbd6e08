"""Papers leave the studio's screens: on them a tester is an alias and a size, whatever anybody wrote."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cached_property

from django.utils.translation import gettext as _

from testing_rounds.evidence import Evidence
from testing_rounds.models import Place

# Shorter parts of a name are words of every language.
LEAST_LETTERS = 3


class Nameless:
    """Takes names and addresses of some testers out of free text."""

    def __init__(self, places: Iterable[Place]) -> None:
        known = {text for place in places for text in (place.name, place.email, *place.name.split())}
        self.known = sorted((text for text in known if len(text) >= LEAST_LETTERS), key=len, reverse=True)

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        return re.compile(rf"(?<!\w)(?:{'|'.join(re.escape(text) for text in self.known)})(?!\w)")

    def first(self, said: str) -> str:
        """The first name in the text, as it is written there; "" where there is none."""
        found = self._pattern.search(said) if self.known else None
        return found.group() if found else ""

    def text(self, said: str) -> str:
        """The text with "(a tester)" for each name; whole words in the spelling of the name, so that "may" stays."""
        return self._pattern.sub(_("(a tester)"), said) if self.known else said


def without_names(evidence: Evidence) -> Nameless:
    """Let every place of the evidence be called by its alias; returns what does the same to free text.

    The rows are changed in memory only: nothing that reads them for a paper saves them.
    """
    nameless = Nameless(evidence.places)
    for place in evidence.places:
        place.name = place.email = ""
    return nameless
