"""Whether this server can work: asked by whatever watches over it."""

from __future__ import annotations

from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe


@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """200 while the database answers, else 503; not a word more, since anybody may ask."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return HttpResponse("no\n", content_type="text/plain", status=503)
    return HttpResponse("yes\n", content_type="text/plain")
