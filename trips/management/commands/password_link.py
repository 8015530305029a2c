"""For somebody who forgot their password: a link to set a new one, once, for a day."""

from django.contrib.auth import get_user_model
from django.contrib.auth.tokens import default_token_generator
from django.core.management import BaseCommand, CommandError
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode


class Command(BaseCommand):
    help = "Print the address where a person sets a new password; it works once and for a day."

    def add_arguments(self, parser):
        parser.add_argument("username", help="the name that the person signs in with")

    def handle(self, *, username, **options):
        user = get_user_model().objects.filter(username=username, is_active=True).first()
        if user is None:
            raise CommandError(f"Nobody signs in as {username!r}.")
        words = {
            "uidb64": urlsafe_base64_encode(force_bytes(user.pk)),
            "token": default_token_generator.make_token(user),
        }
        self.stdout.write(
            "Put the site's own address before it and hand it over on a safe way:\n"
            f"{reverse('new_password', kwargs=words)}"
        )
