"""The languages to choose from; the choice settles the sewing words of English too (UK or US)."""

from __future__ import annotations

from functools import lru_cache

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import trans_real

# A year: who chose once is not asked again each month.
COOKIE_SECONDS = 60 * 60 * 24 * 365


def known(language: str) -> str:
    """The code if it is one of LANGUAGES, else nothing."""
    return language if language in dict(settings.LANGUAGES) else ""


def language_name(language: str) -> str:
    """Its name in itself, as each reader finds their own."""
    return str(dict(settings.LANGUAGES).get(language, _("what your browser asks for")))


def read_in(request: HttpRequest, language: str) -> None:
    """Answer this request in that language, if one is chosen."""
    if known(language):
        translation.activate(language)
        request.LANGUAGE_CODE = language


def remember(request: HttpRequest, response: HttpResponse, language: str) -> HttpResponse:
    """Keep the choice in this browser, for pages that do not know who reads them."""
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        language,
        max_age=COOKIE_SECONDS,
        path="/",
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response


def remember_texts() -> None:
    """Look each text up once in a process. Without this each one goes through the catalogues of all apps and those that
    they fall back on, every time: a fifth of a page.
    """
    for language in dict(settings.LANGUAGES):
        catalogue = trans_real.translation(language)
        for lookup in ("gettext", "ngettext"):
            setattr(catalogue, lookup, lru_cache(maxsize=settings.TEXTS_KEPT)(getattr(catalogue, lookup)))
