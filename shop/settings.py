"""Every setting, in one file; HAMMERSCALE_* variables change them (see README).

Under the defaults a fresh checkout runs safely on this machine only.
"""

import os
import secrets
from pathlib import Path

from shop.database import from_url, sqlite

BASE_DIR = Path(__file__).resolve().parent.parent
YES_NO = {"yes": True, "no": False}  # a typing mistake stops the start


def env(name: str, default: str) -> str:
    """Return a setting from the environment."""
    return os.environ.get(f"HAMMERSCALE_{name}", default)


def secret_key() -> str:
    """Return the key from the environment, else from .data, made at first run."""
    if "HAMMERSCALE_SECRET_KEY" in os.environ:
        return os.environ["HAMMERSCALE_SECRET_KEY"]
    path = DATA_DIR / "secret-key"
    if not path.exists():
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(64))
    return path.read_text("utf-8")


DATA_DIR = Path(env("DATA_DIR", str(BASE_DIR / ".data")))
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
DEMO = YES_NO[env("DEMO", "no")]
PAPER_DIR = DATA_DIR / ("demo-papers" if DEMO else "papers")
PHOTO_DIR = DATA_DIR / ("demo-photos" if DEMO else "photos")
SHOP_FILE, DEMO_FILE = DATA_DIR / "shop.sqlite3", DATA_DIR / "demo.sqlite3"

SECRET_KEY = secret_key()
DEBUG = YES_NO[env("DEBUG", "no")]
HTTPS = YES_NO[env("HTTPS", "no")]
ALLOWED_HOSTS = env("HOSTS", "127.0.0.1,localhost,[::1]").split(",")
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if HTTPS else []

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_tables2",
    "billets",
    "shop",
    "quotes",
]
MIDDLEWARE = [
    "shop.middleware.security_headers",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "shop.middleware.shop_language",
    "shop.middleware.clean_query",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.context.shop",
            ]
        },
    }
]

FORM_RENDERER = "shop.renderer.ShopRenderer"

DATABASE_URL = "" if DEMO else env("DATABASE_URL", "")  # the demo is a file of its own
DATABASES = {
    "default": from_url(DATABASE_URL)
    if DATABASE_URL
    else sqlite(DEMO_FILE if DEMO else SHOP_FILE)
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL, LOGIN_REDIRECT_URL, LOGOUT_REDIRECT_URL = "login", "front", "login"
SESSION_COOKIE_AGE = 12 * 3600
SESSION_COOKIE_NAME = "__Host-session" if HTTPS else "hammerscale-session"
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "hammerscale-csrf"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
X_FRAME_OPTIONS = "DENY"
SECURE_CSP = (  # Django 6 knows this name; until then shop.middleware sends it
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'; object-src 'none'"
)

# Customers of the demo are invented: nobody is written to.
EMAIL_HOST = "" if DEMO else env("MAIL_HOST", "")
EMAIL_PORT = int(env("MAIL_PORT", "587"))
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = env("MAIL_USER", ""), env("MAIL_PASSWORD", "")
EMAIL_USE_TLS, EMAIL_USE_SSL = {
    "starttls": (True, False), "tls": (False, True), "no": (False, False),
}[env("MAIL_TLS", "starttls")]  # fmt: skip
EMAIL_TIMEOUT = 10
DEFAULT_FROM_EMAIL = env("MAIL_FROM", "")  # else the shop's own address
PAPER_YEARS = max(int(env("PAPER_YEARS", "8")), 1)

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [BASE_DIR / "shop" / "locale"]
TIME_ZONE = env("TIME_ZONE", "Europe/Berlin")
USE_TZ = True
USE_THOUSAND_SEPARATOR = False
# Off: files are served as they stand, so a fresh checkout needs no collecting step.
STATIC_URL, STATIC_ROOT = "/static/", None
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
FILE_UPLOAD_HANDLERS = [
    "shop.uploads.UploadGate",  # how many and how large, and where at all
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]
DATA_UPLOAD_MAX_NUMBER_FILES = 1_000  # the gate says in words what is too many
DJANGO_TABLES2_TEMPLATE = "tables/table.html"
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
