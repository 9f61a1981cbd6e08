"""The booklet of a version: its parts on one page, what stands beside each step, the whole as a PDF."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from measurements.translated import in_words
from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.access import step_shown_for, version_for
from releases.actions.booklet import show_step, write_booklet
from releases.booklet import (
    allowances,
    cautions_of,
    drawings,
    lacking_cautions,
    lacking_parts,
    notions,
    step_lines,
)
from releases.booklet_document import booklet_content, file_name
from releases.forms.booklet import BookletForm, StepShownForm
from releases.forms.finished import as_unit
from releases.made_documents import What
from releases.models import Notion, StepShown, Version
from releases.views.made import made_or_waiting, paper_of
from releases.views.patterns import FORM_METHODS


@require_http_methods(FORM_METHODS)
def version_booklet(request: HttpRequest, ref: str) -> HttpResponse:
    """The parts to type for those who may, to read for all; the steps with what stands beside them."""
    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    form = BookletForm(found, as_unit(signed_in(request).units), request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        write_booklet(version=found, fields=form.as_fields(), by=signed_in(request))
        messages.success(request, _("The booklet is saved."))
        return redirect("version_booklet", found.ref)
    context = {**booklet_context(found), "form": form}
    return render(request, "releases/booklet.html", context, status=422 if request.method == "POST" else 200)


def booklet_context(version: Version) -> dict[str, Any]:
    """What the page shows of a booklet."""
    return {
        "version": version,
        "pattern": version.pattern,
        "lacking": lacking_parts(version),
        "cautions": cautions_of(version.pattern),
        "lacking_cautions": lacking_cautions(version),
        "allowances": allowances(version),
        "needed": notions(version, Notion.Kind.NOTION),
        "tools": notions(version, Notion.Kind.TOOL),
        "drawings": drawings(version),
        "lines": step_lines(version),
    }


@require_http_methods(FORM_METHODS)
def version_booklet_step(request: HttpRequest, ref: str, number: int) -> HttpResponse:
    """The picture and the lesson of one step: to change for those who may, to look at for all."""
    from releases.picture_work import TROUBLES, PhotoError

    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    line = next((one for one in step_lines(found) if one.number == number), None)
    if line is None:
        raise Http404
    form = StepShownForm(request.POST or None, request.FILES or None, shown=line.shown)
    if request.method == "POST" and form.is_valid():
        upload: Any = form.cleaned_data.get("picture")
        try:
            show_step(
                version=found,
                number=number,
                fields=form.cleaned_data,
                picture=upload,
                size=upload.size if upload else 0,
                by=signed_in(request),
            )
        except PhotoError as wrong:
            form.add_error("picture", in_words(TROUBLES[wrong.code]))
        else:
            messages.success(request, _("Step %(number)s is saved.") % {"number": number})
            return redirect("version_booklet", found.ref)
    context = {"version": found, "pattern": found.pattern, "line": line, "form": form}
    return render(request, "releases/booklet_step.html", context, status=422 if request.method == "POST" else 200)


@require_safe
def step_picture(request: HttpRequest, ref: str) -> HttpResponseBase:
    """The small picture of a step."""
    return small_picture(step_shown_for(request, ref))


def small_picture(shown: StepShown) -> FileResponse:
    """Its bytes, for the reader of this one page. Raises Http404 where there is none."""
    try:
        response = FileResponse(default_storage.open(shown.small or "none", "rb"), content_type="image/jpeg")
    except FileNotFoundError:
        raise Http404 from None
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Disposition"] = "inline"
    return response


@require_safe
def version_booklet_pdf(request: HttpRequest, ref: str) -> HttpResponseBase:
    """The booklet as a PDF, made by a worker while a page waits."""
    found, paper = version_for(request, ref), paper_of(request)
    content = booklet_content(found)
    return made_or_waiting(request, found, What.BOOKLET, paper, content, file_name(found, paper))
