"""How sign-up, sign-in and their mails behave, and what they say."""

from __future__ import annotations

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context as current
from django.contrib import messages
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from people.mail import MailNotSent, in_both_forms, send


class AccountAdapter(DefaultAccountAdapter):
    """Sign-up with an e-mail, a name and a password; every sentence in the studio's own words."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "account_inactive": _("This account is closed."),
        "email_password_mismatch": _("That e-mail and password do not go together. Nothing was changed."),
        "email_taken": _("There is already an account with this e-mail. Sign in, or set a new password."),
        "enter_current_password": _("That is not the password that you have now."),
        "incorrect_password": _("That is not your password."),
        "invalid_login": _("That e-mail and password do not go together. Nothing was changed."),
        "invalid_password_reset": _("This link no longer works. Ask for a new one."),
        "rate_limited": _("That was often, and quick. Wait a minute, then try again."),
        "too_many_login_attempts": _(
            "Too many tries with this e-mail. Wait five minutes, then try again, or set a new password."
        ),
    }

    def save_user(
        self, request: HttpRequest, user: AbstractBaseUser, form: Any, commit: bool = True
    ) -> AbstractBaseUser:
        user.name, user.language = form.cleaned_data.get("name", ""), get_language() or ""
        return super().save_user(request, user, form, commit)

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """A mail server that does not answer is told, not hidden behind a broken page."""
        everything = {"request": current.request, "email": email, **context}
        text = self.render_mail(template_prefix, email, everything)
        try:
            send(in_both_forms(text.subject, text.body, email))
        except MailNotSent:
            messages.error(
                current.request, _("The mail did not leave: the mail server does not answer. Try again later.")
            )
