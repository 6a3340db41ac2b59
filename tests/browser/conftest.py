"""A real browser against a real server: Debian's Chromium, nothing from outside."""

import shutil

import pytest
from django.core.management import call_command

from shop.models import Shop, TaxSetting

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--no-first-run"]  # fmt: skip


def elsewhere(address):
    """Whether an address leads off this machine; the PDF viewer does not."""
    return address.startswith(("http", "ws")) and "://127.0.0.1:" not in address


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    return browser_type_launch_args | {"executable_path": CHROMIUM, "args": QUIET}


@pytest.fixture
def shop(live_server):
    """A shop set up as the first run leaves it, and told how it is taxed."""
    call_command("load_steels", verbosity=0)
    call_command("load_templates", verbosity=0)
    call_command("load_rates", verbosity=0)
    TaxSetting.objects.create(regime="standard", rate=20, valid_from="2026-01-01")
    Shop.objects.filter(pk=1).update(
        name="Test forge", address="Rainy Lane 5", extinguisher="by the door"
    )
    return live_server.url


@pytest.fixture
def watched(page):
    """Everything a page must not do: break its policy, ask elsewhere, fail."""
    seen = []
    page.on("pageerror", lambda error: seen.append(f"script: {error}"))
    page.on(
        "console",
        lambda said: (
            seen.append(said.text) if "Content Security" in said.text else None
        ),
    )
    page.on(
        "request",
        lambda asked: seen.append(asked.url) if elsewhere(asked.url) else None,
    )
    page.on(
        "response",
        lambda got: (
            seen.append(f"{got.status} {got.url}") if got.status >= 500 else None
        ),
    )
    return seen


@pytest.fixture
def at_work(page, shop, owner, watched):
    """The owner, logged in by hand, on the front page."""
    page.goto(shop)
    page.get_by_label("Name").fill("anvil")
    page.get_by_label("Password").fill("long enough word")
    page.keyboard.press("Enter")
    page.wait_for_url(f"{shop}/")
    yield page
    assert watched == []
