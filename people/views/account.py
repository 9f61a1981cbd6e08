"""Signing up and in, passwords, confirming an address: the library's steps with our forms and pages."""

from __future__ import annotations

from allauth.account import views as account
from django.views.decorators.http import require_http_methods

from people import account_forms as forms

# The library takes PUT for POST and sends other methods on to the sign-in.
either = require_http_methods(["GET", "HEAD", "POST"])

sign_in = either(account.LoginView.as_view(form_class=forms.SignInForm))
sign_out = either(account.LogoutView.as_view())
sign_up = either(account.SignupView.as_view(form_class=forms.SignUpForm))
closed = either(account.AccountInactiveView.as_view())

confirm_sent = either(account.EmailVerificationSentView.as_view())
confirm = either(account.ConfirmEmailView.as_view())

forgotten = either(account.PasswordResetView.as_view(form_class=forms.ForgottenForm))
forgotten_sent = either(account.PasswordResetDoneView.as_view())
new_password = either(account.PasswordResetFromKeyView.as_view(form_class=forms.NewPasswordForm))
new_password_done = either(account.PasswordResetFromKeyDoneView.as_view())
change_password = either(account.PasswordChangeView.as_view(form_class=forms.ChangePasswordForm))
first_password = either(account.PasswordSetView.as_view(form_class=forms.FirstPasswordForm))
