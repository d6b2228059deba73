"""In which language somebody reads: their own choice, else the browser's."""

from collections.abc import Callable

from django.conf import settings
from django.forms import Select
from django.http import HttpRequest, HttpResponse
from django.utils import translation

from .models import Customer, User


class OwnLanguage:
    """Middleware, after the one of authentication: the choice of whoever is signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_args: object) -> None:
        user = request.user
        if user.is_authenticated and user.language in dict(settings.LANGUAGES):
            translation.activate(user.language)
            request.LANGUAGE_CODE = user.language


def language_choose(*, user: User, language: str) -> None:
    """Read in this language from now on; a customer is written to in it too."""
    user.language = language
    user.save(update_fields=["language"])
    Customer.objects.filter(user=user).update(language=language)


def language_select(none_says: object = None) -> Select:
    """A choice of the languages there are, each named in itself."""
    none = [] if none_says is None else [("", none_says)]
    return Select(choices=[*none, *settings.LANGUAGES])
