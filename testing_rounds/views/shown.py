"""Photos that may show the pattern: where they are shown, and what is to be taken down."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from people.access import EDITORS, EVERY_ROLE, membership_for, signed_in
from people.models import ConsentKind
from releases.actions.refused import Refused
from testing_rounds.access import round_for
from testing_rounds.actions.uses import end_use, note_use, recalled_uses
from testing_rounds.consents import standing
from testing_rounds.models import Photo, PhotoState, PhotoUse, Round
from testing_rounds.photo_links import photo_address
from testing_rounds.tester_photos import views_of


class UseForm(forms.Form):
    """A photo and where it is shown."""

    photo = forms.ChoiceField(
        error_messages={
            "required": gettext_lazy("Choose the photo."),
            "invalid_choice": gettext_lazy("This photo may no longer be shown. Choose another."),
        },
    )
    what = forms.ChoiceField(
        label=gettext_lazy("What it is"), choices=PhotoUse.What.choices, initial=PhotoUse.What.PAGE
    )
    where = forms.CharField(
        label=gettext_lazy("Where it is shown"),
        help_text=gettext_lazy("The address of the page, or the name of the pack."),
        max_length=300,
        error_messages={"required": gettext_lazy("Say where, so that it can be found again.")},
    )

    def __init__(self, *args: Any, photos: list[Photo]) -> None:
        super().__init__(*args)
        self.by_ref = {photo.ref: photo for photo in photos}
        fields: dict[str, Any] = self.fields
        fields["photo"].choices = [(ref, ref) for ref in self.by_ref]


def allowed_photos(found: Round) -> list[Photo]:
    """Photos of sent reports whose testers allow that they show the pattern."""
    photos = list(
        Photo.objects.filter(report__place__round=found, state=PhotoState.READY)
        .exclude(report__submitted_at=None)
        .select_related("report__place")
    )
    allowed = standing(photo.report.place for photo in photos)
    return [
        photo
        for photo in photos
        if {ConsentKind.PROMOTION, ConsentKind.PHOTOS} <= allowed[photo.report.place.ref].keys()
    ]


@require_http_methods(["GET", "HEAD", "POST"])
def shown(request: HttpRequest, ref: str) -> HttpResponse:
    """What is to be taken down first, then what is shown where, then what may be shown."""
    found = round_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    may = allowed_photos(found)
    form = UseForm(request.POST if request.method == "POST" else None, photos=may)
    if form.is_valid() and _noted(request, form):
        return redirect("round_shown", found.ref)
    views, small = dict(views_of(found)), settings.PHOTO_SMALL_PX
    context = {
        "round": found,
        "version": found.version,
        "pattern": found.version.pattern,
        "recalled": recalled_uses(found),
        "uses": PhotoUse.objects.filter(round=found, over=None, recalled=None),
        "photos": [(photo, views.get(photo.view, ""), photo_address(photo.ref, small)) for photo in may],
        "form": form,
    }
    return render(request, "testing_rounds/shown.html", context, status=422 if form.errors else 200)


def _noted(request: HttpRequest, form: UseForm) -> bool:
    told = form.cleaned_data
    try:
        note_use(photo=form.by_ref[told["photo"]], what=told["what"], where=told["where"], by=signed_in(request))
    except Refused as refused:
        form.add_error("photo", refused.sentence)
        return False
    messages.success(request, _("Written down. If the tester takes it back, you are told where to take it down."))
    return True


@require_POST
def taken_down(request: HttpRequest, ref: str) -> HttpResponse:
    """The photo is no longer shown there."""
    use = PhotoUse.objects.select_related("round__version__pattern__studio").filter(ref=ref).first()
    if use is None:
        raise Http404
    membership_for(request, use.round.version.pattern.studio, EDITORS)
    end_use(use=use, by=signed_in(request))
    return redirect("round_shown", use.round.ref)
