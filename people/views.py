from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The way in: what this is, or the studios of the person who is signed in."""
    return render(request, "people/home.html")


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form that waited too long: say so kindly, with a way on."""
    return render(request, "people/csrf_failure.html", status=403)
