"""Take the pictures of README from the demo, so that they show the pages as they are."""

import io
import os
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from trips.demo.story import PASSWORD
from trips.management.commands.demo import USERNAME
from trips.management.commands.test import HOW_TO_GET_ONE, find_browser

FOLDER = Path(settings.BASE_DIR) / ".pictures"
DESK, PHONE = (1280, 860), (390, 844)
MOST_BYTES = 120_000
ADDRESS = re.compile(r"Gravel Ledger is at (http://\S+)")
FIRST_TRIP = re.compile(r'href="(/trips/\d+/)"')
FLAGS = ("--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking")


@dataclass(frozen=True)
class Picture:
    """One picture; `trip` in the path stands for the newest trip, `place` is scrolled to."""

    name: str
    path: str
    about: str
    size: tuple[int, int] = DESK
    dark: bool = False
    place: str = ""

    @property
    def file(self) -> str:
        return f"{self.name}.webp"


PICTURES = (
    Picture("where-next", "/", "Where next: sites in order, each with its range"),
    Picture("trip", "trip", "A planned trip: what to settle first, what it costs"),
    Picture("does-it-pay", "/pay/", "Does it pay: a season against its costs"),
    Picture(
        "creek",
        "trip/creek/",
        "At the creek: pan, dig or move",
        PHONE,
        place="section[aria-labelledby^=site-]",
    ),
    Picture("where-next-phone", "/", "Where next on a phone, dark", PHONE, True),
    Picture("help", "/help/stopping/", "Help with a worked example", PHONE, False, "#example-1"),
)


class Command(BaseCommand):
    help = "Take the pictures of README from a fresh demo, with Chromium."

    def handle(self, **options):
        browser = find_browser()
        if browser is None:
            raise CommandError(HOW_TO_GET_ONE)
        FOLDER.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory() as home:
            server, address = serve_demo(home)
            try:
                for picture, content in take(browser, address):
                    (FOLDER / picture.file).write_bytes(content)
                    self.stdout.write(f"{picture.file}: {len(content):,} bytes")
            finally:
                server.terminate()
                server.wait()
        for path in FOLDER.iterdir():
            if path.name not in {picture.file for picture in PICTURES}:
                path.unlink()


def serve_demo(home: str):
    """A fresh demo in a folder of its own, and where it is; the caller ends it."""
    environ = {**os.environ, "DATA_DIR": home, "LEDGER_NO_BOOTSTRAP": "1"}
    environ.pop("DATABASE_URL", None)
    server = subprocess.Popen(
        [sys.executable, "-u", "manage.py", "demo", "--no-browser", "--fresh"],
        cwd=settings.BASE_DIR,
        env=environ,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    said = []
    for line in server.stdout:
        said.append(line)
        if found := ADDRESS.search(line):
            return server, found[1].rstrip("/")
    server.wait()
    raise CommandError("The demo didn't start. It said: " + "".join(said)[-500:])


def take(browser_path: str, address: str):
    """Each picture with its bytes."""
    from playwright.sync_api import sync_playwright

    flags = list(FLAGS)
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        flags.append("--no-sandbox")  # its sandbox refuses to start as root
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_path, args=flags)
        for picture in PICTURES:
            width, height = picture.size
            context = browser.new_context(
                base_url=address,
                viewport={"width": width, "height": height},
                color_scheme="dark" if picture.dark else "light",
                reduced_motion="reduce",
                locale="en-GB",
            )
            page = context.new_page()
            page.goto("/sign-in/")
            page.fill("input[name=username]", USERNAME)
            page.fill("input[name=password]", PASSWORD)
            page.press("input[name=password]", "Enter")
            page.wait_for_url(f"{address}/")
            page.goto(path_of(page, picture))
            if picture.place:
                page.eval_on_selector(picture.place, "element => element.scrollIntoView()")
            yield picture, as_webp(page.screenshot())
            context.close()
        browser.close()


def path_of(page, picture: Picture) -> str:
    """The address of the page; the newest trip is looked up in the list of trips."""
    if not picture.path.startswith("trip"):
        return picture.path
    page.goto("/trips/")
    return FIRST_TRIP.search(page.content())[1] + picture.path.removeprefix("trip").lstrip("/")


def as_webp(png: bytes) -> bytes:
    """The picture as WebP, as good as the limit of bytes lets it be."""
    from PIL import Image

    with Image.open(io.BytesIO(png)) as image:
        for quality in (85, 75, 65, 50):
            out = io.BytesIO()
            image.convert("RGB").save(out, "WEBP", quality=quality, method=6)
            if out.tell() <= MOST_BYTES:
                break
    return out.getvalue()
