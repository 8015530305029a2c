"""Rule packs and own rules."""

from django.urls import path

from claims.views import rules

urlpatterns = [
    path("rules/", rules.rule_list, name="rule_list"),
    path("rules/new/", rules.rule_create, name="rule_create"),
    path("rules/<int:pk>/edit/", rules.rule_edit, name="rule_edit"),
    path("rules/<int:pk>/delete/", rules.rule_delete, name="rule_delete"),
    path("rules/packs/new/", rules.pack_create, name="pack_create"),
    path("rules/packs/<int:pk>/file/", rules.pack_file, name="pack_file"),
    path("rules/packs/<int:pk>/remove/", rules.pack_remove, name="pack_remove"),
    path("rules/packs/show/<str:pack_id>/", rules.pack_detail, name="pack_detail"),
    path("sites/<int:pk>/rules/", rules.site_rules_edit, name="site_rules_edit"),
]
