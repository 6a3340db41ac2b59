"""The bootstrap: what it installs, when it does not, and what it says instead."""

import importlib.util
import re
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def manage(monkeypatch, tmp_path):
    spec = importlib.util.spec_from_file_location("bootstrap", ROOT / "manage.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(module, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(module, "PYTHON", tmp_path / ".venv" / "bin" / "python")
    monkeypatch.setattr(module, "STAMP", tmp_path / ".venv" / "stamp")
    return module


@pytest.fixture
def calls(manage, monkeypatch):
    """Commands the bootstrap would have run; making the environment is pretended."""
    made = []

    def run(command, **options):
        made.append(command)
        if "venv" in command:
            manage.PYTHON.parent.mkdir(parents=True)
            manage.PYTHON.touch()
        return manage.subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(manage.subprocess, "run", run)
    monkeypatch.setattr(manage.shutil, "which", lambda name: None)
    return made


def pins():
    lines = (ROOT / ".ci" / "pins.txt").read_text("utf-8").splitlines()
    return dict(line.split("==") for line in lines if "==" in line)


def requirements(manage):
    groups = ["postgres", "test", "browser", "dev"]
    wanted = [Requirement(line) for line in manage.wanted_packages(groups)]
    return [one for one in wanted if one.marker is None or one.marker.evaluate()]


def test_every_package_is_pinned_within_its_range(manage):
    exact = {re.sub(r"[-_.]+", "-", name).lower(): v for name, v in pins().items()}
    for wanted in requirements(manage):
        name = re.sub(r"[-_.]+", "-", wanted.name).lower()
        assert name in exact, f"{wanted.name} has no pin"
        assert exact[name] in wanted.specifier, f"{wanted} is pinned to {exact[name]}"


def test_second_start_installs_nothing(manage, calls):
    manage.install_packages([])
    assert [part for command in calls for part in command].count("install") == 1
    calls.clear()
    manage.install_packages([])
    assert calls == []


def test_more_packages_are_installed_when_the_tests_need_them(manage, calls):
    manage.install_packages([])
    calls.clear()
    manage.install_packages(["test"])
    assert any("pytest" in part for command in calls for part in command)


def test_environment_is_made_without_pip_and_filled_with_wheels_only(manage, calls):
    """Debian's Python has no ensurepip, and a bare machine has no compiler."""
    manage.install_packages([])
    assert any("--without-pip" in command for command in calls)
    assert all(":all:" in command for command in calls if "install" in command)


def test_missing_library_is_named_where_nothing_may_be_installed(
    manage, calls, monkeypatch, capsys
):
    monkeypatch.setenv("HAMMERSCALE_NO_APT", "1")
    monkeypatch.setattr(manage, "missing_libraries", lambda: ["libpango-1.0-0"])
    monkeypatch.setattr(manage.shutil, "which", lambda name: "/usr/bin/apt-get")
    manage.install_libraries()
    assert "sudo apt-get install" in capsys.readouterr().err
    assert not any("apt-get" in command for command in calls)


def test_python_without_pip_is_told_what_to_type(manage, monkeypatch):
    monkeypatch.setattr(manage.shutil, "which", lambda name: None)
    monkeypatch.setattr(
        manage.subprocess,
        "run",
        lambda command, **options: manage.subprocess.CompletedProcess(command, 1),
    )
    with pytest.raises(SystemExit, match="python3-pip"):
        manage.installer()


@pytest.mark.parametrize(
    ("command", "url", "groups"),
    [
        ("open", "", []),
        ("test", "", ["test"]),
        ("test", "postgres://forge/shop", ["test", "postgres"]),
    ],
)
def test_each_command_gets_its_packages(manage, monkeypatch, command, url, groups):
    monkeypatch.setenv("HAMMERSCALE_DATABASE_URL", url)
    assert manage.wanted_groups(command) == groups
