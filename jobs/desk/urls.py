from django.urls import path

from .views import customers, data, days, entries, house, imports

app_name = "desk"
urlpatterns = [
    path("", days.home, name="home"),
    path("days/new/", days.trackday_new, name="trackday-new"),
    path("days/<int:pk>/", days.trackday, name="trackday"),
    path("days/<int:pk>/room/", days.trackday_room, name="trackday-room"),
    path(
        "days/<int:pk>/room/<int:group>/<int:package>/",
        days.trackday_room_group,
        name="trackday-room-group",
    ),
    path("days/<int:pk>/staffing/", days.trackday_staffing, name="trackday-staffing"),
    path("days/<int:pk>/edit/", days.trackday_edit, name="trackday-edit"),
    path("days/<int:pk>/sessions/new/", days.session_new, name="session-new"),
    path("days/<int:pk>/entries/new/", entries.entry_new, name="entry-new"),
    path("days/<int:pk>/import/entries/", imports.import_entries, name="import-entries"),
    path("days/<int:pk>/import/timetable/", imports.import_timetable, name="import-timetable"),
    path("sessions/<int:pk>/", days.session_edit, name="session-edit"),
    path("entries/<int:pk>/", entries.entry_edit, name="entry-edit"),
    path("customers/", customers.customers, name="customers"),
    path("customers/new/", customers.customer_new, name="customer-new"),
    path("customers/<int:pk>/", customers.customer, name="customer"),
    path("customers/<int:pk>/edit/", customers.customer_edit, name="customer-edit"),
    path("customers/<int:pk>/link/", customers.customer_link, name="customer-link"),
    path(
        "customers/<int:pk>/links/withdraw/",
        customers.customer_links_withdraw,
        name="customer-links-withdraw",
    ),
    path("customers/<int:pk>/export/", data.of_customer, name="customer-export"),
    path("customers/<int:pk>/remove/", data.remove, name="customer-remove"),
    path("everything.zip", data.everything, name="everything"),
    path("riders/<int:pk>/", customers.rider_edit, name="rider-edit"),
    path("business/", house.business, name="business"),
    path("venues/new/", house.venue_new, name="venue-new"),
    path("venues/<int:pk>/", house.venue_edit, name="venue-edit"),
    path("crew/", house.crew, name="crew"),
    path("crew/new/", house.crew_new, name="crew-new"),
    path("crew/<int:pk>/", house.crew_edit, name="crew-edit"),
    path("devices/", house.devices, name="devices"),
    path("devices/<uuid:pk>/shut-out/", house.device_out, name="device-out"),
    path("mail/", house.mails, name="mails"),
    path("edits/", house.edits, name="edits"),
]
