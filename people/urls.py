"""Addresses of people: the way in, studios and who belongs to them, one's own page."""

from django.urls import path, re_path

from people.views import account, entrance, health, invitations, language, own_data, studios

urlpatterns = [
    path("", entrance.home, name="home"),
    path("sign-in/", account.sign_in, name="account_login"),
    path("sign-in/closed/", account.closed, name="account_inactive"),
    path("sign-out/", account.sign_out, name="account_logout"),
    path("sign-up/", account.sign_up, name="account_signup"),
    path("confirm/", account.confirm_sent, name="account_email_verification_sent"),
    re_path(r"^confirm/(?P<key>[-:\w]+)/$", account.confirm, name="account_confirm_email"),
    path("password/", account.forgotten, name="account_reset_password"),
    path("password/sent/", account.forgotten_sent, name="account_reset_password_done"),
    path("password/set/", account.new_password_done, name="account_reset_password_from_key_done"),
    re_path(
        r"^password/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        account.new_password,
        name="account_reset_password_from_key",
    ),
    path("me/password/", account.change_password, name="account_change_password"),
    path("me/password/first/", account.first_password, name="account_set_password"),
    path("me/", entrance.me, name="me"),
    path("me/data/", own_data.own_data, name="own_data"),
    path("me/data/file/", own_data.own_data_file, name="own_data_file"),
    path("me/data/erase/", own_data.erase, name="erase_account"),
    path("health/", health.health, name="health"),
    path("language/", language.language, name="language"),
    path("privacy/", entrance.privacy, name="privacy"),
    path("demo/<str:token>/", entrance.demo_sign_in, name="demo_sign_in"),
    path("studios/new/", studios.new, name="studio_new"),
    path("studios/<str:ref>/people/", studios.people, name="studio_people"),
    path("studios/<str:ref>/people/<str:person_ref>/role/", studios.role, name="member_role"),
    path("studios/<str:ref>/people/<str:person_ref>/remove/", studios.remove, name="member_remove"),
    path("studios/<str:ref>/invitations/<str:invitation_ref>/revoke/", studios.revoke, name="invitation_revoke"),
    path("invitations/<str:token>/", invitations.invitation, name="invitation"),
]
