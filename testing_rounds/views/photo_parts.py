"""A photo that comes in parts, and goes on where the line dropped. The plain form of the page takes it in one."""

from __future__ import annotations

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from measurements.translated import in_words
from people.arriving import take_part
from testing_rounds.actions.photo_parts import begin_photo, finish_photo
from testing_rounds.actions.photos import PhotoRefused
from testing_rounds.actions.reports import Closed
from testing_rounds.models import ArrivingPhoto, Photo, Place
from testing_rounds.tester_photos import tile_of, view_keys
from testing_rounds.views.tester_common import for_tester
from testing_rounds.views.tester_photos import rendered_tile


@require_POST
@for_tester
def photo_begin(request: HttpRequest, place: Place) -> HttpResponse:
    """{where, received, part}: where to send parts, how much is there, how long a part may be; or {tile}."""
    from testing_rounds.photo_work import TROUBLES, PhotoError

    size, view = request.POST.get("size", ""), request.POST.get("view", "")
    if not size.isdecimal() or len(size) > 12:
        return _refused(_("This file did not arrive. Please try again."))
    told = tuple(request.POST.get(name, "")[:200] for name in ("name", "changed", "edits"))
    try:
        begun = begin_photo(place=place, view=view if view in view_keys(place.round) else "", size=int(size), told=told)
    except PhotoError as error:
        return _refused(in_words(TROUBLES[error.code]))
    except (PhotoRefused, Closed) as refused:
        return _refused(refused.sentence)
    if isinstance(begun, Photo):
        return _arrived(request, place, begun)
    where = reverse("test_photo_parts", args=[place.visit, begun.ref])
    return JsonResponse({"where": where, "received": begun.received, "part": settings.PHOTO_PART_BYTES})


@require_http_methods(["GET", "HEAD", "POST"])
@for_tester
def photo_parts(request: HttpRequest, place: Place, arriving_ref: str) -> HttpResponse:
    """GET: how much is there. POST: the next part, which begins at `?from=`; with the last one the photo is taken."""
    from testing_rounds.photo_work import TROUBLES, PhotoError

    arriving = _arriving(place, arriving_ref)
    if request.method != "POST":
        return JsonResponse({"received": arriving.received})
    offset = request.GET.get("from", "")
    if offset.isdecimal() and len(request.body) <= settings.PHOTO_PART_BYTES:
        arriving.received = take_part(arriving, int(offset), request.body)
    if arriving.received < arriving.size_bytes:
        return JsonResponse({"received": arriving.received})
    arriving.refresh_from_db()
    try:
        photo = finish_photo(arriving=arriving, place=place)
    except PhotoError as error:
        return _refused(in_words(TROUBLES[error.code]))
    except (PhotoRefused, Closed) as refused:
        return _refused(refused.sentence)
    return _arrived(request, place, photo)


@require_POST
@for_tester
def photo_stop(request: HttpRequest, place: Place, arriving_ref: str) -> HttpResponse:
    """The tester changed their mind: what came so far goes."""
    _arriving(place, arriving_ref).delete()
    return redirect("test_photos", place.visit)


def _arriving(place: Place, ref: str) -> ArrivingPhoto:
    found = ArrivingPhoto.objects.filter(ref=ref, place=place, stage=place.stage).select_related("place").first()
    if found is None:
        raise Http404
    return found


def _arrived(request: HttpRequest, place: Place, photo: Photo) -> HttpResponse:
    return JsonResponse({"tile": rendered_tile(request, place, tile_of(photo, place))})


def _refused(sentence: str) -> HttpResponse:
    return JsonResponse({"refused": sentence}, status=422)
