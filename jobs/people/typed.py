"""What a form or an address says of a row or of a page, from somebody who may say anything."""

from django.http import HttpRequest, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme

MOST_DIGITS = 18  # fewer than either database's largest id has; Python refuses thousands of them


def whole_number(text: str | None) -> int | None:
    """The number that the text is, such as a row's id. None: it is none, or one no row has."""
    return int(text) if text and text.isdecimal() and len(text) <= MOST_DIGITS else None


def redirect_within(
    request: HttpRequest, target: str, otherwise: str, *arguments: object
) -> HttpResponseRedirect:
    """To ``target`` where it is an address of this server, else to the view ``otherwise``.

    ``target`` is never taken for a view's name.
    """
    if url_has_allowed_host_and_scheme(target, {request.get_host()}, request.is_secure()):
        return HttpResponseRedirect(target)
    return HttpResponseRedirect(resolve_url(otherwise, *arguments))
