from django.urls import path

from . import entrance, paper, sharing, views

app_name = "portal"
urlpatterns = [
    path("", views.home, name="home"),
    path("everything/", views.everything, name="everything"),
    path("open/<str:token>/", entrance.open_link, name="open"),
    path("link/", entrance.renew, name="renew"),
    path("others-out/", entrance.others_out, name="others-out"),
    path("bikes/<int:pk>/", views.bike, name="bike"),
    path("bikes/<int:pk>/days/", views.days, name="days"),
    path("bikes/<int:pk>/photos/", views.photos, name="photos"),
    path("photos/<uuid:pk>/", views.photo, name="photo"),
    path("everything.zip", views.download, name="download"),
    path("days/<int:pk>/", views.day, name="day"),
    path("days/<int:pk>/setup.pdf", paper.sheet, name="sheet"),
    path("days/<int:pk>/share/", sharing.share, name="share"),
    path("days/<int:pk>/unshare/", sharing.unshare, name="unshare"),
    path("documents/<int:pk>/", views.document, name="document"),
    path("documents/<int:pk>/pdf/", views.document_pdf, name="document-pdf"),
    path("logo.png", views.logo, name="logo"),
]
