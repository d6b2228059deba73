from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBadRequest,
    HttpResponseRedirect,
    JsonResponse,
)
from django.shortcuts import get_object_or_404, redirect
from django.templatetags.static import static
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from jobs.account.forms import SignInForm
from jobs.account.second_views import step_asked
from jobs.desk.demo.views import offered
from jobs.people import sign_in
from jobs.people.access import SignedIn
from jobs.people.languages import language_choose
from jobs.people.models import User
from jobs.people.open_sessions import enter
from jobs.people.setup_code import place_is_unset
from jobs.people.typed import redirect_within
from jobs.trackday.models import Trackday

from . import context

YEAR_S = 365 * 24 * 60 * 60


class SignInView(LoginView):
    template_name = "paddock/signin.html"
    form_class = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        user = form.get_user()
        assert isinstance(user, User)
        if asked := step_asked(self.request, user, self.get_success_url()):
            return asked
        enter(self.request, user)
        response: HttpResponse = HttpResponseRedirect(self.get_success_url())
        sign_in.remember(self.request, response, user)
        return response

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        response = super().form_invalid(form)
        if isinstance(form, SignInForm) and form.wait_s:
            response.status_code = HTTPStatus.TOO_MANY_REQUESTS
            response.headers["Retry-After"] = str(form.wait_s)
        return response

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            place_is_unset=not settings.DEMO and place_is_unset(), demo=offered(), **kwargs
        )


def home(request: SignedIn) -> HttpResponse:
    """Everybody's own first page: the first place in the bar of their role."""
    places = context.places(request)
    if not places:
        raise Http404
    return redirect(places[0]["url"])


@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """Keep the chosen language, of the person or else of the browser, and go back."""
    chosen = request.POST.get("language", "")
    if chosen not in dict(settings.LANGUAGES):
        return HttpResponseBadRequest(_("There is no such language here."))
    if isinstance(request.user, User):
        language_choose(user=request.user, language=chosen)
    response = redirect_within(request, request.POST.get("next", ""), "/")
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME, chosen, max_age=YEAR_S, samesite="Lax",
        secure=request.is_secure(),
    )  # fmt: skip
    return response


@require_POST
def theme(request: HttpRequest) -> HttpResponse:
    """Keep the chosen theme in this browser and go back to where it was chosen."""
    chosen = request.POST.get("theme", "")
    if chosen not in context.THEMES:
        return HttpResponseBadRequest(_("There is no such theme."))
    response = redirect_within(request, request.POST.get("next", ""), "/")
    response.set_cookie("theme", chosen, max_age=YEAR_S, samesite="Lax", secure=request.is_secure())
    return response


@require_GET
def favicon(request: HttpRequest) -> HttpResponse:
    """For whatever asks for one unprompted (a PDF, a JSON answer): pages name the icon itself."""
    return redirect(static("paddock/icon.svg"))


def live(request: SignedIn, trackday_id: int) -> HttpResponse:
    """Where a day stands, for a browser that cannot have the stream (see ``paddock/live.py``)."""
    trackday = get_object_or_404(Trackday.objects.only("revision"), pk=trackday_id)
    return JsonResponse({"revision": trackday.revision}, headers={"Cache-Control": "no-store"})
