"""Pages about people are never kept by a shared cache."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control


class PrivatePagesMiddleware:
    """Marks every answer private unless the view said otherwise; static files never come here."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if not response.has_header("Cache-Control") and not request.path.startswith(settings.STATIC_URL):
            patch_cache_control(response, private=True, no_cache=True, no_store=True)
        return response
