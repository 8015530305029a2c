"""One settings file, driven by the environment; README lists every variable."""

import datetime as dt
import os
from pathlib import Path

import dj_database_url

from trips.project import catalogues, env
from trips.project.secret import load_or_make
from trips.project.shared_files import files_storage
from trips.project.tiles import image_source, tile_settings

BASE_DIR = Path(__file__).resolve().parents[2]
DATA_DIR = Path(os.environ.get("DATA_DIR", BASE_DIR / ".data"))
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)

DEBUG = env.boolean("DEBUG", False)
HTTPS = env.boolean("HTTPS", False)
SIGN_UP = env.boolean("SIGN_UP", True)
DEMO = env.boolean("DEMO", False)
# The demo tells its story for one day, whatever the calendar says; a record of one's own doesn't.
TOLD_FOR = env.day("DEMO_AS_OF", "2031-10-12") if DEMO else None
# Packs of one's own; a pack of the same id takes the place of the one that comes with the site.
RULE_PACKS_DIR = os.environ.get("RULE_PACKS_DIR", "")
PAGE_SIZE = env.choice("PAGE_SIZE", "A4", ("A4", "LETTER"))
SECRET_KEY = os.environ.get("SECRET_KEY") or load_or_make(DATA_DIR / "secret_key")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS", "")

INSTALLED_APPS = [
    "reports.apps.ReportsConfig",
    "trips.apps.TripsConfig",
    "claims.apps.ClaimsConfig",
    "django_tables2",
    "axes",
    "simple_history",
    "django_tasks",
    "django_tasks_db",
    # Its templates of inputs; FORM_RENDERER looks for them among the others.
    "django.forms",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "trips.project.headers.content_security_policy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "claims.middleware.current_party",
    "claims.middleware.for_one_person",
    "claims.middleware.OwnManner",
    "claims.middleware.TwoSavedAtOnce",
    "claims.not_saved.NotSaved",
    "claims.refusals.plain_refusals",
    "simple_history.middleware.HistoryRequestMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "trips.project.urls"
WSGI_APPLICATION = "trips.project.wsgi.application"
APPEND_SLASH = True

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "claims.context.party_and_day",
            ],
        },
    },
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
DJANGO_TABLES2_TEMPLATE = "django_tables2/ledger.html"

DATABASES = {
    "default": dj_database_url.config(
        default=f"sqlite:///{DATA_DIR / 'ledger.sqlite3'}", conn_max_age=60
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # WAL with synchronous=FULL: an acknowledged save survives a killed process and a power cut.
    # IMMEDIATE: writers queue instead of failing when two of them meet.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-16000;"
        ),
    }
else:
    # PostgreSQL's own 4 is for disks that turn. With it, in a club, it reads the trips of all
    # parties from end to end rather than look up those of one.
    DATABASES["default"].setdefault("OPTIONS", {}).setdefault("options", "-c random_page_cost=1.1")

# Large imports and long files: at once inside the request that asks (a laptop), or by another
# process, `manage.py db_worker`, that takes them from a table.
BACKGROUND = env.choice("BACKGROUND", "inline", ("inline", "worker"))
TASKS = {
    "default": {
        "BACKEND": {
            "inline": "django_tasks.backends.immediate.ImmediateBackend",
            "worker": "django_tasks_db.DatabaseBackend",
        }[BACKGROUND]
    }
}

AUTH_USER_MODEL = "claims.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "claims.sign_in.WithMemberships",
]
# Five wrong passwords for one name from one address, then nobody gets in by that pair for a
# while, with the right one neither: guessing must not learn that it was right. Another address
# of the same person is let in, so nobody can be locked out of their record from afar. What else
# is counted stands in `claims/guesses.py`.
AXES_FAILURE_LIMIT = 5
AXES_LOCKOUT_PARAMETERS = "claims.guesses.lockout_parameters"
AXES_HANDLER = "claims.guesses.GuessHandler"
AXES_COOLOFF_TIME = dt.timedelta(minutes=15)
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_CALLABLE = "claims.views.people.locked_out"
AXES_CLIENT_IP_CALLABLE = "trips.project.proxy.client_address"
# Each wrong password for an hour, to count them by address over all names.
AXES_ENABLE_ACCESS_FAILURE_LOG = True
WRONG_PASSWORDS_PER_ADDRESS = env.whole_number("WRONG_PASSWORDS_PER_ADDRESS", 50, 10, 100_000)
AXES_DISABLE_ACCESS_LOG = True
AXES_VERBOSE = False
PROXIES = env.whole_number("PROXIES", 0, 0, 5)
PASSWORD_RESET_TIMEOUT = 24 * 60 * 60
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "login"
CSRF_FAILURE_VIEW = "claims.refusals.csrf_failure"
LOGIN_REDIRECT_URL = "reports:where_next"
LOGOUT_REDIRECT_URL = "login"

LANGUAGE_CODE = "en"
# English stands in the code; a language is offered as soon as a folder here has its catalogue.
CATALOGUES_DIR = os.environ.get("CATALOGUES_DIR", "")
LOCALE_PATHS = [Path(CATALOGUES_DIR)] if CATALOGUES_DIR else []
LANGUAGES = catalogues.offered(LOCALE_PATHS)
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
FORMAT_MODULE_PATH = ["trips.project.formats"]

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
# Without `collectstatic` (laptop, demo, tests) the files are served from where they lie.
COLLECTED = (STATIC_ROOT / "staticfiles.json").exists()
WHITENOISE_USE_FINDERS = not COLLECTED
WHITENOISE_AUTOREFRESH = not COLLECTED
STORAGES = {
    "default": files_storage(),
    "staticfiles": {
        "BACKEND": (
            "whitenoise.storage.CompressedManifestStaticFilesStorage"
            if COLLECTED
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        )
    },
}
MEDIA_ROOT = DATA_DIR / "media"
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000
FILE_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

# Maps ask nobody for tiles unless an address is set; its host alone then joins the policy.
TILES = tile_settings()
TILE_URL = TILES.url
TILE_ATTRIBUTION = TILES.attribution
TILE_ATTRIBUTION_URL = TILES.attribution_url

SECURE_CSP = {
    "default-src": ["'self'"],
    "img-src": ["'self'", "data:", *image_source(TILE_URL)],
    "object-src": ["'none'"],
    "base-uri": ["'none'"],
    "form-action": ["'self'"],
    "frame-ancestors": ["'none'"],
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
# Demo and own record may run side by side on one host, which shares its cookies over ports.
SESSION_COOKIE_NAME = "demo_session" if DEMO else "session"
CSRF_COOKIE_NAME = "demo_csrf" if DEMO else "csrf"
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
