"""Rounds in a studio, made of plain values, and what a page says without its markup."""

from __future__ import annotations

import html
import re

from django.http import HttpResponse

from people.models import Studio
from testing_rounds.actions.round_files import import_round
from testing_rounds.models import FitReport, Round
from testing_rounds.round_data import RoundData
from tests.testing_rounds.rounds import example


def imported(studio: Studio, data: RoundData | None = None) -> Round:
    """The round in the studio; the example of the documents unless another is given."""
    return import_round(studio=studio, data=data or example(), by=None)


def report_of(found: Round, alias: str, stage: str = "toile") -> FitReport:
    return FitReport.objects.get(place__round=found, place__alias=alias, stage=stage)


def words(response: HttpResponse) -> str:
    """What a reader sees and hears: text and titles, on one line."""
    page = response.content.decode()
    page = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.DOTALL)
    titles = re.sub(r'<[^>]*\btitle="([^"]*)"[^>]*>', r" \1 ", page)
    text = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", titles)).split())
    return re.sub(r" ([,.;:])", r"\1", text)
