"""Documents on their way out: shown at once, or waited for while a worker makes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.files.storage import default_storage
from django.http import FileResponse, HttpRequest, HttpResponseBase
from django.shortcuts import render

from releases.made_documents import What, ask_for
from releases.models import MadeState, Version
from releases.paper import PAPERS, Paper


def paper_of(request: HttpRequest) -> Paper:
    """A4, unless `?paper=letter` asks otherwise."""
    return PAPERS.get(request.GET.get("paper", ""), PAPERS["a4"])


WAIT = "releases/document_wait.html"


def made_or_waiting(
    request: HttpRequest,
    version: Version,
    what: What,
    paper: Paper,
    content: str,
    name: str,
    *,
    page: str = WAIT,
    more: Mapping[str, Any] | None = None,
) -> HttpResponseBase:
    """The document of that content, or the page that waits for it (its changing part alone for a poll).

    `page` is another page than the studio's to wait on, and `more` what it knows besides.
    """
    document = ask_for(version, what, paper, content, again="again" in request.GET)
    waits = bool(request.headers.get("HX-Request"))
    if document.state == MadeState.READY and not waits:
        return shown(FileResponse(default_storage.open(document.stored), content_type="application/pdf"), name)
    kept = request.GET.copy()
    kept.pop("again", None)
    context = {
        **(more or {}),
        "version": version,
        "pattern": version.pattern,
        "document": document,
        "paper": paper,
        "address": f"{request.path}?{kept.urlencode()}",
    }
    return render(request, f"{WAIT}#standing" if waits else page, context)


def shown(response: HttpResponseBase, name: str) -> HttpResponseBase:
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
