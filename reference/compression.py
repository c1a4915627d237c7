"""Volumes by integration: areas from the half-circle by Gauss-Legendre, swept volume at intake closing from the pin's path by
quadrature of its speed. Shares no closed form with the Rust code but the sum of the parts."""

import numpy as np
from scipy.integrate import quad

from common import Random, number, table


def disc(diameter):
    """Area of a disc by the midpoint-free Gauss rule on x = R sin u."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    u = nodes * np.pi / 2
    radius = diameter / 2
    return float(2 * radius * radius * (np.pi / 2) * np.sum(weights * np.cos(u) ** 2))


def travel(r, l, start, end):
    """Piston travel between two crank angles of a crank without offset."""
    speed = lambda t: r * np.sin(t) * (1 + r * np.cos(t) / np.sqrt(l * l - (r * np.sin(t)) ** 2))
    return quad(speed, start, end, epsabs=1e-16, epsrel=1e-13)[0]


def files():
    rng = Random(21)
    rows = []
    for _ in range(200):
        bore = (60 + rng.below(60)) * 1e-3 + rng.below(1000) * 1e-6
        stroke = (50 + rng.below(60)) * 1e-3
        chamber = (250 + rng.below(500)) * 1e-7
        gasket_bore = bore + rng.below(3000) * 1e-6
        gasket = (400 + rng.below(1200)) * 1e-6
        deck = (rng.below(1501) - 500) * 1e-6
        dome = (rng.below(301) - 200) * 1e-7
        crevice = rng.below(20) * 1e-7
        rod = stroke * (1400 + rng.below(1000)) * 1e-3
        closing = np.radians(20 + rng.below(70))
        clearance = chamber + disc(gasket_bore) * gasket + disc(bore) * deck - dome + crevice
        if clearance <= 5e-6:
            continue
        swept = disc(bore) * stroke
        trapped = disc(bore) * travel(stroke / 2, rod, 0.0, np.pi + closing)
        values = [bore, stroke, chamber, gasket_bore, gasket, deck, dome, crevice, rod, closing]
        values += [swept, clearance, (swept + clearance) / clearance, (trapped + clearance) / clearance]
        rows.append([number(v) for v in values])
    header = "bore,stroke,chamber,gasket_bore,gasket_thickness,deck_gap,dome,crevice,rod,closing_after_bottom"
    header += ",swept,clearance,ratio,trapped_ratio"
    return {"compression.csv": table(header.split(","), rows)}
