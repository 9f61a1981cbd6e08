"""Planning a round, the public call, the panel."""

from django.urls import path

from testing_rounds.views import call, panel, planning, scales

urlpatterns = [
    path("studios/<str:ref>/zones/", scales.zone_scales, name="zone_scales"),
    path("versions/<str:ref>/rounds/new/", planning.round_new, name="round_new"),
    path("rounds/<str:ref>/plan/", planning.round_plan, name="round_plan"),
    path("rounds/<str:ref>/state/", planning.round_state, name="round_state"),
    path("rounds/<str:ref>/panel/", panel.panel, name="panel"),
    path("places/<str:ref>/", panel.place, name="place"),
    path("call/<str:call_ref>/", call.call, name="call"),
    path("call/<str:call_ref>/take-back/<str:token>/", call.take_back, name="call_take_back"),
]
