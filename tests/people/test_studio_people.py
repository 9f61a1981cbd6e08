"""Studios, roles and invitations, through the pages and the mails that people use."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.core import mail
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoCaptureOnCommitCallbacks, Settings

from people.models import AuditEntry, Invitation, Membership, Person, Role, Studio
from tests.factories import PASSWORD, Cast, join, make_cast, make_person, signed_in

pytestmark = pytest.mark.django_db
EDITOR = "technical.editor@elsewhere.example"


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture(autouse=True)
def commits(django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks) -> DjangoCaptureOnCommitCallbacks:
    return django_capture_on_commit_callbacks


def people_url(cast: Cast) -> str:
    return reverse("studio_people", args=[cast.studio.ref])


def invite(
    cast: Cast,
    commits: DjangoCaptureOnCommitCallbacks,
    email: str = EDITOR,
    role: str = "reviewer",
    by: Person | None = None,
):
    with commits(execute=True):
        return signed_in(by or cast.owner).post(people_url(cast), {"email": email, "role": role})


def mailed_link() -> str:
    return re.findall(r"https?://[^/\s]+(/invitations/\S+)", mail.outbox[-1].body)[0]


def role_of(cast: Cast, person: Person) -> str | None:
    found = Membership.objects.filter(studio=cast.studio, person=person).first()
    return found.role if found else None


def trail() -> list[str]:
    return list(AuditEntry.objects.order_by("id").values_list("verb", flat=True))


def test_a_new_person_makes_a_studio_and_owns_it() -> None:
    person = make_person()
    client = signed_in(person)
    assert client.get(reverse("home"))["Location"] == reverse("studio_new")
    answer = client.post(reverse("studio_new"), {"name": "Saltmarsh Row"})
    studio = Studio.objects.get()
    assert answer["Location"] == reverse("studio", args=[studio.ref])
    assert studio.memberships.get().role == Role.OWNER
    assert client.get(reverse("home"))["Location"] == reverse("studio", args=[studio.ref])
    assert trail() == ["studio_created"]


def test_a_studio_needs_a_name() -> None:
    page = signed_in(make_person()).post(reverse("studio_new"), {"name": "  "})
    assert "Give the studio a name" in page.content.decode()
    assert not Studio.objects.exists()


def test_someone_with_two_studios_chooses(cast: Cast) -> None:
    join(cast.other_studio, cast.owner, Role.REVIEWER)
    page = signed_in(cast.owner).get(reverse("home")).content.decode()
    assert "Saltmarsh Row" in page
    assert "Quillpoint" in page


@pytest.mark.parametrize("role", ["owner", "designer", "reviewer"])
def test_everyone_of_the_studio_sees_who_belongs_to_it(cast: Cast, role: str) -> None:
    page = signed_in(getattr(cast, role)).get(people_url(cast)).content.decode()
    for person in (cast.owner, cast.designer, cast.reviewer):
        assert person.name in page
    assert ("Send the invitation" in page) == (role == "owner")


def test_strangers_and_lesser_roles_get_404(cast: Cast) -> None:
    member = [cast.studio.ref, cast.designer.ref]
    posts = [
        people_url(cast),
        reverse("member_role", args=member),
        reverse("invitation_revoke", args=[cast.studio.ref, "2222222222"]),
        reverse("member_remove", args=[cast.studio.ref, cast.owner.ref]),
    ]
    for client in (signed_in(cast.designer), signed_in(cast.reviewer), signed_in(cast.outsider), Client()):
        for url in posts:
            assert client.post(url, {"email": EDITOR, "role": "owner"}).status_code == 404
    for client in (signed_in(cast.outsider), Client()):
        assert client.get(people_url(cast)).status_code == 404
    assert role_of(cast, cast.designer) == Role.DESIGNER


def test_an_invitation_goes_out_by_mail_and_is_taken_up(cast: Cast, commits) -> None:
    assert invite(cast, commits).status_code == 302
    letter = mail.outbox[-1]
    assert letter.to == [EDITOR]
    assert letter.subject == "You are invited to Saltmarsh Row"
    assert "Imelda Tarrowby invites you" in letter.body
    assert "as reviewer" in letter.body
    page = Client().get(mailed_link()).content.decode()
    assert "Saltmarsh Row invites you as reviewer." in page
    assert "Imelda Tarrowby" in page
    editor = make_person("Wilhelmina Osei", email=EDITOR)
    client = signed_in(editor)
    assert "Accept the invitation" in client.get(mailed_link()).content.decode()
    assert role_of(cast, editor) is None, "looking accepts nothing"
    assert client.post(mailed_link())["Location"] == reverse("studio", args=[cast.studio.ref])
    assert role_of(cast, editor) == Role.REVIEWER
    assert trail() == ["person_invited", "invitation_accepted"]
    assert "has been taken up" in client.get(mailed_link()).content.decode()


def test_the_invited_sign_up_with_the_address_filled_in_and_come_back(cast: Cast, commits, settings: Settings) -> None:
    settings.ACCOUNT_EMAIL_VERIFICATION = "mandatory"
    invite(cast, commits)
    client = Client()
    page = client.get(mailed_link()).content.decode()
    (sign_up,) = re.findall(r'href="(/sign-up/[^"]+)"', page)
    form = client.get(sign_up.replace("&amp;", "&")).content.decode()
    assert f'value="{EDITOR}"' in form
    assert f'name="next" value="{mailed_link()}"' in form
    mails = len(mail.outbox)
    data = {"email": EDITOR, "name": "Wilhelmina Osei", "password1": PASSWORD, "next": mailed_link()}
    assert client.post(reverse("account_signup"), data)["Location"] == mailed_link()
    assert len(mail.outbox) == mails, "the link has shown that the address is theirs"
    client.post(mailed_link())
    assert role_of(cast, Person.objects.get(email=EDITOR)) == Role.REVIEWER


def test_an_invitation_is_for_its_address_alone(cast: Cast, commits) -> None:
    invite(cast, commits)
    client = signed_in(cast.outsider)
    page = client.get(mailed_link()).content.decode()
    assert f"You are signed in as {cast.outsider.email}" in page
    assert "Accept the invitation" not in page
    answer = client.post(mailed_link())
    assert "sent to another address" in answer.content.decode()
    assert role_of(cast, cast.outsider) is None


def test_nobody_accepts_without_signing_in(cast: Cast, commits) -> None:
    invite(cast, commits)
    assert "Sign in first" in Client().post(mailed_link()).content.decode()
    assert cast.studio.memberships.count() == 3


def test_an_invitation_runs_out(cast: Cast, commits) -> None:
    invite(cast, commits)
    Invitation.objects.update(expires_at=timezone.now() - timedelta(minutes=1))
    client = signed_in(make_person(email=EDITOR))
    answer = client.get(mailed_link())
    assert answer.status_code == 410
    assert "has run out" in answer.content.decode()
    assert client.post(mailed_link()).status_code == 410
    assert cast.studio.memberships.count() == 3


def test_an_invitation_is_revoked(cast: Cast, commits) -> None:
    invite(cast, commits)
    owner = signed_in(cast.owner)
    assert EDITOR in owner.get(people_url(cast)).content.decode()
    owner.post(reverse("invitation_revoke", args=[cast.studio.ref, Invitation.objects.get().ref]))
    assert f"<b>{EDITOR}</b>" not in owner.get(people_url(cast)).content.decode()
    client = signed_in(make_person(email=EDITOR))
    assert "was taken back" in client.get(mailed_link()).content.decode()
    client.post(mailed_link())
    assert cast.studio.memberships.count() == 3
    assert trail() == ["person_invited", "invitation_revoked"]


def test_an_invitation_of_another_studio_cannot_be_revoked_here(cast: Cast, commits) -> None:
    invite(cast, commits)
    url = reverse("invitation_revoke", args=[cast.other_studio.ref, Invitation.objects.get().ref])
    assert signed_in(cast.outsider).post(url).status_code == 404
    assert Invitation.objects.get().revoked_at is None


def test_inviting_again_replaces_the_first_link(cast: Cast, commits) -> None:
    invite(cast, commits)
    first = mailed_link()
    invite(cast, commits, role="designer")
    assert mailed_link() != first
    assert Client().get(first).status_code == 410
    assert Client().get(mailed_link()).status_code == 200


def test_a_token_that_was_never_given_opens_nothing() -> None:
    assert Client().get(reverse("invitation", args=["guess"])).status_code == 404


def test_the_database_holds_no_link(cast: Cast, commits) -> None:
    invite(cast, commits)
    token = mailed_link().split("/")[2]
    assert token not in str(Invitation.objects.values())


@pytest.mark.parametrize(
    ("email", "role", "words"),
    [
        ("no address", "reviewer", "not a whole e-mail"),
        ("", "reviewer", "Type the address"),
        (EDITOR, "", "Choose what they come as"),
        (EDITOR, "owner", "owner is not one of the available choices"),
    ],
)
def test_an_invitation_with_a_mistake_says_so_and_keeps_what_was_typed(
    cast: Cast, commits, email: str, role: str, words: str
) -> None:
    page = invite(cast, commits, email, role).content.decode()
    assert words in page
    assert not email or f'value="{email}"' in page
    assert not mail.outbox


def test_a_member_is_not_invited_again(cast: Cast, commits) -> None:
    page = invite(cast, commits, cast.reviewer.email.upper()).content.decode()
    assert "already belongs to the studio" in page
    assert not mail.outbox


def test_a_heap_of_open_invitations_is_refused(cast: Cast, commits, settings: Settings) -> None:
    settings.INVITATIONS_WAITING = 2
    for n in range(2):
        assert invite(cast, commits, f"editor{n}@elsewhere.example").status_code == 302
    assert "still waiting" in invite(cast, commits, "editor3@elsewhere.example").content.decode()
    assert invite(cast, commits, "editor1@elsewhere.example").status_code == 302, "sending again is no new one"


def test_a_mail_that_does_not_leave_is_said(
    cast: Cast, commits, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def no_mail_server(message: mail.EmailMessage, fail_silently: bool = False) -> int:
        raise ConnectionRefusedError("no mail server here")

    monkeypatch.setattr(mail.EmailMessage, "send", no_mail_server)
    monkeypatch.setattr(transaction, "on_commit", lambda send: send())
    page = invite(cast, commits).content.decode()
    assert "The mail did not leave" in page
    assert f'value="{EDITOR}"' in page
    assert "did not leave" in caplog.text


def test_an_owner_changes_a_role(cast: Cast) -> None:
    client = signed_in(cast.owner)
    url = reverse("member_role", args=[cast.studio.ref, cast.designer.ref])
    assert client.post(url, {"role": "owner"})["Location"] == people_url(cast)
    assert "Kwabena Lissak is now owner." in client.get(people_url(cast)).content.decode()
    assert role_of(cast, cast.designer) == Role.OWNER
    client.post(url, {"role": "emperor"})
    assert role_of(cast, cast.designer) == Role.OWNER
    assert trail() == ["role_changed"]


def test_the_last_owner_stays(cast: Cast) -> None:
    client = signed_in(cast.owner)
    mine = [cast.studio.ref, cast.owner.ref]
    client.post(reverse("member_role", args=mine), {"role": "designer"})
    assert "needs an owner" in client.get(people_url(cast)).content.decode()
    assert "needs an owner" in client.post(reverse("member_remove", args=mine)).content.decode()
    assert role_of(cast, cast.owner) == Role.OWNER
    assert trail() == []


def test_an_owner_takes_someone_out_after_being_asked(cast: Cast) -> None:
    client, reader = signed_in(cast.owner), signed_in(cast.reviewer)
    url = reverse("member_remove", args=[cast.studio.ref, cast.reviewer.ref])
    assert "Take Haruka Velloso out of Saltmarsh Row?" in client.get(url).content.decode()
    assert role_of(cast, cast.reviewer) == Role.REVIEWER
    client.post(url)
    assert role_of(cast, cast.reviewer) is None
    assert reader.get(people_url(cast)).status_code == 404
    assert trail() == ["member_removed"]


def test_anyone_but_the_last_owner_may_leave(cast: Cast) -> None:
    client = signed_in(cast.reviewer)
    client.post(reverse("member_remove", args=[cast.studio.ref, cast.reviewer.ref]))
    assert role_of(cast, cast.reviewer) is None
    assert client.get(reverse("home"))["Location"] == reverse("studio_new")


def test_someone_of_another_studio_is_no_member_here(cast: Cast) -> None:
    url = reverse("member_role", args=[cast.studio.ref, cast.outsider.ref])
    assert signed_in(cast.owner).post(url, {"role": "owner"}).status_code == 404


def test_the_trail_holds_no_name_or_address(cast: Cast, commits) -> None:
    invite(cast, commits)
    assert "technical" not in str(list(AuditEntry.objects.values()))
    assert AuditEntry.objects.get().actor_ref == cast.owner.ref
