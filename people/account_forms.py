"""The forms of signing up and in, with our labels and each sentence beside its field."""

from __future__ import annotations

from typing import Any

from allauth.account import forms as account
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

E_MAIL = _("E-mail")
PASSWORD = _("Password")
PASSWORD_HINT = _("Ten characters or more. A few words in a row are easy to keep in mind.")
NOT_AN_ADDRESS = _("This is not a whole e-mail address. It needs a name, an @ and a place.")


class PlainFields(forms.Form):
    """No grey words inside a field: they vanish as one types. Labels and hints stand above it."""

    named: dict[str, Any] = {}
    hints: dict[str, Any] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.widget.attrs.pop("placeholder", None)
            field.label = self.named.get(name, field.label)
            field.help_text = self.hints.get(name, "")
            if isinstance(field, forms.EmailField):
                field.error_messages.update(invalid=NOT_AN_ADDRESS, required=_("Type your e-mail."))
            elif isinstance(field.widget, forms.PasswordInput):
                field.error_messages["required"] = _("Type a password.")


class SignInForm(PlainFields, account.LoginForm):
    named = {"login": E_MAIL, "password": PASSWORD}

    def clean(self) -> dict[str, Any] | None:
        """A refusal belongs beside the password, whichever of the two was wrong."""
        try:
            return super().clean()
        except ValidationError as refusal:
            self.add_error("password", refusal)
            return self.cleaned_data


class SignUpForm(PlainFields, account.SignupForm):
    named = {"email": E_MAIL, "password1": PASSWORD}
    hints = {"password1": PASSWORD_HINT}
    field_order = ["name", "email", "password1"]


class ForgottenForm(PlainFields, account.ResetPasswordForm):
    named = {"email": E_MAIL}


class NewPasswordForm(PlainFields, account.ResetPasswordKeyForm):
    named = {"password1": _("New password"), "password2": _("New password, once more")}
    hints = {"password1": PASSWORD_HINT}


class ChangePasswordForm(PlainFields, account.ChangePasswordForm):
    named = {
        "oldpassword": _("The password you have now"),
        "password1": _("New password"),
        "password2": _("New password, once more"),
    }
    hints = {"password1": PASSWORD_HINT}


class FirstPasswordForm(PlainFields, account.SetPasswordForm):
    named = {"password1": _("Password"), "password2": _("Password, once more")}
    hints = {"password1": PASSWORD_HINT}
