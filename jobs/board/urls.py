"""The surfaces of the day: board, round, the bike at work, and its sheet."""

from django.urls import include, path

app_name = "board"
urlpatterns = [
    path("", include("jobs.board.day.urls")),
    path("", include("jobs.board.round.urls")),
    path("", include("jobs.board.sheet.urls")),
    path("", include("jobs.board.tags.urls")),
    path("", include("jobs.board.advice.urls")),
    path("", include("jobs.board.findings.urls")),
    path("", include("jobs.board.checklists.urls")),
]
