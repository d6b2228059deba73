from django.urls import path
from drf_spectacular.views import SpectacularAPIView

from .views import acts, bikes, days, takeaway

app_name = "api"
urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(), name="schema"),
    path("acts/", acts.ActsView.as_view(), name="acts"),
    path("acts/kinds/", acts.KindsView.as_view(), name="kinds"),
    path("days/", days.DaysView.as_view(), name="days"),
    path("days/<int:pk>/board/", days.BoardView.as_view(), name="board"),
    path("bikes/", bikes.BikesView.as_view(), name="bikes"),
    path("bikes/<int:pk>/", bikes.BikeView.as_view(), name="bike"),
    path("bike-days/<int:pk>/", bikes.BikeDayView.as_view(), name="bike-day"),
    path("export/mine/", takeaway.MineView.as_view(), name="mine"),
    path("export/", takeaway.EverythingView.as_view(), name="everything"),
]
