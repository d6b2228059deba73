from django.urls import path

from . import answers_while_typing, views

app_name = "workbench"
urlpatterns = [
    path("", views.home, name="home"),
    path("own-table/", views.own_table, name="table"),
    path("typed/<int:entry_id>/<slug:kind>/", answers_while_typing.on_sheet, name="typed"),
    path(
        "typed/<int:entry_id>/task/<int:item_id>/", answers_while_typing.on_round, name="typed-task"
    ),
    path("<slug:slug>/", views.page, name="page"),
    path("<slug:slug>/answer/", views.answer, name="answer"),
]
