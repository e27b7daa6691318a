"""Spread between studies by the method of moments, for a regression (DESIGN §3.1).

Source: R. DerSimonian and N. Laird, Controlled Clinical Trials 1986;7:177, in its form with regressors.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Spread:
    """Moment estimate: tau² (never negative), Cochran's Q and its residual degrees of freedom."""

    tau_squared: float
    q: float
    degrees_of_freedom: int


def moment_spread(values: Floats, design: Floats, variances: Floats, factors: Floats | None = None) -> Spread:
    """Estimate tau² in values = design·b + error, var error = variances + tau²·factors (factors: 1 if None).

        tau² = (Q − df) / (tr WF − tr[(X'WX)⁻¹ X'WFW X]),   W = 1/variances, F = factors

    values (n,), design (n, p) of any rank, variances (n,) > 0. With F = 1 this is the usual formula; it is
    computed through an orthonormal basis of √W·X, so that collinear columns do no harm.
    """
    factors = np.ones_like(values) if factors is None else factors
    roots = 1 / np.sqrt(variances)
    left, sizes, _ = np.linalg.svd(roots[:, None] * design, full_matrices=False)
    basis = left[:, sizes > sizes.max(initial=0.0) * 1e-10]
    scaled = roots * values
    residuals = scaled - basis @ (basis.T @ scaled)
    q = float(residuals @ residuals)
    degrees = len(values) - basis.shape[1]
    unfitted = roots**2 * factors * (1 - (basis**2).sum(axis=1))
    slope = float(unfitted.sum())
    tau_squared = max(0.0, (q - degrees) / slope) if degrees > 0 else 0.0
    return Spread(tau_squared, q, degrees)
