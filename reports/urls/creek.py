"""At the creek: tables, verdicts, comparing, leaving, hindsight."""

from django.urls import path

from reports.views import creek

urlpatterns = [
    path("compare/", creek.compare, name="compare"),
    path("trips/<int:pk>/creek/", creek.creek_page, name="creek_page"),
    path("field-card.pdf", creek.blank_card, name="blank_card"),
    path("trips/<int:pk>/card.pdf", creek.field_card, name="field_card"),
    path("trips/<int:pk>/leave/", creek.leave_page, name="leave_page"),
    path("trips/<int:pk>/hindsight/", creek.hindsight_page, name="hindsight"),
    path("trips/<int:pk>/field-tables.json", creek.field_tables_file, name="field_tables"),
]
