"""The product's addresses and one more: a form that posts one act, as any surface has."""

from django.http import HttpResponse
from django.urls import path

from jobs.acts.web import act_from_form
from paddock.urls import urlpatterns as product

FORM = "tests:note"


def note(request):
    words = request.POST.get("words", "")
    if not words:
        return HttpResponse('<p class="errorlist" role="alert">Say something.<br></p><p>more</p>')
    act_from_form(request, kind="tests_note", payload={"words": words})
    return HttpResponse("the page as it now stands")


urlpatterns = [*product, path("tests/note/", note, name=FORM)]
