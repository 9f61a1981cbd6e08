"""The public call: anybody with its address can apply while it is open."""

from __future__ import annotations

import hashlib
import time

from allauth.account.adapter import get_adapter
from django.conf import settings
from django.core.cache import cache
from django.core.signing import BadSignature
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from people.mail import MailNotSent
from releases.actions.refused import Refused
from testing_rounds.actions.panel import applicant_of, apply, take_back_application
from testing_rounds.call_forms import ApplicationForm
from testing_rounds.call_page import advice_context, call_context, is_open, picture_words
from testing_rounds.call_picture import call_picture
from testing_rounds.consents import day_they_go
from testing_rounds.models import Round

HOUR = 3600


def _called(call_ref: str) -> Round:
    found = (
        Round.objects.select_related("version__pattern__studio", "version__body_chart__chart")
        .filter(call_ref=call_ref)
        .first()
    )
    if found is None:
        raise Http404
    return found


@require_http_methods(["GET", "HEAD", "POST"])
def call(request: HttpRequest, call_ref: str) -> HttpResponse:
    """What is asked and given, the sizes, and the form; after sending, the size advised."""
    found = _called(call_ref)
    sent = request.method == "POST"
    if not is_open(found, timezone.now().date()):
        return _closed(request, found)
    form = ApplicationForm(request.POST if sent else None, found=found)
    status = 200
    if sent and form.is_valid() and not form.must_look_again:
        if not _too_often(request, form.cleaned_data["email"]):
            return _applied(request, found, form)
        form.add_error(None, _("Many applications came from here within the hour. Nothing is lost: send it later."))
        status = 429
    elif sent:
        status = 422
    context = {**call_context(found, form), "keep_until": day_they_go(timezone.now())}
    return render(request, "testing_rounds/call.html", context, status=status)


@require_safe
def picture(request: HttpRequest, call_ref: str) -> HttpResponse:
    """The picture beside the call's address where it is shared; it says no more than the call itself."""
    found = _called(call_ref)
    response = HttpResponse(call_picture(*picture_words(found)), content_type="image/png")
    response["Cache-Control"] = "public, max-age=3600"
    return response


def _applied(request: HttpRequest, found: Round, form: ApplicationForm) -> HttpResponse:
    """Write the application. The page is the same whether the address is new, known, or on the panel."""
    measures, mailed = form.measures(), True
    try:
        apply(found=found, fields=form.cleaned_data, measures=measures, unit=form.unit)
    except MailNotSent:
        mailed = False
    except Refused:
        return _closed(request, found)
    context = {
        **call_context(found, form),
        **advice_context(found, measures, form.unit),
        "email": form.cleaned_data["email"],
        "mailed": mailed,
    }
    return render(request, "testing_rounds/call_sent.html", context)


def _closed(request: HttpRequest, found: Round) -> HttpResponse:
    context = {"round": found, "pattern": found.version.pattern, "maker": found.version.pattern.studio}
    return render(request, "testing_rounds/call_closed.html", context, status=409 if request.method == "POST" else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def take_back(request: HttpRequest, call_ref: str, token: str) -> HttpResponse:
    """Erase an application, from the address in its mail. Opening it changes nothing; the button does."""
    found = _called(call_ref)
    try:
        place = applicant_of(found, token)
    except BadSignature:
        raise Http404 from None
    invited = bool(place and place.links.exists())
    if request.method == "POST" and place and take_back_application(place=place):
        place = None
    context = {
        "place": place,
        "invited": invited,
        "pattern": found.version.pattern,
        "maker": found.version.pattern.studio,
    }
    response = render(request, "testing_rounds/call_take_back.html", context)
    response["Referrer-Policy"], response["X-Robots-Tag"] = "strict-origin", "noindex"
    return response


def _too_often(request: HttpRequest, email: str) -> bool:
    """Count one more application from here and for this address; whether either passed its limit of the hour."""
    counted = (
        (get_adapter(request).get_client_ip(request), settings.APPLICATIONS_PER_HOUR),
        (email.lower(), settings.APPLICATIONS_PER_ADDRESS),
    )
    return any(_count(of) > limit for of, limit in counted)


def _count(of: str) -> int:
    key = f"applications:{hashlib.sha256(of.encode()).hexdigest()}:{int(time.time()) // HOUR}"
    count = cache.get(key, 0) + 1
    cache.set(key, count, HOUR)
    return count
