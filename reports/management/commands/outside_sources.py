"""Write the list of what is checked against which outside source, from the marks of the tests."""

import json

from django.core.management import BaseCommand, CommandError

from reports.help.checked import FILE


class Command(BaseCommand):
    help = "Write what the tests are checked against into the file behind the page of help."

    def add_arguments(self, parser):
        parser.add_argument(
            "--check", action="store_true", help="only say whether the file is up to date"
        )

    def handle(self, *, check, **options):
        # The tests need more than the site does.
        from tests.outside_marks import outside_marks

        rooms = outside_marks()
        text = json.dumps(rooms, indent=1, ensure_ascii=False) + "\n"
        count = sum(len(room["checks"]) for room in rooms)
        if check:
            if FILE.read_text(encoding="utf-8") != text:
                raise CommandError("The list is out of date. Run: manage.py outside_sources")
            self.stdout.write(f"Up to date: {count} sources.")
            return
        FILE.write_text(text, encoding="utf-8")
        self.stdout.write(f"Wrote {count} sources to {FILE.name}.")
