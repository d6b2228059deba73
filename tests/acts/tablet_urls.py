"""The product's addresses and one more: a form that posts one act, as any surface has."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.urls import path

from jobs.acts.forms import READERS
from jobs.acts.web import act_from_form
from paddock.urls import urlpatterns as product

FORM = "tests:note"


def note_read(form):
    if not form.get("words"):
        raise ValidationError("Say something.")
    return {"words": form.get("words")}


READERS.setdefault(("tests_note", 1), note_read)


def note(request):
    try:
        act_from_form(request, kind="tests_note")
    except ValidationError:
        return HttpResponse("the page as it was filled in")
    return HttpResponse("the page as it now stands")


urlpatterns = [*product, path("tests/note/", note, name=FORM)]
