"""What a hosted site sends: cookies, headers and the way to HTTPS, as deployed."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ASK = """
import json
import django
django.setup()
from django.test import Client
plain = Client().get("/sign-in/", headers={"host": "ledger.example.org"})
sent = {"host": "ledger.example.org", "x-forwarded-proto": "https"}
answer = Client().get("/sign-in/", headers=sent)
strange = Client().get("/sign-in/", headers=sent | {"host": "elsewhere.example.org"})
print(json.dumps({
    "plain": [plain.status_code, plain.get("Location")],
    "status": answer.status_code,
    "strange": strange.status_code,
    "headers": dict(answer.headers),
    "cookies": {n: {k: m[k] for k in ("secure", "samesite")} for n, m in answer.cookies.items()},
}))
from django.conf import settings
print(json.dumps([settings.SESSION_COOKIE_SECURE, settings.SESSION_COOKIE_HTTPONLY,
                  settings.SESSION_COOKIE_SAMESITE, settings.DEBUG,
                  settings.TASKS["default"]["BACKEND"]]))
"""


def test_cookies_headers_and_the_way_to_https(tmp_path):
    env = {
        **os.environ,
        "DATA_DIR": str(tmp_path),
        "DATABASE_URL": f"sqlite:///{tmp_path}/ledger.sqlite3",
        "DJANGO_SETTINGS_MODULE": "trips.project.settings",
        "HTTPS": "True",
        "ALLOWED_HOSTS": "ledger.example.org",
        "BACKGROUND": "worker",
    }
    done = subprocess.run(
        [sys.executable, "-c", ASK], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    said, kept = (json.loads(line) for line in done.stdout.splitlines()[-2:])
    assert said["plain"] == [301, "https://ledger.example.org/sign-in/"]
    assert (said["status"], said["strange"]) == (200, 400)
    headers = said["headers"]
    assert headers["Strict-Transport-Security"].startswith("max-age=31536000")
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert said["cookies"] == {"csrf": {"secure": True, "samesite": "Lax"}}
    assert kept == [True, True, "Lax", False, "django_tasks_db.DatabaseBackend"]


def test_postgresql_is_told_that_looking_up_a_row_is_cheap(tmp_path):
    def options(address):
        code = "from django.conf import settings; print(settings.DATABASES['default']['OPTIONS'])"
        env = {
            **os.environ,
            "DATA_DIR": str(tmp_path),
            "DATABASE_URL": address,
            "DJANGO_SETTINGS_MODULE": "trips.project.settings",
        }
        asked = [sys.executable, "-c", code]
        return subprocess.run(
            asked, cwd=ROOT, env=env, capture_output=True, text=True, check=True
        ).stdout.strip()

    assert options("postgres://a:b@host/c") == "{'options': '-c random_page_cost=1.1'}"
    # A pool in between that takes no options.
    assert options("postgres://a:b@host/c?options=%20") == "{'options': ' '}"
    assert "PRAGMA" in options(f"sqlite:///{tmp_path}/ledger.sqlite3")
