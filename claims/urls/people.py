"""Log-ins, the party, its people and invitations."""

from django.urls import path

from claims.views import changes, party, people

urlpatterns = [
    path("sign-up/", people.sign_up, name="sign_up"),
    path("my-settings/", people.own_settings, name="own_settings"),
    path("my-settings/password/", people.password_change, name="password_change"),
    path("party/", party.party_detail, name="party_detail"),
    path("party/new/", party.party_create, name="party_create"),
    path("party/edit/", party.party_edit, name="party_edit"),
    path("party/switch/", party.party_switch, name="party_switch"),
    path("people/new/", party.person_create, name="person_create"),
    path("people/<int:pk>/edit/", party.person_edit, name="person_edit"),
    path("members/<int:pk>/edit/", party.member_edit, name="member_edit"),
    path("members/<int:pk>/remove/", party.member_remove, name="member_remove"),
    path("invitations/new/", party.invitation_create, name="invitation_create"),
    path("invitations/<int:pk>/revoke/", party.invitation_revoke, name="invitation_revoke"),
    path("changes/<slug:kind>/<int:pk>/", changes.changes, name="changes"),
    path("deleted/", changes.deleted_list, name="deleted_list"),
    path("deleted/<uuid:key>/back/", changes.deleted_bring_back, name="deleted_bring_back"),
    path("join/<str:token>/", party.invitation_accept, name="invitation_accept"),
]
