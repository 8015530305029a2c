"""Keep what this program makes of the demo, so that later ones are compared with it.

    .venv/bin/python -m tests.commands.keep_state NAME

`kept/NAME` then holds the demo's record as a backup, with all that was worked out of it, and its
reports as files. To be run once for each release, before its tables or sums change.
"""

import os
import sys
import tempfile
from pathlib import Path

from tests.commands.test_old_backups import run

KEPT = Path(__file__).parent / "kept"
RECORD = "record.zip"
DAY = "2031-10-12"
REPORTS = {
    "trips.csv": "/trips/?export=csv",
    "gold.csv": "/gold/?export=csv",
    "gold_ledger.csv": "/gold/ledger/csv/?",
    "pay_sites.csv": "/pay/sites/csv/?",
}
FETCH = """
import sys
import django
django.setup()
from pathlib import Path
from django.conf import settings
from django.test import Client
from claims.models import User
settings.ALLOWED_HOSTS = ["*"]
client = Client()
client.force_login(User.objects.get(username="robin"))
for name, address in zip(sys.argv[2::2], sys.argv[3::2], strict=True):
    answer = client.get(address)
    assert answer.status_code == 200 and "csv" in answer["Content-Type"], (address, answer)
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    Path(sys.argv[1], name).write_bytes(content)
"""


def write_reports(into: Path, data: Path, url: str) -> None:
    """The reports of the demo's record in a database, as files."""
    words = [word for name, address in REPORTS.items() for word in (name, f"{address}&as_of={DAY}")]
    run(data, "-c", FETCH, str(into), *words, url=url)


def keep(name: str) -> None:
    """Load the demo into a database of its own, and keep its record and reports."""
    into = KEPT / name
    into.mkdir()
    os.environ["DEMO"] = "True"
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/demo.sqlite3"
        for words in (("migrate",), ("load_demo",), ("backup", str(into / RECORD))):
            run(Path(folder), "manage.py", *words, url=url)
        write_reports(into, Path(folder), url)


if __name__ == "__main__":
    keep(sys.argv[1])
