#!/usr/bin/env python3
"""Set up Hammerscale on a bare machine and run its commands.

``python3 manage.py open`` and ``python3 manage.py test`` install what they need
(standard library only up to that point); every other command expects that one of
the two has run. Steps: system libraries for paper by apt where that is allowed, a
virtual environment without pip, packages as named in pyproject.toml and pinned in
.ci/pins.txt, a stamp so that the next start is immediate, then the same command
again inside the environment. Translations are compiled before any command, where
they have changed.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "hammerscale-stamp"
PINS = ROOT / ".ci" / "pins.txt"
LOCALES = ROOT / "shop" / "locale"

# The shared libraries WeasyPrint loads by name, and who provides them on Debian.
LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}
FONT = "fonts-dejavu-core"
HINTS = {
    "brew": "brew install pango",
    "dnf": "sudo dnf install pango dejavu-sans-fonts",
    "pacman": "sudo pacman -S pango ttf-dejavu",
    "apk": "sudo apk add pango fontconfig ttf-dejavu",
}


def say(text: str) -> None:
    """Tell the person at the terminal one thing."""
    print(f"hammerscale: {text}", file=sys.stderr, flush=True)


def missing_libraries() -> list[str]:
    """Return the Debian packages of the libraries that cannot be loaded."""
    missing = []
    for library, package in LIBRARIES.items():
        try:
            ctypes.CDLL(library)
        except OSError:
            missing.append(package)
    return missing


def install_libraries() -> None:
    """Install the libraries for PDF by apt if that is possible, else say how."""
    missing = missing_libraries() if sys.platform.startswith("linux") else []
    if not missing:
        return
    wanted = [*missing, FONT]
    by_hand = "sudo apt-get install --no-install-recommends " + " ".join(wanted)
    if not shutil.which("apt-get"):
        hint = next((HINTS[name] for name in HINTS if shutil.which(name)), None)
        say(f"PDF papers need Pango; type: {hint or 'your system’s Pango package'}")
        return
    as_root = [] if os.geteuid() == 0 else ["sudo", "-n"]
    allowed = not as_root or may_sudo()
    if os.environ.get("HAMMERSCALE_NO_APT") == "1" or not allowed:
        say(f"PDF papers need Pango; type: {by_hand} (pages work without it)")
        return
    say("installing for PDF papers: " + " ".join(wanted))
    install = ["install", "-y", "-qq", "--no-install-recommends", *wanted]
    apt_get(as_root, ["update", "-qq"])
    if apt_get(as_root, install):
        say(f"that did not work; pages run without PDF. By hand: {by_hand}")


def apt_get(as_root: list[str], arguments: list[str]) -> int:
    """Run apt-get without questions and return its exit status."""
    silent = ["env", "DEBIAN_FRONTEND=noninteractive"]
    command = [*as_root, *silent, "apt-get", *arguments]
    return subprocess.run(command, check=False, stdout=subprocess.DEVNULL).returncode


def may_sudo() -> bool:
    """Say whether sudo works here without asking for a password."""
    if not shutil.which("sudo"):
        return False
    return (
        subprocess.run(
            ["sudo", "-n", "true"], check=False, capture_output=True
        ).returncode
        == 0
    )


def wanted_packages(groups: list[str]) -> list[str]:
    """Return the requirement lines of pyproject.toml for the named extras."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    wanted = list(project["dependencies"])
    for group in groups:
        wanted += project["optional-dependencies"][group]
    return wanted


def install_packages(groups: list[str]) -> None:
    """Make .venv hold the wanted packages; a stamp makes the next time immediate."""
    wanted = wanted_packages(groups)
    pins = PINS.read_text("utf-8")
    fresh = hashlib.sha256("\n".join([*wanted, pins, sys.version]).encode()).hexdigest()
    done = STAMP.read_text("utf-8").split() if STAMP.exists() else []
    if fresh in done and PYTHON.exists():
        return
    if not PYTHON.exists():
        say(f"making an environment in {VENV.name}")
        subprocess.run(
            [sys.executable, "-m", "venv", "--without-pip", str(VENV)], check=True
        )
    say("installing packages (once)")
    subprocess.run([*installer(), "--constraint", str(PINS), *wanted], check=True)
    STAMP.write_text("\n".join([*done, fresh]), "utf-8")


def installer() -> list[str]:
    """Return the command that installs wheels into .venv: uv if there, else pip."""
    if shutil.which("uv"):
        return [
            "uv",
            "pip",
            "install",
            "--quiet",
            "--only-binary",
            ":all:",
            "--python",
            str(PYTHON),
        ]
    if subprocess.run(
        [sys.executable, "-m", "pip", "--version"], check=False, capture_output=True
    ).returncode:
        sys.exit(
            "hammerscale: this Python has no pip; "
            "type: sudo apt-get install python3-pip"
        )
    return [
        sys.executable, "-m", "pip", "--python", str(PYTHON), "install", "--quiet",
        "--disable-pip-version-check", "--only-binary", ":all:",
    ]  # fmt: skip


def compile_translations() -> None:
    """Turn the catalogues into what pages read, where that is missing or older."""
    if not PYTHON.exists() and importlib.util.find_spec("babel") is None:
        return  # nothing is set up yet, and the command will say so
    for text in LOCALES.glob("*/LC_MESSAGES/*.po"):
        ready = text.with_suffix(".mo")
        if ready.exists() and ready.stat().st_mtime >= text.stat().st_mtime:
            continue
        # Made beside it and then put in place, so that no reader meets half a file.
        made = text.with_suffix(f".{os.getpid()}.new")
        if compile_catalogue(text, made):
            say(f"translations stay as they were: {text} cannot be compiled")
        else:
            made.replace(ready)


def compile_catalogue(text: Path, made: Path) -> int:
    """Compile one catalogue with Babel and return its exit status."""
    python = PYTHON if PYTHON.exists() else Path(sys.executable)
    babel = [str(python), "-m", "babel.messages.frontend", "--quiet", "compile"]
    language = text.parent.parent.name
    files = ["-l", language, "-i", str(text), "-o", str(made)]
    return subprocess.run([*babel, *files], check=False, capture_output=True).returncode


def wanted_groups(command: str) -> list[str]:
    """Return the extras a command needs."""
    groups = ["test"] if command == "test" else []
    if os.environ.get("HAMMERSCALE_DATABASE_URL", "").startswith("postgres"):
        groups.append("postgres")
    return groups


def ensure_environment(command: str) -> None:
    """Set up what the command needs and run it inside .venv."""
    setting_up = command in ("open", "test")
    if setting_up and os.environ.get("HAMMERSCALE_READY") != "1":
        install_libraries()
        install_packages(wanted_groups(command))
    compile_translations()
    inside = Path(sys.prefix).resolve() == VENV.resolve()
    if PYTHON.exists() and not inside:
        environment = os.environ | ({"HAMMERSCALE_READY": "1"} if setting_up else {})
        arguments = [str(PYTHON), str(ROOT / "manage.py"), *sys.argv[1:]]
        if os.name == "nt":
            sys.exit(subprocess.run(arguments, env=environment, check=False).returncode)
        os.execve(PYTHON, arguments, environment)


def run_tests(arguments: list[str]) -> int:
    """Run the whole suite with pytest."""
    os.chdir(ROOT)
    return subprocess.run(
        [sys.executable, "-m", "pytest", *arguments], check=False
    ).returncode


def main() -> None:
    """Set up, then hand over to pytest or Django."""
    command = sys.argv[1] if len(sys.argv) > 1 else "help"
    ensure_environment(command)
    if command == "test":
        sys.exit(run_tests(sys.argv[2:]))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    try:
        from django.core.management import execute_from_command_line
    except ModuleNotFoundError:
        sys.exit("hammerscale: not set up yet; type: python3 manage.py open")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
