"""Which languages a site offers: English, and whatever compiled catalogue lies in its folder."""

from collections.abc import Iterable
from pathlib import Path

SOURCE = ("en", "English")


def offered(folders: Iterable[Path]) -> list[tuple[str, str]]:
    """Code and English name of every language with a compiled catalogue, English first.

    A folder holds `<locale>/LC_MESSAGES/django.mo`, as gettext has it ("pt_BR" → "pt-br").
    """
    found: dict[str, str] = {}
    for folder in folders:
        for file in sorted(folder.glob("*/LC_MESSAGES/django.mo")):
            code = file.parts[-3].replace("_", "-").lower()
            if code != SOURCE[0]:
                found[code] = _name(file.parts[-3])
    return [SOURCE, *sorted(found.items())]


def _name(locale: str) -> str:
    from babel import Locale, UnknownLocaleError

    try:
        return Locale.parse(locale).get_display_name("en") or locale
    except (ValueError, UnknownLocaleError):
        return locale
