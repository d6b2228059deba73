from django.urls import path

from . import day_times, delays, evening, plan, printing, relief, tools, venue, views, work

urlpatterns = [
    path("day/", views.today, name="today"),
    path("day/<int:trackday_id>/", views.day, name="day"),
    path("day/<int:trackday_id>/mine/", views.choose, name="choose"),
    path("day/<int:trackday_id>/board/", views.fragment, name="day-fragment"),
    path("day/<int:trackday_id>/do/", views.do, name="do"),
    path("day/<int:trackday_id>/timetable/", tools.timetable, name="timetable"),
    path("day/<int:trackday_id>/plan/", plan.plan, name="plan"),
    path("day/<int:trackday_id>/relief/", relief.relief, name="relief"),
    path("day/<int:trackday_id>/delay/", delays.delay, name="delay"),
    path("day/<int:trackday_id>/conditions/", tools.conditions, name="conditions"),
    path("day/<int:trackday_id>/crew/", tools.crew, name="crew"),
    path("day/<int:trackday_id>/walk-up/", tools.walk_up, name="walk-up"),
    path("day/<int:trackday_id>/corners/", venue.corners, name="corners"),
    path("day/<int:trackday_id>/evening/", evening.evening, name="evening"),
    path("day/<int:trackday_id>/times/", day_times.day_times, name="day-times"),
    path("day/<int:trackday_id>/print/", printing.printed, name="print"),
    path("day/<int:trackday_id>/bikes/<int:entry_id>/", work.work, name="work"),
]
