"""Duties, ground restored, the month page and the calendar's secret address."""

from django.urls import path

from claims.views import calendar, duties, files, restored

urlpatterns = [
    path("holes/ground/", restored.ground_page, name="ground_page"),
    path("duties/", duties.duty_list, name="duty_list"),
    path("duties/new/", duties.duty_create, name="duty_create"),
    path("duties/<int:pk>/", duties.duty_detail, name="duty_detail"),
    path("duties/<int:pk>/edit/", duties.duty_edit, name="duty_edit"),
    path("duties/<int:pk>/delete/", duties.duty_delete, name="duty_delete"),
    path("duties/<int:pk>/settle/", duties.duty_settle, name="duty_settle"),
    path("settled/<int:pk>/undo/", duties.settled_delete, name="settled_delete"),
    path("settled/<int:pk>/files/new/", files.settled_files_create, name="settled_files_create"),
    path("calendar/", calendar.month_page, name="month_page"),
    path("calendar/address/", calendar.calendar_address, name="calendar_address"),
    path("calendar/address/new/", calendar.address_create, name="address_create"),
    path("calendar/address/withdraw/", calendar.address_revoke, name="address_revoke"),
    path("calendar/<str:token>.ics", calendar.calendar_feed, name="calendar_feed"),
]
