"""Photos: added from a phone, shown only to their tester and, while that is allowed, to the studio."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from measurements.translated import in_words
from people.access import membership_for
from people.models import ConsentKind
from testing_rounds.access import own_place
from testing_rounds.actions.photos import PhotoRefused, add_photo, edit_photo, name_view, remove_photo, try_again
from testing_rounds.actions.reports import Closed
from testing_rounds.consents import allows
from testing_rounds.models import Photo, PhotoState, Place
from testing_rounds.photo_forms import ChangeForm
from testing_rounds.photo_links import is_live, photo_address
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import frame
from testing_rounds.tester_photos import Tile, photo_page, tile_of, view_keys
from testing_rounds.views.tester_common import for_tester

WIDTHS = {str(settings.PHOTO_LARGE_PX): "large", str(settings.PHOTO_SMALL_PX): "small"}


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def photos(request: HttpRequest, place: Place) -> HttpResponse:
    """The views that are asked, with what is there; a POST adds one or several photos."""
    if not place.adult_at:
        return redirect("test_consents", place.visit)
    if place.round.version.pattern.for_children:
        messages.info(request, _("Children’s sizes: size and age only, no child photos."))
        return redirect("test", place.visit)
    if request.method == "POST":
        return _add(request, place)
    book = Book(place)
    return render(
        request, "tester/photos.html", {**frame(book, "photos"), **photo_page(book), **ChangeForm().context()}
    )


def _add(request: HttpRequest, place: Place) -> HttpResponse:
    """Take in what a form without a script sent; each photo that is refused gets its sentence."""
    view = request.POST.get("view", "")
    view = view if view in view_keys(place.round) else ""
    uploads = request.FILES.getlist("photo")[: settings.PHOTOS_PER_REPORT]
    for upload in uploads:
        refused = _take_in(place, view, upload)
        if refused:
            messages.error(request, refused)
    if not uploads:
        messages.error(request, _("Choose a photo first."))
    return redirect("test_photos", place.visit)


def _take_in(place: Place, view: str, upload: UploadedFile) -> str:
    """Nothing, or the sentence that refuses it."""
    from testing_rounds.photo_work import TROUBLES, PhotoError

    file: Any = upload
    try:
        add_photo(place=place, view=view, source=file, size=upload.size or 0)
    except PhotoError as error:
        return in_words(TROUBLES[error.code])
    except (PhotoRefused, Closed) as refused:
        return refused.sentence
    return ""


def rendered_tile(request: HttpRequest, place: Place, tile: Tile) -> str:
    return render_to_string("tester/photos.html#photo_tile", {"tile": tile, "place": place}, request)


def _own_photo(place: Place, ref: str) -> Photo:
    photo = Photo.objects.filter(ref=ref, report__place=place).select_related("report").first()
    if photo is None:
        raise Http404
    photo.report.place = place
    return photo


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def photo_tile(request: HttpRequest, place: Place, photo_ref: str) -> HttpResponse:
    """One photo as it stands; a POST takes it out, prepares it again, or says which view it shows."""
    photo = _own_photo(place, photo_ref)
    if request.method != "POST":
        return HttpResponse(rendered_tile(request, place, tile_of(photo, place)))
    what = request.POST.get("what")
    if what == "remove":
        remove_photo(photo=photo)
    elif what == "again":
        try_again(photo=photo)
    elif request.POST.get("view", "") in {"", *view_keys(place.round)}:
        name_view(photo=photo, view=request.POST.get("view", ""))
    return redirect("test_photos", place.visit)


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def photo_change(request: HttpRequest, place: Place, photo_ref: str) -> HttpResponse:
    """Turn, crop and cover a photo that is here already: by finger with a script, in numbers without one."""
    photo = _own_photo(place, photo_ref)
    if photo.state != PhotoState.READY:
        return redirect("test_photos", place.visit)
    form = ChangeForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        edit_photo(photo=photo, edits=form.edits)
        messages.success(request, _("The photo is being changed. Nobody sees it until that is done."))
        return redirect("test_photos", place.visit)
    context = {**frame(Book(place), "photos"), "tile": tile_of(photo, place), **form.context()}
    return render(request, "tester/photo_change.html", context, status=422 if form.errors else 200)


@require_safe
def photo_open(request: HttpRequest, ref: str) -> HttpResponse:
    """A photo at its largest: on to an address that lives for a while, for whoever may see it."""
    _seen_photo(request, ref)
    return redirect(photo_address(ref, settings.PHOTO_LARGE_PX))


@require_safe
def photo(request: HttpRequest, ref: str, width: str, signed: str) -> HttpResponseBase:
    """The picture itself: for the tester whose it is; for the studio once sent, and while the tester allows it."""
    if width not in WIDTHS or not is_live(ref, width, signed):
        raise Http404
    found = _seen_photo(request, ref)
    try:
        response = FileResponse(default_storage.open(getattr(found, WIDTHS[width]), "rb"), content_type="image/jpeg")
    except FileNotFoundError:
        raise Http404 from None
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Disposition"] = "inline"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    return response


def _seen_photo(request: HttpRequest, ref: str) -> Photo:
    """A photo that is ready, for those who may see it; else 404."""
    found = (
        Photo.objects.filter(ref=ref, state=PhotoState.READY)
        .select_related("report__place__round__version__pattern__studio")
        .first()
    )
    if found is None:
        raise Http404
    if not _is_own(request, found.report.place):
        _studio_may_see(request, found)
    return found


def _is_own(request: HttpRequest, place: Place) -> bool:
    try:
        own_place(request, place.visit)
    except Http404:
        return False
    return True


def _studio_may_see(request: HttpRequest, found: Photo) -> None:
    """404 to strangers, before the report is sent, and from the moment on when the tester takes the photos back."""
    place = found.report.place
    membership_for(request, place.round.version.pattern.studio)
    if found.report.submitted_at is None or not allows(place, ConsentKind.PHOTOS):
        raise Http404
