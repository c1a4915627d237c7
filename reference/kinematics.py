"""Slider-crank with offset, by ways that share nothing with the closed forms of the Rust code.

The position is where a circle (the rod about the crank pin) meets a line (the cylinder); speed and acceleration are its
derivatives by the FFT of one turn; the dead centres and the greatest speed are found by SciPy's root finder and minimiser on
complex-step derivatives.
"""

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from common import Random, number, table

POINTS = 4096


def height(theta, r, l, e):
    """Pin height above the crank axis; the cylinder is the line x = e, the crank pin at x = r sin, y = r cos.

    Works for a complex angle, so that a complex step gives the derivative to the last digit.
    """
    across = e - r * np.sin(theta)
    return r * np.cos(theta) + np.sqrt(l * l - across * across)


def derivatives(r, l, e):
    theta = 2 * np.pi * np.arange(POINTS) / POINTS
    spectrum = np.fft.rfft(height(theta, r, l, e))
    order = np.arange(len(spectrum))
    # Orders beyond 64 are rounding noise for l/r above 2.5 (they fall like (r/2l)^order).
    spectrum[65:] = 0
    first = np.fft.irfft(1j * order * spectrum, POINTS)
    second = np.fft.irfft(-order * order * spectrum, POINTS)
    return theta, -first, -second


def files():
    rng = Random(20)
    motion, extremes = [], []
    for _ in range(40):
        r = (25 + rng.below(40)) * 1e-3
        l = r * (2600 + rng.below(2400)) * 1e-3
        e = (rng.below(2001) - 1000) * 1e-5 * (rng.below(4) > 0)
        theta, velocity, acceleration = derivatives(r, l, e)
        slope = lambda t: float(np.imag(height(t + 1e-30j, r, l, e))) / 1e-30
        top = brentq(slope, -0.5, 0.5, xtol=1e-14)
        bottom = brentq(slope, np.pi - 0.5, np.pi + 0.5, xtol=1e-14)
        stroke = float(height(top, r, l, e) - height(bottom, r, l, e))
        fastest = minimize_scalar(slope, bounds=(top, bottom), method="bounded", options={"xatol": 1e-10})
        sizes = [number(r), number(l), number(e)]
        extremes.append(sizes + [number(v) for v in (top, bottom, stroke, -fastest.fun)])
        for _ in range(25):
            k = rng.below(POINTS)
            s = float(height(top, r, l, e) - height(theta[k], r, l, e))
            motion.append(sizes + [number(theta[k]), number(s), number(velocity[k]), number(acceleration[k])])
    sizes = ["crank_radius", "rod_length", "offset"]
    return {
        "kinematics_motion.csv": table(sizes + ["angle", "displacement", "velocity", "acceleration"], motion),
        "kinematics_extremes.csv": table(sizes + ["top", "bottom", "stroke", "peak_speed"], extremes),
    }
