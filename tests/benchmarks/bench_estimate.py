"""How long the whole command takes. Not collected by a plain run; call it by name:

    .venv/bin/python -m pytest tests/benchmarks/bench_estimate.py --benchmark-only

Figure to reach on a quiet machine with two cores: 1.0 s from ``python3`` to the last
line, the step into the environment included. Compiled files are kept, as they are for
everybody who does not forbid it.
"""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.quotes.estimates import JOB

ROOT = Path(__file__).resolve().parents[2]
PYTHON = Path(sys.base_prefix) / "bin" / "python3"
"""The machine's own, from which the command steps into the environment."""

ROUNDS = 15


def processor_time():
    """Seconds of processor that child processes have used; steady on a busy machine."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@pytest.fixture
def command(tmp_path_factory):
    place = tmp_path_factory.mktemp("estimate")
    path = place / "job.toml"
    path.write_text(JOB, "utf-8")
    environment = os.environ | {
        "HAMMERSCALE_DATA_DIR": str(place / "data"),
        "PYTHONPYCACHEPREFIX": str(place / "compiled"),
    }
    for name in ("PYTHONDONTWRITEBYTECODE", "HAMMERSCALE_DATABASE_URL"):
        environment.pop(name, None)

    def run(*options):
        arguments = [PYTHON, "manage.py", "estimate", str(path)]
        subprocess.run(
            [*arguments, *options], cwd=ROOT, env=environment, check=True,
            stdout=subprocess.DEVNULL,
        )  # fmt: skip

    return run


@pytest.mark.parametrize("options", [(), ("--json",), ("--fit",)], ids=" ".join)
def test_estimate_as_a_process(benchmark, command, options):
    command(*options)  # compiles, and makes the table of units ready
    before = processor_time()
    benchmark.pedantic(command, options, rounds=ROUNDS)
    used = (processor_time() - before) / ROUNDS
    benchmark.extra_info["seconds of processor"] = round(used, 3)
    assert benchmark.stats["median"] <= 1.0
