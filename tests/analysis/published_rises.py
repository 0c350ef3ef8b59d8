"""Rises whose fit was published elsewhere, each with its source."""

import numpy as np

# NIST Statistical Reference Datasets, nonlinear regression, BoxBOD (Box, Hunter and Hunter 1978):
# y = b1 (1 - exp(-b2 x)). The second start; certified b1 and b2, their standard deviations, the
# residual sum of squares.
BOX_BOD = np.array([(1, 109), (2, 149), (3, 149), (5, 191), (7, 213), (10, 224)], dtype=float)
BOX_BOD_START = (100.0, 0.75)
BOX_BOD_FIT = (2.1380940889e02, 5.4723748542e-01)
BOX_BOD_ERRORS = (1.2354515176e01, 1.0455993237e-01)
BOX_BOD_REST = 1.1680088766e03

# The same, Misra1a (Misra 1978, monomolecular adsorption): the same law.
MISRA_1A = np.array(
    [
        (77.6, 10.07), (114.9, 14.73), (141.1, 17.94), (190.8, 23.93), (239.9, 29.61),
        (289.0, 35.18), (332.8, 40.02), (378.4, 44.82), (434.8, 50.76), (477.3, 55.05),
        (536.8, 61.01), (593.1, 66.40), (689.1, 75.47), (760.0, 81.78)
    ]
)  # fmt: skip
MISRA_1A_START = (250.0, 0.0005)
MISRA_1A_FIT = (2.3894212918e02, 5.5015643181e-04)
MISRA_1A_ERRORS = (2.7070075241e00, 7.2668688436e-06)
MISRA_1A_REST = 1.2455138894e-01

# Gas gathering in a closed chamber, hours and concentration, and its fit by
# C = phi - f0 exp(-kappa t) / (kappa h), h = 0.3, as the R package gasfluxes 0.7 expects it of
# R's nls: f0, kappa, phi, and the residuals' standard error.
CHAMBER = np.array(
    [(0.0, 320.0), (1 / 3, 341.0), (2 / 3, 352.0), (1.0, 359.0), (1.2, 360.0), (1.3, 360.0)]
)
CHAMBER_FIT = (26.1229339419655, 1.97015450227329, 364.122024254071)
CHAMBER_HEIGHT = 0.3
CHAMBER_SCATTER = 0.750764759562218
