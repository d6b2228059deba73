from django.urls import path

from . import second_views, views

app_name = "account"
urlpatterns = [
    path("", views.home, name="home"),
    path("password/", views.OwnPasswordView.as_view(), name="password"),
    path("second-step/", second_views.second, name="second"),
    path("second-factor/", second_views.own, name="second-factor"),
    path("second-factor/off/", second_views.off, name="second-factor-off"),
    path("sessions/<int:pk>/out/", views.session_out, name="session-out"),
    path("sessions/others-out/", views.others_out, name="others-out"),
    path("forgotten/", views.ForgottenView.as_view(), name="forgotten"),
    path("new-password/<str:uidb64>/<str:token>/", views.NewPasswordView.as_view(), name="reset"),
]
