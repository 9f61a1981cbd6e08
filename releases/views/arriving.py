"""A file that comes in parts, and goes on where the line dropped. The plain form of the page takes it in one."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.defaultfilters import filesizeformat
from django.urls import reverse
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from people.access import EDITORS, signed_in
from people.arriving import take_part, whole
from releases.access import arriving_for, version_for
from releases.actions import Refused
from releases.arriving import TooManyError, begin
from releases.forms.files import FileForm
from releases.models import ArrivingFile, FileKind
from releases.views.files import add_from_form, replaced, say_added


@require_POST
def upload_begin(request: HttpRequest, ref: str) -> HttpResponse:
    """{where, received, part}: where to send parts, how much of the file is there, how long a part may be."""
    found = version_for(request, ref, EDITORS)
    kind, name = request.POST.get("kind", ""), request.POST.get("name", "")
    size = request.POST.get("size", "")
    if kind not in FileKind.values or not name or not size.isdecimal() or not int(size):
        return _refused(_("Choose a PDF and say what it is."))
    if int(size) > settings.PATTERN_FILE_BYTES:
        most = filesizeformat(settings.PATTERN_FILE_BYTES)
        return _refused(_("This file is larger than %(most)s.") % {"most": most})
    try:
        made = begin(
            version=found,
            by=signed_in(request),
            kind=kind,
            name=name,
            size=int(size),
            changed=request.POST.get("changed", ""),
            replaces=replaced(request, found),
        )
    except TooManyError:
        return _refused(_("Several files of yours are on their way. Let them arrive first."))
    where = reverse("upload", args=[made.ref])
    return JsonResponse({"where": where, "received": made.received, "part": settings.UPLOAD_PART_BYTES})


@require_http_methods(["GET", "HEAD", "POST"])
def upload(request: HttpRequest, ref: str) -> HttpResponse:
    """GET: how much is there. POST: the next part, which begins at `?from=`; with the last one the file is taken."""
    arriving = arriving_for(request, ref)
    if request.method != "POST":
        return JsonResponse({"received": arriving.received})
    offset = request.GET.get("from", "")
    if offset.isdecimal() and len(request.body) <= settings.UPLOAD_PART_BYTES:
        arriving.received = take_part(arriving, int(offset), request.body)
    if arriving.received < arriving.size_bytes:
        return JsonResponse({"received": arriving.received})
    arriving.refresh_from_db()
    return _taken(request, arriving)


def _taken(request: HttpRequest, arriving: ArrivingFile) -> HttpResponse:
    """The whole file through the same form as one that came at once; refused or taken, its parts go."""
    with whole(arriving, name=arriving.name, kind="application/pdf") as file:
        form = FileForm({"kind": arriving.kind}, MultiValueDict({"file": [file]}))
        refused = "" if form.is_valid() else _first_error(form)
        if not refused:
            refused = _add(request, arriving, form)
    arriving.delete()
    return (
        _refused(refused) if refused else JsonResponse({"done": reverse("version_files", args=[arriving.version.ref])})
    )


def _add(request: HttpRequest, arriving: ArrivingFile, form: FileForm) -> str:
    try:
        made = add_from_form(request, arriving.version, form, arriving.replaces)
    except Refused as refused:
        return str(refused.sentence)
    say_added(request, made)
    return ""


def _first_error(form: FileForm) -> str:
    return next(str(error) for errors in form.errors.values() for error in errors)


def _refused(sentence: str) -> HttpResponse:
    return JsonResponse({"refused": sentence}, status=422)


@require_POST
def upload_stop(request: HttpRequest, ref: str) -> HttpResponse:
    """Somebody changed their mind: what came so far goes."""
    arriving = arriving_for(request, ref)
    arriving.delete()
    messages.info(request, _("%(name)s was not taken.") % {"name": arriving.name})
    return JsonResponse({"done": reverse("version_files", args=[arriving.version.ref])})
