"""The choice of a language."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from people.languages import known, remember


@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """Keep the chosen language, in the browser and with the person who is signed in; then back to the page."""
    back = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure()):
        back = "/"
    chosen = known(request.POST.get("language", ""))
    if not chosen:
        return redirect(back)
    if request.user.is_authenticated:
        request.user.language = chosen
        request.user.save(update_fields=["language"])
    return remember(request, redirect(back), chosen)
