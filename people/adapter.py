from allauth.account.adapter import DefaultAccountAdapter
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest


class AccountAdapter(DefaultAccountAdapter):
    """Sign-up with an e-mail, a name and a password."""

    def save_user(self, request: HttpRequest, user: AbstractBaseUser, form, commit: bool = True) -> AbstractBaseUser:
        user.name = form.cleaned_data.get("name", "")
        return super().save_user(request, user, form, commit)
