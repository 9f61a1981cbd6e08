"""The fit-issue summary as a PDF: its content from the round as it stands, its file written once."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.text import get_valid_filename

from releases.paper import PAPERS, Paper, write_pdf
from testing_rounds.actions.readings import keep_readings
from testing_rounds.actions.summaries import FOLDER, settle
from testing_rounds.evidence import Evidence, weigh
from testing_rounds.models import Photo, PhotoState, Round, Summary
from testing_rounds.summary import fit_summary, rows_of

# What a waiting page tells of the work: the reports are weighed, the pages are written, the sheets are set.
WEIGHED, WRITTEN, SET = 1, 2, 3
# Addresses of the app lead nowhere from a sheet, and its anchors would stand twice where a table comes in parts.
_OF_THE_PAGE = re.compile(r' (?:href="/[^"]*"|id="(?:open-)?(?:zone|cell|size)-[^"]*"|data-size="[^"]*")')
# What a sheet never shows costs the engine as much as what it does.
_UNSEEN = re.compile(
    r'<label class="open-row">.*?</label>|<t[dh][^>]* class="read">.*?</t[dh]>|<span class="vh">[^<]*</span>', re.DOTALL
)
_NO_LINK = re.compile(r"<a(?![^>]*href)[^>]*>(.*?)</a>", re.DOTALL)


def is_long(evidence: Evidence) -> bool:
    """Whether a page would keep its reader, and others, waiting for it."""
    return rows_of(evidence) > settings.PDF_ROWS_AT_ONCE


def _nothing(_done: int) -> None:
    pass


def summary_pdf(found: Round, paper: Paper, *, tell: Callable[[int], None] = _nothing) -> bytes:
    """The PDF of a round on this paper. The readings that it shows are kept; `tell` hears how far the work is."""
    found = _fresh(found.pk)
    evidence = weigh(found)
    keep_readings(evidence)
    tell(WEIGHED)
    today = timezone.localdate()
    summary = fit_summary(evidence, today, paper.width_mm)
    context = {
        "round": found,
        "version": found.version,
        "pattern": found.version.pattern,
        "studio": found.version.pattern.studio,
        "evidence": evidence,
        "summary": summary,
        "page": summary.page,
        "paper": paper,
        "today": today,
    }
    html = _for_paper(render_to_string("paper/fit_summary.html", context))
    tell(WRITTEN)
    pictures = {ref: partial(_picture, photo) for ref, photo in summary.pictures.items()}
    content = write_pdf(html, size=paper.size(), pictures=pictures)
    tell(SET)
    return content


def _for_paper(html: str) -> str:
    """The document without what only a page needs."""
    return _NO_LINK.sub(r"\1", _UNSEEN.sub("", _OF_THE_PAGE.sub("", html)))


def _picture(photo: Photo) -> bytes:
    with default_storage.open(photo.small) as file:
        return bytes(file.read())


def write(summary: Summary) -> None:
    """Make the document and store it. Run again, it finds the work done."""
    if summary.state == PhotoState.READY:
        return
    waiting = Summary.objects.filter(pk=summary.pk, stored="")
    try:
        content = summary_pdf(summary.round, PAPERS[summary.paper], tell=lambda done: _tell(summary, done))
    except Exception:
        waiting.update(state=PhotoState.FAILED)
        raise
    studio = summary.round.version.pattern.studio
    stored = default_storage.save(f"{FOLDER}/{studio.ref}/{summary.ref}.pdf", ContentFile(content))
    settle(summary=summary, stored=stored)


def _fresh(pk: int) -> Round:
    """The round read anew: its newest revision, and places of its own, which lose their names on paper."""
    charts = ("version__body_chart__chart", "version__finished_chart__chart")
    return Round.objects.select_related("version__pattern__studio", *charts).get(pk=pk)


def _tell(summary: Summary, done: int) -> None:
    Summary.objects.filter(pk=summary.pk, stored="").update(done=done, state=PhotoState.WAITING)


def file_name(summary: Summary) -> str:
    version = summary.round.version
    return get_valid_filename(f"{version.pattern.name} {version.number} fit summary {summary.paper}.pdf").lower()
