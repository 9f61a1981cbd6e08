"""Pages about people are never kept by a shared cache; a person reads in their own language."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control

from people.languages import read_in


class PrivatePagesMiddleware:
    """Marks every answer private unless the view said otherwise; static files never come here."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if not response.has_header("Cache-Control") and not request.path.startswith(settings.STATIC_URL):
            patch_cache_control(response, private=True, no_cache=True, no_store=True)
        return response


class OwnLanguageMiddleware:
    """The language that somebody signed in has chosen, before that of the browser."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # Without a session there is nobody to look up, and the answer need not depend on cookies.
        if settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated:
            read_in(request, request.user.language)
        return self.get_response(request)
