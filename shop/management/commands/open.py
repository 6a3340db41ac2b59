"""Set the shop up, if it is not, and serve it."""

from __future__ import annotations

import os
import secrets
import sys
from argparse import ArgumentParser, ArgumentTypeError
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import connection

from shop.database import holds_shop

WORKERS = 2
PORTS = range(1024, 65536)
TIME_LIMIT = 90  # s; twenty photos on a small board take longest
REQUESTS_A_WORKER = 500  # WeasyPrint holds on to memory; a fresh worker does not


class Command(BaseCommand):
    help = "Set up what is missing and serve the shop: its own data, else the demo."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=port, default=8000)
        which = parser.add_mutually_exclusive_group()
        which.add_argument(
            "--own", action="store_true", help="begin or serve your own shop"
        )
        which.add_argument(
            "--demo", action="store_true", help="serve the invented demo shop"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        os.umask(0o077)  # databases hold customers and passwords' hashes
        demo = wants_demo(own=options["own"], demo=options["demo"])
        if demo != settings.DEMO:
            # Settings name the database, so the choice has to stand before they load.
            os.environ["HAMMERSCALE_DEMO"] = "yes" if demo else "no"
            os.execv(sys.executable, [sys.executable, *sys.argv])
        call_command("migrate", interactive=False, verbosity=0)
        call_command("load_steels", verbosity=0)
        call_command("load_templates", verbosity=0)
        call_command("load_rates", verbosity=0)
        self.greet(demo=demo, port=options["port"])
        connection.close()
        serve(options["port"])

    def greet(self, *, demo: bool, port: int) -> None:
        """Make the owner at the first run and say how to get in."""
        say = self.stdout.write
        if demo:
            call_command("demo", verbosity=0)
        users = get_user_model()._default_manager
        say(f"\nHammerscale at http://127.0.0.1:{port}")
        if demo:
            say(
                "This is the demo: an invented shop. "
                "Begin your own: python3 manage.py open --own"
            )
        if not users.filter(is_superuser=True).exists():
            word = secrets.token_urlsafe(12)
            users.create_superuser("owner", password=word)
            say(f"Log in as: owner\nFirst password (shown this once): {word}")
            say("Lost it? python3 manage.py changepassword owner")
        say("")
        self.stdout.flush()


def port(text: str) -> int:
    """Read a port an ordinary user may open, or say what one is."""
    if not (text.isascii() and text.isdigit() and int(text[:9]) in PORTS):
        raise ArgumentTypeError(f"a port lies between 1024 and 65535, not at {text!r}")
    return int(text)


def wants_demo(*, own: bool, demo: bool) -> bool:
    """Say which shop to serve: the one asked for, else its own if there is one."""
    if own or demo:
        return demo
    return not (
        os.environ.get("HAMMERSCALE_DATABASE_URL") or holds_shop(settings.SHOP_FILE)
    )


def serve(port: int) -> None:
    """Hand over to the server; does not return."""
    if os.name == "nt":
        from waitress import serve as waitress

        from shop.wsgi import application

        waitress(application, host="127.0.0.1", port=port)
        return
    arguments = [
        "-m", "gunicorn", "shop.wsgi:application", "--chdir", str(settings.BASE_DIR),
        "--bind", f"127.0.0.1:{port}", "--workers", str(WORKERS),
        "--max-requests", str(REQUESTS_A_WORKER), "--log-level", "warning",
        "--timeout", str(TIME_LIMIT),
    ]  # fmt: skip
    os.execv(sys.executable, [sys.executable, *arguments])
