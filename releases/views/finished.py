"""The finished measurements of a version: typed into a grid, or pasted and looked over."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from measurements.advice_rules import rules_of
from measurements.chart_draft import ChartDraft
from measurements.chart_store import load_table
from measurements.ease import ease_rows, too_little
from measurements.length_display import BODY_STYLE
from measurements.sentences import Sentence
from measurements.translated import both_units, in_words
from people.access import EDITORS, signed_in
from releases.access import version_for
from releases.actions import Refused, write_finished
from releases.forms.finished import (
    UNITS,
    Grid,
    SheetForm,
    as_unit,
    posted_grid,
    shown_size,
    stored_grid,
    with_usual_rows,
)
from releases.forms.patterns import PLACES
from releases.models import Fabric, Version
from releases.tables import charts_of, ease_block
from releases.views.patterns import FORM_METHODS


@require_http_methods(FORM_METHODS)
def version_finished(request: HttpRequest, ref: str) -> HttpResponse:
    """Reads a sheet (`do=read`), shows one size alone (`show=`) or the ease (`do=ease`) of the grid, or saves it."""
    found = version_for(request, ref, EDITORS)
    if request.method != "POST":
        return _page(request, found, _stored(request, found))
    if request.POST.get("do") == "read":
        return _read_sheet(request, found)
    grid = posted_grid(request.POST, found.sizes)
    if "show" in request.POST:
        return _page(request, found, grid)
    if request.POST.get("do") == "ease":
        return render(request, "releases/version_finished.html#ease", {"version": found, **_ease(found, grid.read())})
    return _save(request, found, grid)


def _stored(request: HttpRequest, found: Version) -> Grid:
    if found.finished_chart is None:
        return Grid(tuple(found.sizes), as_unit(signed_in(request).units), ())
    chart = found.finished_chart
    return stored_grid(load_table(chart), found.sizes, as_unit(chart.chart.unit))


def _read_sheet(request: HttpRequest, found: Version) -> HttpResponse:
    form = SheetForm(request.POST, request.FILES, sizes=found.sizes)
    if not form.is_valid() or form.grid is None:
        return _page(request, found, _stored(request, found), sheet=form, status=422)
    return _page(request, found, form.grid, fresh=True, left_out=form.left_out, notes=form.notes)


def _save(request: HttpRequest, found: Version, grid: Grid) -> HttpResponse:
    """Save unless something cannot be read, or is doubtful and was not shown yet."""
    draft = grid.read()
    doubtful = bool(draft.doubtful_cells or grid.doubts(draft))
    if not draft.obstacles and grid.filled and (not doubtful or request.POST.get("shown") == grid.digest):
        try:
            write_finished(
                version=found, table=draft.table(found.base_size or None), unit=grid.unit, by=signed_in(request)
            )
        except Refused as refused:
            messages.error(request, refused.sentence)
        else:
            messages.success(request, _("The finished measurements are saved, and the ease is worked out from them."))
        return redirect("version", found.ref)
    return _page(request, found, grid, fresh=True, status=422)


def _page(
    request: HttpRequest,
    found: Version,
    grid: Grid,
    *,
    sheet: SheetForm | None = None,
    fresh: bool = False,
    left_out: tuple[str, ...] = (),
    notes: tuple[Sentence, ...] = (),
    status: int = 200,
) -> HttpResponse:
    """The grid; `fresh` when it is not saved yet, with what is doubtful about it."""
    draft = grid.read()
    context: dict[str, Any] = {
        "version": found,
        "pattern": found.pattern,
        "grid": grid,
        "rows": _grid_rows(with_usual_rows(grid, found.pattern.kind), draft if fresh else None),
        "units": UNITS,
        "sheet": sheet or SheetForm(sizes=found.sizes),
        "doubts": [in_words(doubt) for doubt in (*notes, *grid.doubts(draft))] if fresh else [],
        "obstacles": [in_words(why) for why in draft.obstacles] if fresh and grid.filled else [],
        "doubtful_cells": draft.doubtful_cells if fresh else 0,
        "empty": fresh and not grid.filled,
        "left_out": left_out,
        "show": shown_size(request.POST, found.sizes),
        **_ease(found, draft),
    }
    return render(request, "releases/version_finished.html", context, status=status)


def _grid_rows(grid: Grid, draft: ChartDraft | None) -> list[dict[str, Any]]:
    """Each line of the grid with its cells; `said` holds each doubt once, with the sizes that it is about."""
    read = iter(draft.rows if draft else ())
    rows = []
    for label, texts in grid.rows:
        row = next(read, None) if draft and any(texts) else None
        doubts = [cell.doubt for cell in row.cells] if row else [None] * len(texts)
        said = list(dict.fromkeys(doubt for doubt in doubts if doubt))
        cells = [
            {"at": i, "size": size, "text": text, "doubt": said.index(doubt) + 1 if doubt else 0}
            for i, (size, text, doubt) in enumerate(zip(grid.sizes, texts, doubts, strict=True))
        ]
        about = [
            {"sizes": [c["size"] for c in cells if c["doubt"] == n], "doubt": doubt} for n, doubt in enumerate(said, 1)
        ]
        rows.append({"label": label, "doubt": row.doubt if row else None, "cells": cells, "said": about})
    return rows


def _ease(found: Version, draft: ChartDraft) -> dict[str, Any]:
    """The ease of the grid over the body chart, and the fitted places that fall below the least ease."""
    body, _finished = charts_of(found)
    if draft.refusal or draft.obstacles:
        return {"ease": None}
    table = draft.table()
    rows = ease_rows(body, table)
    least = rules_of(found.pattern.studio).least
    fitted = {} if found.pattern.fabric == Fabric.KNIT else too_little(rows, least)
    return {
        "ease": ease_block(body, table),
        "tight": [_close(key, sizes, least[key]) for key, sizes in fitted.items() if key not in found.pattern.free_at],
    }


def _close(key: str, sizes: Sequence[str], least: Decimal) -> str:
    """That a fitted place has little ease: a remark, since the designer may mean it."""
    words = {"place": PLACES[key], "sizes": ", ".join(sizes), "least": both_units(BODY_STYLE, least)}
    return _("At the %(place)s, %(sizes)s: less ease than the %(least)s of a fitted woven garment.") % words
