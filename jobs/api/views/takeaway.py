from typing import Any

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.views import APIView

from jobs.acts.takeaway import business_takeaway, customer_takeaway
from jobs.people.models import Customer, User

ZIP = {(200, "application/zip"): OpenApiTypes.BINARY}


class MineView(APIView):
    @extend_schema(responses=ZIP)
    def get(self, request: Request) -> FileResponse:
        """Everything kept about the calling customer: a Data Package of CSV tables."""
        customer = get_object_or_404(Customer, user=request.user)
        return _zip(customer_takeaway(customer=customer, by=_user(request)))


class EverythingView(APIView):
    @extend_schema(responses=ZIP)
    def get(self, request: Request) -> FileResponse:
        """Every table of this installation: a Data Package of CSV tables, photos, documents."""
        return _zip(business_takeaway(by=_user(request)))


def _zip(file: Any) -> FileResponse:
    return FileResponse(file, as_attachment=True, content_type="application/zip")


def _user(request: Request) -> User:
    """The caller; the access table let nobody else in."""
    assert isinstance(request.user, User)
    return request.user
