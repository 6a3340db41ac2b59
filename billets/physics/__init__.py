"""The physics of a billet and a blade: pure functions over numpy, SI units."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Number: TypeAlias = float | NDArray[np.float64]
"""One value, or one value for each draw, shape (draws,)."""
