from django.urls import path

from . import pit_in, sounds, views

urlpatterns = [
    path("round/", views.my_round, name="my-round"),
    path("round/mine/", sounds.mine, name="mine"),
    path("day/<int:trackday_id>/rounds/<int:user_id>/", views.round_of, name="round"),
    path("day/<int:trackday_id>/rounds/<int:user_id>/then/", views.then, name="round-then"),
    path("day/<int:trackday_id>/rounds/<int:user_id>/pit-in/", pit_in.pit_in, name="pit-in"),
    path("day/<int:trackday_id>/rounds/tick/", views.tick, name="tick"),
]
