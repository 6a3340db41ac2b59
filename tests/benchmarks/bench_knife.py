"""How fast a knife is weighed. Not collected by a plain test run; call it by name:

.venv/bin/python -m pytest tests/benchmarks/bench_knife.py --benchmark-only
"""

import pytest

from billets.physics.drawing import blade_drawing
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec


@pytest.mark.parametrize("family", ["gyuto", "petty", "deba"])
def test_weigh_knife(benchmark, family):
    benchmark(weigh_knife, default_spec(family))


def test_draw_knife(benchmark):
    benchmark(blade_drawing, default_spec("gyuto"), scale=0.5)
