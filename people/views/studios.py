"""Studios and who belongs to them."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Case, IntegerField, Value, When
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from people import actions
from people.access import EVERY_ROLE, OWNERS, signed_in, studio_for
from people.forms import InviteForm, StudioForm
from people.invitations import waiting
from people.mail import MailNotSent
from people.models import Membership, Role, Studio

OWNERS_FIRST = Case(
    *(When(role=role, then=Value(place)) for place, role in enumerate(Role.values)), output_field=IntegerField()
)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def new(request: HttpRequest) -> HttpResponse:
    """Make a studio."""
    form = StudioForm(request.POST or None)
    if form.is_valid():
        studio = actions.create_studio(name=form.cleaned_data["name"], by=signed_in(request))
        return redirect("studio", studio.ref)
    return render(request, "people/studio_new.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
def people(request: HttpRequest, ref: str) -> HttpResponse:
    """Who belongs to the studio; an owner invites here."""
    studio = studio_for(request, ref, OWNERS if request.method == "POST" else EVERY_ROLE)
    form = InviteForm(request.POST or None)
    if form.is_valid() and _invited(request, studio, form):
        return redirect("studio_people", studio.ref)
    return _people_page(request, studio, form)


def _invited(request: HttpRequest, studio: Studio, form: InviteForm) -> bool:
    """Send the invitation; a refusal goes beside the field."""
    try:
        actions.invite(studio=studio, by=signed_in(request), **form.cleaned_data)
    except actions.Refused as refusal:
        form.add_error("email", refusal.sentence)
        return False
    except MailNotSent:
        form.add_error("email", _("The mail did not leave: the mail server does not answer. Try again in a while."))
        return False
    messages.success(request, _("The invitation to %(email)s is on its way.") % form.cleaned_data)
    return True


def _people_page(request: HttpRequest, studio: Studio, form: InviteForm) -> HttpResponse:
    members = list(studio.memberships.select_related("person").order_by(OWNERS_FIRST, "person__name"))
    owner = request.membership.role == Role.OWNER
    only_owner = sum(member.role == Role.OWNER for member in members) == 1
    context = {
        "members": [(member, only_owner and member.role == Role.OWNER) for member in members],
        "is_owner": owner,
        "roles": Role.choices,
        "form": form,
        "waiting": waiting(studio).select_related("invited_by").order_by("created") if owner else (),
    }
    return render(request, "people/people.html", context)


def _member(studio: Studio, person_ref: str) -> Membership:
    return get_object_or_404(studio.memberships.select_related("person", "studio"), person__ref=person_ref)


@require_POST
def role(request: HttpRequest, ref: str, person_ref: str) -> HttpResponse:
    """Change a member's role."""
    studio = studio_for(request, ref, OWNERS)
    membership = _member(studio, person_ref)
    try:
        actions.change_role(membership=membership, role=request.POST.get("role", ""), by=signed_in(request))
    except actions.Refused as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, _("%(person)s is now %(role)s.") % _named(membership))
    return redirect("studio_people", studio.ref)


@require_http_methods(["GET", "HEAD", "POST"])
def remove(request: HttpRequest, ref: str, person_ref: str) -> HttpResponse:
    """Ask, then take a member out; anyone may leave by their own will."""
    studio = studio_for(request, ref)
    membership = _member(studio, person_ref)
    leaving = membership.person_id == request.user.pk
    if not leaving and request.membership.role not in OWNERS:
        raise Http404
    form = forms.Form(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            actions.remove_member(membership=membership, by=signed_in(request))
        except actions.Refused as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, _("%(person)s no longer belongs to %(studio)s.") % _named(membership))
            return redirect("home") if leaving else redirect("studio_people", studio.ref)
    return render(request, "people/remove.html", {"member": membership, "leaving": leaving, "form": form})


def _named(membership: Membership) -> dict[str, str]:
    return {
        "person": str(membership.person),
        "role": membership.get_role_display(),
        "studio": membership.studio.name,
    }


@require_POST
def revoke(request: HttpRequest, ref: str, invitation_ref: str) -> HttpResponse:
    """Close an invitation that nobody has taken up yet."""
    studio = studio_for(request, ref, OWNERS)
    invitation = get_object_or_404(studio.invitations, ref=invitation_ref)
    actions.revoke_invitation(invitation=invitation, by=signed_in(request))
    messages.success(request, _("The invitation to %(email)s no longer works.") % {"email": invitation.email})
    return redirect("studio_people", studio.ref)
