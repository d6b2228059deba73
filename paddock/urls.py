"""Where everything answers. Who may open it: ``jobs/people/access.py``, by name."""

from django.conf import settings
from django.contrib.auth.views import LogoutView
from django.urls import include, path
from django.views.i18n import JavaScriptCatalog

from jobs.tablet import shell

from . import views

handler403 = "paddock.fault_pages.not_allowed"
handler404 = "paddock.fault_pages.not_found"
handler500 = "paddock.fault_pages.server_error"

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.SignInView.as_view(), name="signin"),
    path("sign-out/", LogoutView.as_view(), name="signout"),
    path("theme/", views.theme, name="theme"),
    path("language/", views.language, name="language"),
    path("favicon.ico", views.favicon, name="favicon"),
    path("live/<int:trackday_id>/", views.live, name="live"),
    path("words.js", JavaScriptCatalog.as_view(), name="javascript-catalog"),
    path("sw.js", shell.service_worker, name="service-worker"),
    path("manifest.webmanifest", shell.manifest, name="manifest"),
    path("account/", include("jobs.account.urls")),
    path("first/", include("jobs.first.urls")),
    path("tablet/", include("jobs.tablet.urls")),
    path("workbench/", include("jobs.workbench.urls")),
    path("", include("jobs.board.urls")),
    path("my/", include("jobs.portal.urls")),
    path("shared/", include("jobs.portal.public")),
    path("desk/", include("jobs.desk.urls")),
    path("desk/money/", include("jobs.desk.money.urls")),
    path("document/", include("jobs.desk.money.public")),
    path("api/", include("jobs.api.urls")),
    path("manual/", include("jobs.manual.urls")),
]
if settings.DEMO:
    urlpatterns.append(path("demo/", include("jobs.desk.demo.urls")))
