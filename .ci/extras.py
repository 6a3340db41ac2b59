"""Print the requirement lines of the named extras of pyproject.toml, for .ci/run."""

import sys
import tomllib
from pathlib import Path

text = (
    Path(__file__).resolve().parent.parent.joinpath("pyproject.toml").read_text("utf-8")
)
extras = tomllib.loads(text)["project"]["optional-dependencies"]
wanted = [line.replace(" ", "") for name in sys.argv[1:] for line in extras[name]]
sys.stdout.write("\n".join(wanted))
