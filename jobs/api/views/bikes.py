from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.garage.models import Bike
from jobs.people.models import User
from jobs.people.selectors import customers_of_user
from jobs.setups.selectors import (
    readings_of_entry,
    standings_of_bike,
    standings_of_day,
    stories_of_entry,
)
from jobs.trackday.models import Entry
from jobs.trackday.ownership import ownership_of_user

from ..serializers.bikes import BikeDayOut, BikeLine, BikeOut


def bikes_seen_by(user: User) -> QuerySet[Bike]:
    """A customer sees the bikes they have; who works here sees all."""
    if user.role == "customer":
        return Bike.objects.filter(owner__in=customers_of_user(user))
    return Bike.objects.all()


def entries_seen_by(user: User) -> QuerySet[Entry]:
    """Of a bike that was sold, a customer sees the days it was theirs."""
    entries = Entry.objects.all()
    if user.role == "customer":
        entries = entries.filter(ownership_of_user(user).whole_days())
    return entries.select_related("trackday__venue", "group", "rider", "bike").order_by(
        "-trackday__date", "-pk"
    )


class BikesView(APIView):
    @extend_schema(responses=BikeLine(many=True))
    def get(self, request: Request) -> Response:
        """Bikes the caller may see: a customer's own, or the thousand first of all."""
        return Response(BikeLine(bikes_seen_by(request.user)[:1000], many=True).data)  # type: ignore[arg-type]


class BikeView(APIView):
    @extend_schema(responses=BikeOut)
    def get(self, request: Request, pk: int) -> Response:
        """A bike, where every adjuster stands, and its days."""
        user: User = request.user  # type: ignore[assignment]
        bike = get_object_or_404(bikes_seen_by(user), pk=pk)
        days = entries_seen_by(user).filter(bike=bike)
        found = {"bike": bike, "stands": standings_of_bike(bike), "days": days}
        return Response(BikeOut(found).data)


class BikeDayView(APIView):
    @extend_schema(responses=BikeDayOut)
    def get(self, request: Request, pk: int) -> Response:
        """One day of one bike, by its entry: where it stood at the end, or stands while it runs."""
        user: User = request.user  # type: ignore[assignment]
        entry = get_object_or_404(entries_seen_by(user), pk=pk)
        found = {
            "entry": entry,
            "stands": standings_of_day(entry),
            "changes": stories_of_entry(entry),
            "readings": readings_of_entry(entry),
        }
        return Response(BikeDayOut(found).data)
