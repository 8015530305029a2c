"""Who is signed in, together with the parties that this person is in."""

from django.contrib.auth.backends import ModelBackend

from claims.joined import joined
from claims.models import User


class WithMemberships(ModelBackend):
    """Name and password; every request then asks once for the person and their parties."""

    def get_user(self, user_id):
        """The user, if there still is one who may come in, with memberships and their parties."""
        for user in joined(User.objects.filter(pk=user_id), "memberships", "party"):
            return user if self.user_can_authenticate(user) else None
        return None
