"""Constants of nature and of steel, in SI units.

Sources: BIPM, The International System of Units, 9th ed. (2019) for the exact
constants; EN 1993-1-2 for the density of steel.
"""

GAS_CONSTANT = 8.314462618
"""Molar gas constant [J/(mol K)]."""

STEFAN_BOLTZMANN = 5.670374419e-8
"""Radiation of a black body [W/(m^2 K^4)]."""

GRAVITY = 9.80665
"""Standard gravity; a thousand times it is the newtons of a tonne-force [m/s^2]."""

ZERO_CELSIUS = 273.15
"""Zero degrees Celsius [K]."""

STEEL_DENSITY = 7850.0
"""Density of cold steel unless a bar says otherwise [kg/m^3]."""
