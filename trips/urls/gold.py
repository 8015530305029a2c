"""Addresses of weigh-ins, lots and prices."""

from django.urls import path

from trips.views import files, gold, lots, prices

urlpatterns = [
    path("gold/", gold.weighin_list, name="weighin_list"),
    path("trips/<int:pk>/weigh-ins/new/", gold.weighin_create, name="weighin_create"),
    path("weigh-ins/<int:pk>/", gold.weighin_detail, name="weighin_detail"),
    path("weigh-ins/<int:pk>/edit/", gold.weighin_edit, name="weighin_edit"),
    path("weigh-ins/<int:pk>/delete/", gold.weighin_delete, name="weighin_delete"),
    path("weigh-ins/<int:pk>/files/new/", files.weighin_files_create, name="weighin_files_create"),
    path("weigh-ins/<int:pk>/lots/new/", gold.lot_create, name="lot_create"),
    path("lots/<int:pk>/edit/", gold.lot_edit, name="lot_edit"),
    path("lots/<int:pk>/delete/", gold.lot_delete, name="lot_delete"),
    path("lots/<int:pk>/split/", lots.lot_split_start, name="lot_split_start"),
    path("gold/merged/new/", lots.merged_create, name="merged_create"),
    path("gold/merged/<int:pk>/", lots.merged_edit, name="merged_edit"),
    path("gold/merged/<int:pk>/split/", lots.merged_split_start, name="merged_split_start"),
    path("gold/merged/<int:pk>/apart/", lots.merged_delete, name="merged_delete"),
    path("prices/", prices.price_list, name="price_list"),
    path("prices/new/", prices.price_create, name="price_create"),
    path("prices/import/", prices.price_import, name="price_import"),
    path("prices/<int:pk>/edit/", prices.price_edit, name="price_edit"),
    path("prices/<int:pk>/delete/", prices.price_delete, name="price_delete"),
]
