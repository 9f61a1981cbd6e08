"""The way in, one's own page, and what is kept."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from people.account_forms import SignInForm
from people.demo_links import person_of
from people.forms import MeForm

PROMISED_DAYS = ("INVITATION_DAYS", "TESTER_LINK_DAYS", "BODY_RETENTION_DAYS", "APPLICANT_DAYS", "BACKUP_DAYS")


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The way in: what this is and the sign-in, or the studio of the person who is signed in."""
    if not request.user.is_authenticated:
        return render(request, "people/home.html", {"form": SignInForm(request=request)})
    memberships = list(request.user.memberships.select_related("studio").order_by("studio__name"))
    if not memberships:
        return redirect("studio_new")
    if len(memberships) == 1:
        return redirect("studio", memberships[0].studio.ref)
    return render(request, "people/studios.html", {"memberships": memberships})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def me(request: HttpRequest) -> HttpResponse:
    """One's name, units and sewing words, and the way to a new password."""
    form = MeForm(request.POST or None, instance=request.user)
    if form.is_valid():
        form.save()
        messages.success(request, _("Saved."))
        return redirect("me")
    # The form writes into its person even when it is refused; the page's frame shows the stored one.
    request.user.refresh_from_db()
    memberships = request.user.memberships.select_related("studio").order_by("studio__name")
    return render(request, "people/me.html", {"form": form, "memberships": memberships})


@require_safe
def privacy(request: HttpRequest) -> HttpResponse:
    """What is kept, who sees it, and for how long."""
    days = {name: getattr(settings, name) for name in PROMISED_DAYS}
    session_days = settings.SESSION_COOKIE_AGE // (24 * 60 * 60)
    return render(request, "people/privacy.html", {"days": days, "session_days": session_days})


@require_safe
def demo_sign_in(request: HttpRequest, token: str) -> HttpResponse:
    """Sign in an invented person of the demo; 404 wherever DEMO_SIGN_IN is off."""
    person = person_of(token)
    if person is None:
        raise Http404
    login(request, person, backend=settings.AUTHENTICATION_BACKENDS[0])
    return redirect("home")


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form that waited too long: say so kindly, with a way on."""
    return render(request, "people/csrf_failure.html", status=403)
