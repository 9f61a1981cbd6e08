"""Signing up and in, passwords, confirming an address: the library's steps with our forms and pages."""

from __future__ import annotations

from allauth.account import views as account

from people import account_forms as forms

sign_in = account.LoginView.as_view(form_class=forms.SignInForm)
sign_out = account.LogoutView.as_view()
sign_up = account.SignupView.as_view(form_class=forms.SignUpForm)
closed = account.AccountInactiveView.as_view()

confirm_sent = account.EmailVerificationSentView.as_view()
confirm = account.ConfirmEmailView.as_view()

forgotten = account.PasswordResetView.as_view(form_class=forms.ForgottenForm)
forgotten_sent = account.PasswordResetDoneView.as_view()
new_password = account.PasswordResetFromKeyView.as_view(form_class=forms.NewPasswordForm)
new_password_done = account.PasswordResetFromKeyDoneView.as_view()
change_password = account.PasswordChangeView.as_view(form_class=forms.ChangePasswordForm)
first_password = account.PasswordSetView.as_view(form_class=forms.FirstPasswordForm)
