from django.urls import path

from config.stub import stub
from people import views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", stub, name="account_login"),
    path("sign-out/", stub, name="account_logout"),
    path("sign-up/", stub, name="account_signup"),
    path("studios/new/", stub, name="studio_new"),
    path("studios/<str:ref>/people/", stub, name="studio_people"),
    path("invitations/<str:token>/", stub, name="invitation"),
    path("me/", stub, name="me"),
    path("privacy/", stub, name="privacy"),
    path("demo/<str:token>/", stub, name="demo_sign_in"),
]
