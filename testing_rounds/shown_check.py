"""Before launch: no photo is shown anywhere against its tester's word."""

from __future__ import annotations

from collections.abc import Iterator

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from releases.models import Version
from releases.registry import LaunchCheck, Standing
from testing_rounds.models import PhotoUse, Round


def to_take_down(version: Version) -> Iterator[Standing]:
    """A line a round of the pattern in which a photo is still to be taken down, with the places."""
    for found in Round.objects.filter(version__pattern=version.pattern_id):
        uses = PhotoUse.objects.filter(round=found, over=None).exclude(recalled=None)
        places = [use.where for use in uses]
        if places:
            said = ngettext(
                "A photo is shown against its tester’s word: %(where)s",
                "Photos are shown against their testers’ word: %(where)s",
                len(places),
            )
            url = reverse("round_shown", args=[found.ref])
            yield Standing(said % {"where": "; ".join(places)}, url, _("Where photos are shown"))


SHOWN_CHECK = LaunchCheck("photos", gettext_lazy("Photos are shown only as allowed"), to_take_down, order=92)
