"""What a version is cut from: its materials, its cutting list, the fabric that each size needs, its layouts."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from measurements.translated import in_words
from people.access import EDITORS, signed_in
from releases.access import requirement_for, version_for
from releases.actions.fabric import ask_for_layouts, write_materials, write_pieces
from releases.cutting_list import CuttingDraft, read_rows
from releases.fabric_document import fabric_content, fabric_pdf, file_name, layouts_of, shown_layout
from releases.forms.fabric import CuttingSheetForm, ListTable, materials_form, posted_table, stored_table
from releases.forms.finished import UNITS, as_unit, shown_size
from releases.layouts import fabric_table, progress
from releases.made_documents import What
from releases.models import Piece, Version
from releases.registry import rendered_parts
from releases.views.made import made_or_waiting, paper_of, shown
from releases.views.patterns import FORM_METHODS


@require_safe
def version_fabric(request: HttpRequest, ref: str) -> HttpResponse:
    """The table of what each size needs; `?making` is the line that tells how far the layouts are."""
    found = version_for(request, ref)
    context: dict[str, Any] = {"version": found, "pattern": found.pattern}
    if "making" in request.GET:
        made, asked = progress(found)
        if made < asked:
            return render(request, "releases/fabric.html#making", {**context, "made": made, "asked": asked})
        response = HttpResponse()
        response["HX-Refresh"] = "true"
        return response
    table = fabric_table(found)
    context |= {"table": table, "made": table.made, "asked": table.asked}
    return render(request, "releases/fabric.html", {**context, "parts": rendered_parts(request, found, "fabric")})


@require_POST
def version_layouts(request: HttpRequest, ref: str) -> HttpResponse:
    """Have the layouts made that are missing."""
    found = version_for(request, ref, EDITORS)
    ask_for_layouts(version=found, by=signed_in(request))
    return redirect("version_fabric", found.ref)


@require_safe
def layout(request: HttpRequest, ref: str) -> HttpResponse:
    """One layout: its drawing, what to buy, and where each piece lies."""
    found = requirement_for(request, ref)
    version, shown = found.material.version, shown_layout(found)
    context = {
        "version": version,
        "pattern": version.pattern,
        "layout": found,
        "shown": shown,
        "refused": [in_words(why) for why in shown.refused],
    }
    return render(request, "releases/layout.html", context)


@require_safe
def version_fabric_pdf(request: HttpRequest, ref: str) -> HttpResponseBase:
    """The table and the layouts for the booklet: `?size=` has those of one size, `?every=1` those of all.

    All of them are made by a worker while a page waits, where they are many.
    """
    found, paper = version_for(request, ref), paper_of(request)
    name, size = file_name(found, paper), request.GET.get("size", "")
    if "every" in request.GET and len(layouts_of(fabric_table(found))) > settings.LAYOUTS_AT_ONCE:
        return made_or_waiting(request, found, What.LAYOUTS, paper, fabric_content(found), name)
    return shown(HttpResponse(fabric_pdf(found, paper, size if size in found.sizes else ""), "application/pdf"), name)


@require_http_methods(FORM_METHODS)
def version_materials(request: HttpRequest, ref: str) -> HttpResponse:
    found = version_for(request, ref, EDITORS)
    unit = as_unit(signed_in(request).units)
    forms = materials_form(found, unit, request.POST if request.method == "POST" else None)
    if request.method == "POST" and forms.is_valid():
        write_materials(version=found, materials=forms.named(), by=signed_in(request))
        messages.success(request, _("The materials are saved."))
        has_pieces = Piece.objects.filter(material__version=found).exists()
        return redirect("version_fabric" if has_pieces else "version_cutting_list", found.ref)
    context = {"version": found, "pattern": found.pattern, "forms": forms}
    return render(request, "releases/materials.html", context, status=422 if request.method == "POST" else 200)


@require_http_methods(FORM_METHODS)
def version_cutting_list(request: HttpRequest, ref: str) -> HttpResponse:
    """Reads a sheet (`do=read`), shows one size alone (`show=`), or saves the list."""
    found = version_for(request, ref, EDITORS)
    if not found.materials.exists():
        return redirect("version_materials", found.ref)
    unit = as_unit(request.POST.get("unit") or signed_in(request).units)
    if request.method != "POST":
        return _page(request, found, stored_table(found, unit))
    if request.POST.get("do") == "read":
        return _read_sheet(request, found)
    table = posted_table(request.POST, found.sizes, unit)
    return _page(request, found, table) if "show" in request.POST else _save(request, found, table)


def _read_sheet(request: HttpRequest, found: Version) -> HttpResponse:
    unit = as_unit(request.POST.get("unit"))
    form = CuttingSheetForm(request.POST, request.FILES, sizes=found.sizes, unit=unit)
    if not form.is_valid() or form.table is None:
        return _page(request, found, stored_table(found, unit), sheet=form, status=422)
    return _page(request, found, form.table, fresh=_draft(found, form.table), notes=[in_words(n) for n in form.notes])


def _draft(found: Version, table: ListTable) -> CuttingDraft:
    names = list(found.materials.values_list("name", flat=True))
    return read_rows(table.filled, table.sizes, names, table.unit)


def _save(request: HttpRequest, found: Version, table: ListTable) -> HttpResponse:
    """Save unless something cannot be read, or is doubtful and was not shown yet."""
    draft = _draft(found, table)
    if draft.obstacles or (draft.doubts and request.POST.get("shown") != table.digest):
        return _page(request, found, table, fresh=draft, status=422)
    write_pieces(version=found, pieces=draft.pieces, sizes=table.sizes, by=signed_in(request))
    messages.success(request, _("The cutting list is saved, and its layouts are being made."))
    return redirect("version_fabric", found.ref)


def _page(
    request: HttpRequest,
    found: Version,
    table: ListTable,
    *,
    sheet: CuttingSheetForm | None = None,
    fresh: CuttingDraft | None = None,
    notes: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    """The table of pieces; `fresh` when it is not saved yet, with what is doubtful about it."""
    context = {
        "version": found,
        "pattern": found.pattern,
        "table": table,
        "rows": table.with_spare(),
        "materials": (materials := list(found.materials.all())),
        "known": [material.name.lower() for material in materials],
        "cuts": Piece.Cut.choices,
        "grains": Piece.Grain.choices,
        "units": UNITS,
        "sheet": sheet or CuttingSheetForm(sizes=found.sizes, unit=table.unit),
        "obstacles": [in_words(why) for why in fresh.obstacles] if fresh else [],
        "doubts": [*(notes or []), *([in_words(why) for why in fresh.doubts] if fresh else [])],
        "fresh": fresh is not None,
        "show": shown_size(request.POST, found.sizes),
    }
    return render(request, "releases/cutting_list.html", context, status=status)
