"""Constants of nature and of convention, and the array types that every science module speaks."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["BOLTZMANN", "GAS_CONSTANT", "STANDARD_GRAVITY", "ZERO_CELSIUS", "ArrayLike", "Floats"]

Floats = NDArray[np.float64]

#: Standard acceleration of free fall, exact by convention (3rd CGPM, 1901). [m/s²]
STANDARD_GRAVITY = 9.80665
#: Molar gas constant, exact in the SI of 2019. [J/(mol K)]
GAS_CONSTANT = 8.31446261815324
#: Boltzmann constant, exact in the SI of 2019. [J/K]
BOLTZMANN = 1.380649e-23
#: Temperature of 0 °C. [K]
ZERO_CELSIUS = 273.15
