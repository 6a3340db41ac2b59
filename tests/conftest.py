"""What all tests share: data kept out of the way, people with roles."""

import importlib.util
import os
import shutil
import tempfile

os.environ.setdefault(
    "HAMMERSCALE_DATA_DIR", tempfile.mkdtemp(prefix="hammerscale-test-")
)
os.environ.setdefault(
    "DJANGO_ALLOW_ASYNC_UNSAFE", "true"
)  # Playwright's loop is not ours

import pytest

import manage


@pytest.fixture(autouse=True)
def _own_folder_and_quick_passwords(settings, tmp_path):
    settings.PAPER_DIR = tmp_path / "papers"
    settings.PHOTO_DIR = tmp_path / "photos"
    # A safe hash takes a third of a second, at each login of each test.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def owner(django_user_model):
    return django_user_model.objects.create_superuser(
        "anvil", password="long enough word"
    )


@pytest.fixture
def helper(django_user_model):
    return django_user_model.objects.create_user("tongs", password="long enough word")


@pytest.fixture
def owner_client(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def helper_client(client, helper):
    client.force_login(helper)
    return client


def pytest_configure():
    """Have the translations ready, however the tests were started."""
    manage.compile_translations()


def pytest_ignore_collect(collection_path, config):
    """Leave the browser's tests out where there is none; the gate asks for them."""
    if collection_path.name != "browser" or os.environ.get("HAMMERSCALE_BROWSER"):
        return None
    there = importlib.util.find_spec("playwright") and shutil.which("chromium")
    return None if there else True
