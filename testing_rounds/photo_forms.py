"""The form that changes a photo: what a finger drew, as the page's script sends it, or numbers typed by hand."""

from __future__ import annotations

import json
from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from measurements.translated import in_words
from testing_rounds.photo_edits import Box, Edits, EditsError, read_edits

CUTS = ("cut_left", "cut_top", "cut_right", "cut_bottom")
COVER = ("cover_left", "cover_top", "cover_right", "cover_bottom")


TURNED = [("0", _("as it is")), ("90", _("to the right")), ("270", _("to the left")), ("180", _("upside down"))]


def _share(label: Any) -> forms.IntegerField:
    widget = forms.NumberInput(attrs={"inputmode": "numeric", "class": "short"})
    return forms.IntegerField(label=label, required=False, min_value=0, max_value=100, widget=widget)


class ChangeForm(forms.Form):
    """`drawn` goes before the numbers: the script keeps both in step."""

    turn = forms.ChoiceField(
        label=_("Turn it"),
        choices=TURNED,
        required=False,
        initial="0",
    )
    cut_left = _share(_("from the left"))
    cut_right = _share(_("from the right"))
    cut_top = _share(_("from the top"))
    cut_bottom = _share(_("from the bottom"))
    cover_left = _share(_("from"))
    cover_right = _share(_("to"))
    cover_top = _share(_("from"))
    cover_bottom = _share(_("to"))
    drawn = forms.CharField(required=False, max_length=settings.PHOTO_COVER_POINTS * 40, widget=forms.HiddenInput)

    edits: Edits

    def context(self) -> dict[str, Any]:
        """What the editor's template shows."""
        return {
            "form": self,
            "turns": TURNED,
            "cuts": [self[name] for name in CUTS],
            "across": [self["cover_left"], self["cover_right"]],
            "down": [self["cover_top"], self["cover_bottom"]],
        }

    def clean(self) -> dict[str, Any]:
        told = super().clean() or self.cleaned_data
        if not self.errors:
            try:
                self.edits = read_edits(self._told(told))
            except EditsError as wrong:
                raise forms.ValidationError(in_words(wrong.sentence)) from None
        return told

    def _told(self, told: dict[str, Any]) -> Any:
        if told.get("drawn"):
            try:
                return json.loads(told["drawn"])
            except ValueError:
                return None
        cut = {name: (told.get(name) or 0) / 100 for name in CUTS}
        return {
            "turn": told.get("turn") or 0,
            "crop": (cut["cut_left"], cut["cut_top"], 1 - cut["cut_right"], 1 - cut["cut_bottom"]),
            "boxes": self._boxes(told),
        }

    def _boxes(self, told: dict[str, Any]) -> list[Box]:
        """The one part that is covered in numbers, if any of it was typed: what is left out reaches to the edge."""
        if all(told.get(name) is None for name in COVER):
            return []
        left, top, right, bottom = (told.get(name) for name in COVER)
        return [
            (
                (left or 0) / 100,
                (top or 0) / 100,
                (100 if right is None else right) / 100,
                (100 if bottom is None else bottom) / 100,
            )
        ]
