"""Texts of pages and code: take them out, bring translations up to date, make them usable."""

from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError


class Command(BaseCommand):
    help = (
        "Translate the site: `texts update fr` makes or refreshes fr/LC_MESSAGES/django.po in "
        "CATALOGUES_DIR, `texts compile` makes the .mo that the site reads, `texts extract FILE` "
        "writes the empty catalogue, `texts pseudo` makes two languages that nobody speaks, to "
        "look for texts that aren't marked and pages that break."
    )

    def add_arguments(self, parser):
        parser.add_argument("what", choices=("extract", "update", "compile", "pseudo"))
        parser.add_argument("which", nargs="?", default="", help="file, or language such as pt_BR")
        parser.add_argument("--folder", type=Path, help="otherwise CATALOGUES_DIR")

    def handle(self, *, what, which, folder, **options):
        from trips.project import pseudo, texts

        root = Path(settings.BASE_DIR)
        if what == "extract":
            if not which:
                raise CommandError("Name the file to write, e.g. `texts extract texts.pot`.")
            found = texts.template_catalogue(root)
            Path(which).write_bytes(texts.po_bytes(found))
            self.stdout.write(f"{len(found)} texts in {which}.")
            return
        folder = folder or (settings.LOCALE_PATHS[0] if settings.LOCALE_PATHS else None)
        if folder is None:
            raise CommandError("Name a folder: set CATALOGUES_DIR, or give --folder.")
        if what == "update":
            self._update(folder, which, texts)
        elif what == "compile":
            for path in texts.compile_folder(folder):
                self.stdout.write(f"{path}")
        else:
            found = texts.template_catalogue(root)
            texts.write_changed(folder, pseudo.LONGER, found, pseudo.longer)
            texts.write_changed(folder, pseudo.TURNED, found, pseudo.turned)
            self.stdout.write(f"{len(found)} texts as {pseudo.LONGER} and {pseudo.TURNED}.")

    def _update(self, folder, which, texts):
        from babel import Locale, UnknownLocaleError

        try:
            Locale.parse(which)
        except (ValueError, UnknownLocaleError) as error:
            raise CommandError(f"“{which}” is no language; write e.g. fr or pt_BR.") from error
        found = texts.template_catalogue(Path(settings.BASE_DIR))
        path, left = texts.update(folder, which, found)
        self.stdout.write(f"{path}: {left} of {len(found)} texts to translate.")
