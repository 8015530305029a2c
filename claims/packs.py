"""Which rule packs this site has: those that come with it, the folder of the setting, the demo's.

They are read once a process. A pack with a mistake stops the start (system check `claims.E001`);
nothing is ever evaluated with half of the packs.
"""

from collections.abc import Iterable
from functools import cache, lru_cache
from pathlib import Path

from django.conf import settings

from claims.models import PartyPack
from claims.rules.loader import LoadedPack, PackError, load_folders, load_text
from claims.rules.reading import Problem

SHIPPED = Path(__file__).resolve().parent / "rules" / "packs"


def pack_folders() -> list[Path]:
    """Folders in the order in which a later one's pack takes the place of an earlier one's."""
    folders = [SHIPPED]
    if settings.RULE_PACKS_DIR:
        folders.append(Path(settings.RULE_PACKS_DIR))
    if settings.DEMO:
        folders.append(settings.BASE_DIR / "fixtures_demo" / "packs")
    return folders


@cache
def installed_packs() -> dict[str, LoadedPack]:
    """All packs by id. An invented one is only there in the demo.

    Raises: PackError naming every mistake.
    """
    folders = pack_folders()
    missing = [folder for folder in folders if not folder.is_dir()]
    if missing:
        raise PackError(
            Problem(str(folder), "", None, "is not a folder (setting RULE_PACKS_DIR)")
            for folder in missing
        )
    packs = load_folders(folders)
    invented = [each for each in packs.values() if each.pack.pack.invented]
    if invented and not settings.DEMO:
        raise PackError(
            Problem(each.file, "pack.invented", None, "is for the demo only") for each in invented
        )
    return packs


@lru_cache(maxsize=64)
def parsed(text: str, file: str) -> LoadedPack:
    """An uploaded pack; the same text is read once a process."""
    return load_text(text, file)


def packs_of(uploaded: Iterable[PartyPack]) -> dict[str, LoadedPack]:
    """The site's packs with a party's own in the place of those of the same id.

    An own file that can't be read any more, because a newer version asks for more, stands for no
    pack at all: sites that name it ask, and the pack it replaced doesn't come back unseen.
    """
    packs = dict(installed_packs())
    for row in uploaded:
        try:
            packs[row.pack_id] = parsed(row.text, f"{row.pack_id}.toml")
        except PackError:
            packs.pop(row.pack_id, None)
    return packs


def unread(uploaded: Iterable[PartyPack]) -> tuple[tuple[PartyPack, str], ...]:
    """A party's own files that can't be read any more, each with its first mistake."""
    found = []
    for row in uploaded:
        try:
            parsed(row.text, f"{row.pack_id}.toml")
        except PackError as error:
            found.append((row, str(error.problems[0])))
    return tuple(found)
