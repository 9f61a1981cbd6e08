"""Planning a round, the public call, the panel."""

from django.urls import path

from config.stub import stub

urlpatterns = [
    path("versions/<str:ref>/rounds/new/", stub, name="round_new"),
    path("rounds/<str:ref>/plan/", stub, name="round_plan"),
    path("rounds/<str:ref>/state/", stub, name="round_state"),
    path("rounds/<str:ref>/panel/", stub, name="panel"),
    path("places/<str:ref>/", stub, name="place"),
    path("call/<str:call_ref>/", stub, name="call"),
]
