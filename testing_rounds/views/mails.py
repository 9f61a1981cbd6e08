"""The mails of a round before they leave, and the address that ends a tester's reminders."""

from __future__ import annotations

from csp.decorators import csp_update
from django.core.mail import EmailMultiAlternatives
from django.core.signing import BadSignature
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from people.access import signed_in
from people.mail import look_source
from testing_rounds.access import round_for
from testing_rounds.actions.mails import NO_REMINDERS, set_reminders
from testing_rounds.mail_page import BY_KEY, mail_list, reminder_table, sample
from testing_rounds.models import Place, Round
from testing_rounds.views.tester_visit import keep_secret


@require_safe
def round_mails(request: HttpRequest, ref: str) -> HttpResponse:
    """Every mail of a round: who would get it, and when."""
    found = round_for(request, ref)
    everybody = reminder_table(found, timezone.now())
    table = [one for one in everybody if one.leaving]
    unasked = [one for one in everybody if not one.leaving]
    context = {"mails": mail_list(found), "table": table, "unasked": unasked, "coming": len(table)}
    return render(request, "testing_rounds/mails.html", _frame(found) | context)


@require_safe
@csp_update({"frame-src": ["'self'"]})  # type: ignore[arg-type]
def round_mail(request: HttpRequest, ref: str, mail: str) -> HttpResponse:
    """One mail: to whom, its subject, its text, and how it looks."""
    found, (message, place) = _sample(request, ref, mail)
    context = {"mail": BY_KEY[mail], "message": message, "place": place}
    return render(request, "testing_rounds/mail.html", _frame(found) | context)


@require_safe
@xframe_options_sameorigin
def round_mail_html(request: HttpRequest, ref: str, mail: str) -> HttpResponse:
    """The mail's HTML by itself, shown in a frame: no script, no form, nothing fetched."""
    _found, (message, _place) = _sample(request, ref, mail)
    response = HttpResponse(message.alternatives[0].content)
    response["Content-Security-Policy"] = (
        f"default-src 'none'; style-src {look_source()}; frame-ancestors 'self'; base-uri 'none'; sandbox"
    )
    return response


def _sample(request: HttpRequest, ref: str, mail: str) -> tuple[Round, tuple[EmailMultiAlternatives, Place]]:
    found = round_for(request, ref)
    if mail not in BY_KEY:
        raise Http404
    return found, sample(found, mail, signed_in(request))


def _frame(found: Round) -> dict[str, object]:
    return {"round": found, "version": found.version, "pattern": found.version.pattern}


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def reminders_stop(request: HttpRequest, token: str) -> HttpResponse:
    """No more reminders: opening the address shows a button; the button, or a mail program's one click, ends them.

    Whoever has the address may (RFC 8058): it stands in the tester's own mail alone, and ends reminders only.
    """
    try:
        place = Place.objects.select_related("round__version__pattern__studio").get(ref=NO_REMINDERS.unsign(token))
    except (BadSignature, Place.DoesNotExist):
        raise Http404 from None
    if request.method == "POST":
        set_reminders(place=place, wanted=request.POST.get("do") == "again")
        place.refresh_from_db(fields=["reminders_off"])
    pattern = place.round.version.pattern
    context = {"place": place, "pattern": pattern, "maker": pattern.studio, "done": request.method == "POST"}
    return keep_secret(render(request, "tester/reminders.html", context))
