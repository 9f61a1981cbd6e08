from __future__ import annotations

from django.utils.functional import Promise

from releases.models import Version


class Refused(Exception):  # noqa: N818  (it reads as what happened)
    """What a version is does not allow this; `sentence` tells the person why."""

    def __init__(self, sentence: str | Promise) -> None:
        super().__init__(str(sentence))
        self.sentence = str(sentence)


def draft_only(version: Version, sentence: str | Promise) -> Version:
    """The version, read anew and held until the transaction ends. Raises Refused once it is no draft."""
    held = Version.objects.select_for_update().get(pk=version.pk)
    if not held.is_draft:
        raise Refused(sentence)
    return held
