"""One version: its situation, its numbers, its words."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from people.access import EDITORS, signed_in
from releases.access import pattern_for, version_for
from releases.actions import Refused, change_version, create_version, take_over_chart, write_steps
from releases.booklet_text import booklet_steps
from releases.forms.steps import StepsForm
from releases.forms.versions import NewVersionForm, VersionForm, WhatChangedForm
from releases.grade import version_grade
from releases.models import FileKind, Version
from releases.pdf_facts import PdfError
from releases.registry import rendered_parts
from releases.situation import headline, lacks
from releases.steps_text import steps_as_text
from releases.table_layout import on_screen
from releases.tables import measurement_tables
from releases.views.patterns import FORM_METHODS
from releases.wording_page import open_findings


@require_safe
def version(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref)
    missing = lacks(found) if found.is_draft else []
    tables = measurement_tables(found)
    context = {
        "version": found,
        "pattern": found.pattern,
        "headline": headline(found, missing),
        "missing": missing,
        "tables": tables,
        "grade_found": len(version_grade(found, may_edit=False)[0].open) if found.finished_chart else 0,
        "sheet": on_screen(tables, first="finished"),
        "files": found.current_files(),
        "steps": found.steps.all(),
        "wording_found": open_findings(found),
        "newer_chart": found.newer_chart(),
        "parts": rendered_parts(request, found),
    }
    return render(request, "releases/version.html", context)


@require_http_methods(FORM_METHODS)
def version_new(request: HttpRequest, ref: str) -> HttpResponse:
    """A draft on the newest revision of the pattern's chart; a pattern without a chart is sent to choose one."""
    pattern = pattern_for(request, ref, EDITORS)
    revision = pattern.chart.latest() if pattern.chart else None
    if revision is None:
        messages.info(request, _("Choose the size chart first: a version takes its sizes from it."))
        return redirect("pattern_edit", pattern.ref)
    copied = pattern.versions.first()
    form = NewVersionForm(
        request.POST or None, pattern=pattern, person=signed_in(request), revision=revision, copied=copied
    )
    if request.method == "POST" and form.is_valid():
        try:
            made = create_version(
                pattern=pattern, body_chart=revision, fields=form.cleaned_data, copied=copied, by=signed_in(request)
            )
        except Refused as refused:
            form.add_error("number", refused.sentence)
        else:
            return redirect("version", made.ref)
    context = {"form": form, "pattern": pattern, "version": copied, "revision": revision, "copied": copied}
    return render(request, "releases/version_form.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM_METHODS)
def version_edit(request: HttpRequest, ref: str) -> HttpResponse:
    """All of a draft; once it is tested, only the words about it."""
    found = version_for(request, ref, EDITORS)
    form = _edit_form(request, found)
    if request.method == "POST" and form.is_valid():
        try:
            change_version(version=found, fields=form.cleaned_data, by=signed_in(request))
        except Refused as refused:
            form.add_error(None, refused.sentence)
        else:
            messages.success(request, _("The version is saved."))
            return redirect("version", found.ref)
    context = {"form": form, "pattern": found.pattern, "version": found, "revision": found.body_chart}
    return render(request, "releases/version_form.html", context, status=422 if form.errors else 200)


def _edit_form(request: HttpRequest, found: Version) -> forms.Form:
    if not found.is_draft or found.body_chart is None:
        return WhatChangedForm(request.POST or None, version=found)
    return VersionForm(
        request.POST or None, pattern=found.pattern, person=signed_in(request), revision=found.body_chart, version=found
    )


@require_POST
def version_chart(request: HttpRequest, ref: str) -> HttpResponse:
    """Take over the chart's newest revision, while the version is a draft."""
    found = version_for(request, ref, EDITORS)
    try:
        newest = take_over_chart(version=found, by=signed_in(request))
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        if newest:
            messages.success(request, _("The version now stands on the newest chart. Look at the ease again."))
    return redirect("version", found.ref)


def _steps_out_of(request: HttpRequest, version: Version) -> str:
    """The steps in the words of the booklet's PDF, for the form: nothing is saved until they were looked at."""
    try:
        text = booklet_steps(version)
    except PdfError:
        text = ""
    if text:
        messages.info(request, _("These are the words of the booklet. Look through them, then save the steps."))
    else:
        messages.error(request, _("No steps could be read in the booklet: it may hold pictures of words. Paste them."))
    return text


@require_http_methods(FORM_METHODS)
def version_steps(request: HttpRequest, ref: str) -> HttpResponse:
    """The steps as one text; odd numbers are shown as they would be saved, before they are."""
    found = version_for(request, ref, EDITORS)
    initial = {"text": steps_as_text((step.number, step.text) for step in found.steps.all())}
    if request.method != "POST" and "from" in request.GET and found.is_draft:
        initial = {"text": _steps_out_of(request, found) or initial["text"]}
    form = StepsForm(request.POST or None, initial=initial)
    booklet = found.current_files().filter(kind=FileKind.BOOKLET).exists()
    context = {"form": form, "pattern": found.pattern, "version": found, "booklet": booklet}
    if request.method == "POST" and form.is_valid():
        if form.to_be_shown:
            shown = StepsForm(initial=form.as_shown())
            return render(request, "releases/version_steps.html", {**context, "form": shown, "read": form.read})
        try:
            write_steps(version=found, steps=form.read.steps, by=signed_in(request))
        except Refused as refused:
            form.add_error(None, refused.sentence)
        else:
            messages.success(request, _("The steps are saved."))
            return redirect("version", found.ref)
    return render(request, "releases/version_steps.html", context, status=422 if form.errors else 200)
