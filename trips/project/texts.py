"""The texts of pages and code as gettext catalogues; Babel does it, without gettext's programs."""

import io
from collections.abc import Callable, Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from trips.project.languages import SCRIPT_WORDS

APPS = ("claims", "trips", "reports")
KEYWORDS: dict[str, tuple | None] = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "marked": None,
    "say": None,
    "several": (1, 2),
    "counted": (2, 3),
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}
# A pass over the texts of a message: singular and plural alike.
Change = Callable[[str], str]


def template_catalogue(root: Path) -> Catalog:
    """Every marked text of templates and code under `root`, with the files it stands in."""
    found = Catalog(project="Gravel Ledger", charset="utf-8", fuzzy=False)
    for path, source in _sources(root):
        name = path.relative_to(root).as_posix()
        method, keywords = ("python", KEYWORDS)
        if path.suffix == ".js":
            method, keywords = ("javascript", SCRIPT_WORDS)
        for line, message, comments, context in extract(
            method, io.BytesIO(source), keywords=keywords, comment_tags=["Translators:"]
        ):
            found.add(
                message,
                locations=[(name, line)],
                auto_comments=comments,
                context=context,
            )
    for name, label in _labels():
        found.add(label, locations=[(name, 0)])
    return found


def _labels() -> Iterator[tuple[str, str]]:
    """Labels that forms take from a field's name alone, each with its model or form."""
    from django.apps import apps
    from django.forms import BaseForm
    from django.forms.utils import pretty_name
    from django.urls import get_resolver
    from django.utils.functional import Promise
    from django.utils.text import capfirst

    for app in APPS:
        for model in apps.get_app_config(app).get_models():
            if model._meta.model_name.startswith("historical"):
                continue
            for field in model._meta.get_fields():
                words = getattr(field, "verbose_name", None)
                if words and not isinstance(words, Promise) and field.editable:
                    yield f"{app}/models/{model._meta.model_name}", capfirst(words)
    get_resolver().url_patterns  # noqa: B018 loads every form
    kinds = [BaseForm]
    while kinds:
        form = kinds.pop()
        kinds += form.__subclasses__()
        if form.__module__.partition(".")[0] in APPS:
            for name, field in getattr(form, "base_fields", {}).items():
                if not field.label:
                    yield form.__module__.replace(".", "/"), pretty_name(name)


def _sources(root: Path) -> Iterator[tuple[Path, bytes]]:
    """Python and the field page's scripts as they are, templates as Django makes Python of them."""
    from django.utils.translation.template import templatize

    for app in APPS:
        for path in sorted((root / app).rglob("*.py")):
            if not {"migrations", "demo", "commands"} & set(path.parts):
                yield path, path.read_bytes()
    for path in sorted((root / "trips" / "static" / "trips" / "field").rglob("*.js")):
        yield path, path.read_bytes()
    for path in sorted((root / "templates").rglob("*.html")):
        source = templatize(path.read_text(encoding="utf-8"), origin=str(path))
        # Django's marks of other tags are no names in Python 3 and only in the way.
        yield path, source.encode("utf-8")


def po_bytes(catalogue: Catalog) -> bytes:
    """A catalogue as text, without the day it was made: the same texts give the same bytes."""
    out = io.BytesIO()
    write_po(out, catalogue, width=0, sort_by_file=True, omit_header=False)
    kept = [
        line
        for line in out.getvalue().split(b"\n")
        if not line.startswith((b'"POT-Creation-Date', b'"PO-Revision-Date', b'"Generated-By'))
    ]
    return b"\n".join(kept)


def update(folder: Path, locale: str, source: Catalog) -> tuple[Path, int]:
    """Make or refresh one language's .po; its path and the number of texts still to translate."""
    path = folder / locale / "LC_MESSAGES" / "django.po"
    path.parent.mkdir(parents=True, exist_ok=True)
    catalogue = Catalog(locale=locale, project="Gravel Ledger", fuzzy=False)
    if path.exists():
        with path.open("rb") as file:
            catalogue = read_po(file, locale=locale)
    catalogue.update(source)
    path.write_bytes(po_bytes(catalogue))
    left = sum(1 for message in catalogue if message.id and (message.fuzzy or not message.string))
    return path, left


def compile_folder(folder: Path) -> list[Path]:
    """Write the .mo beside every .po; fuzzy translations are left out."""
    made = []
    for path in sorted(folder.glob("*/LC_MESSAGES/django.po")):
        with path.open("rb") as file:
            catalogue = read_po(file)
        out = path.with_suffix(".mo")
        with out.open("wb") as file:
            write_mo(file, catalogue)
        made.append(out)
    return made


def write_changed(folder: Path, locale: str, source: Catalog, change: Change) -> Path:
    """A compiled catalogue in which every text is changed by the same rule: for trying pages."""
    catalogue = Catalog(project="Gravel Ledger", fuzzy=False)
    for message in source:
        if not message.id:
            continue
        ids = message.id if isinstance(message.id, tuple) else (message.id,)
        said = tuple(change(text) for text in ids)
        one = said if isinstance(message.id, tuple) else said[0]
        catalogue.add(message.id, one, context=message.context)
    path = folder / locale / "LC_MESSAGES" / "django.mo"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        write_mo(file, catalogue)
    return path
