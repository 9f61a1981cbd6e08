"""The PDFs of a version."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from people.access import EDITORS, EVERY_ROLE, signed_in
from releases.access import file_for, version_for
from releases.actions import Refused, add_file, remove_file
from releases.file_facts import reports
from releases.files import open_file
from releases.forms.files import FileForm
from releases.models import FileKind, PatternFile, Version
from releases.pdf_facts import paper_of
from releases.views.patterns import FORM_METHODS


@require_http_methods(FORM_METHODS)
def version_files(request: HttpRequest, ref: str) -> HttpResponse:
    """The files with their history; for those who may, a form for one more or in the place of another (`?replace=`)."""
    found = version_for(request, ref, EDITORS if request.method == "POST" else EVERY_ROLE)
    replaces = replaced(request, found)
    initial = {"kind": replaces.kind} if replaces else {}
    form = FileForm(request.POST or None, request.FILES or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            made = add_from_form(request, found, form, replaces)
        except Refused as refused:
            form.add_error(None, refused.sentence)
        else:
            say_added(request, made)
            return redirect("version_files", found.ref)
    if request.method != "POST" and request.headers.get("HX-Request"):
        return render(request, "releases/version_files.html#found", {"version": found, "reports": reports(found)})
    seen = reports(found)
    context = {
        "version": found,
        "pattern": found.pattern,
        "wrong": sum(len(report.findings) for report in seen),
        "form": form,
        "replaces": replaces,
        "files": found.current_files(),
        "reports": seen,
        "history": found.files.exclude(replaced_at=None).order_by("-replaced_at"),
    }
    return render(request, "releases/version_files.html", context, status=422 if form.errors else 200)


def replaced(request: HttpRequest, found: Version) -> PatternFile | None:
    """The file in whose place another comes, by `?replace=`."""
    ref = request.GET.get("replace", "")
    return get_object_or_404(found.current_files(), ref=ref) if ref else None


def add_from_form(request: HttpRequest, found: Version, form: FileForm, replaces: PatternFile | None) -> PatternFile:
    """Take the file of a valid form. Raises Refused."""
    upload = form.cleaned_data["file"]
    return add_file(
        version=found,
        upload=upload,
        name=upload.name,
        kind=form.cleaned_data["kind"],
        facts=form.facts,
        replaces=replaces,
        by=signed_in(request),
    )


def say_added(request: HttpRequest, made: PatternFile) -> None:
    """That the file is there; and where its pages are not what it was said to be."""
    pages = made.pages or 0
    said = ngettext("%(name)s is here, with %(pages)s page.", "%(name)s is here, with %(pages)s pages.", pages)
    messages.success(request, said % {"name": made.name, "pages": pages})
    paper = paper_of([(width, height) for width, height in made.page_mm])
    if made.kind in {FileKind.A4, FileKind.LETTER} and paper != made.kind:
        said = _("It was said to be %(kind)s, and its pages have another size. Look at them below.")
        messages.warning(request, said % {"kind": made.get_kind_display()})


@require_safe
def file(request: HttpRequest, ref: str) -> HttpResponseBase:
    """A file to the studio's own people."""
    return open_file(file_for(request, ref))


@require_POST
def file_remove(request: HttpRequest, ref: str) -> HttpResponse:
    found = file_for(request, ref, EDITORS)
    version = found.version
    try:
        remove_file(found=found, by=signed_in(request))
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, _("%(name)s is gone.") % {"name": found.name})
    return redirect("version_files", version.ref)
