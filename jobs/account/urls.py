from django.urls import path

from . import passkey_views, second_views, views

app_name = "account"
urlpatterns = [
    path("", views.home, name="home"),
    path("password/", views.OwnPasswordView.as_view(), name="password"),
    path("second-step/", second_views.second, name="second"),
    path("second-factor/", second_views.own, name="second-factor"),
    path("second-factor/off/", second_views.off, name="second-factor-off"),
    path("second-step/passkey/", second_views.second_key, name="second-key"),
    path("passkeys/", passkey_views.own, name="passkeys"),
    path("passkeys/new/", passkey_views.ask_new, name="passkey-new"),
    path("passkeys/<int:pk>/remove/", passkey_views.remove, name="passkey-remove"),
    path("sessions/<int:pk>/out/", views.session_out, name="session-out"),
    path("sessions/others-out/", views.others_out, name="others-out"),
    path("forgotten/", views.ForgottenView.as_view(), name="forgotten"),
    path("new-password/<str:uidb64>/<str:token>/", views.NewPasswordView.as_view(), name="reset"),
]
