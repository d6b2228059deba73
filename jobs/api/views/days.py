from drf_spectacular.utils import extend_schema
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.trackday.models import Trackday
from jobs.worklist.selectors import day_read

from ..serializers.days import BoardOut, DayLine


class DaysView(APIView):
    @extend_schema(responses=DayLine(many=True))
    def get(self, request: Request) -> Response:
        """The hundred newest trackdays."""
        days = Trackday.objects.select_related("venue")[:100]
        return Response(DayLine(days, many=True).data)


class BoardView(APIView):
    @extend_schema(responses=BoardOut)
    def get(self, request: Request, pk: int) -> Response:
        """A whole day as it stands now: sessions as expected, every bike, its open tasks.

        Carries no money and no contacts.
        """
        trackday = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
        return Response(BoardOut(day_read(trackday)).data)
