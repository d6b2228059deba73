"""Whose round an address names."""

from django.http import Http404
from django.utils.translation import gettext as _

from jobs.people.enums import CREW
from jobs.people.models import User


def crew_member(user_id: int) -> User:
    """Raises Http404 for whoever is not of the crew."""
    person = User.objects.filter(pk=user_id, role__in=CREW).first()
    if person is None:
        raise Http404(_("Nobody of the crew has this round."))
    return person
