"""The closed part of a cycle in two zones, integrated by SciPy with Cantera's properties and equilibrium.

Same burn law, heat law and split of the heat as the Rust code, but other equations: the zones' enthalpies and the volume are
differentiated into a linear system for p, Tu and Tb over the crank angle; the burned zone is in equilibrium at each
evaluation (Cantera, eleven species), with slopes by central differences; implicit Runge-Kutta (Radau) to 1e-8.
"""

import cantera as ct
import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from common import number, table
from gas import ELEVEN, GAS, fresh, frozen

BORE, CRANK, ROD = 0.086, 0.043, 0.143
WALLS = np.array([450.0, 430.0, 410.0])
# name: fuel, lambda, residual (mass), compression, crank speed rad/s, p and T at closing, ignition, duration, a, m
CASES = {
    "petrol": ("petrol", 0.88, 0.03, 10.5, 700.0, 1.8e5, 365.0, -0.45, 1.05, 5.0, 2.0),
    "octane": ("iso-octane", 1.0, 0.10, 9.0, 200.0, 0.7e5, 340.0, -0.60, 1.20, 5.0, 2.0),
    "methanol": ("methanol", 0.8, 0.0, 13.0, 900.0, 2.5e5, 320.0, -0.40, 0.90, 5.0, 1.6),
}
CLOSING, OPENING = -2.2, 2.1
AREA = np.pi / 4 * BORE**2


class Cycle:
    def __init__(self, fuel, lam, residual, compression, speed, p, t, start, duration, a, m):
        mixture = fresh(fuel, lam, 0.0)
        burned = frozen(mixture)
        GAS.TPX = t, p, burned
        old = GAS.Y
        GAS.TPX = t, p, mixture
        self.unburned = (1 - residual) * GAS.Y + residual * old
        GAS.TPY = t, p, self.unburned
        self.atoms = burned
        self.compression, self.speed = compression, speed
        self.start, self.duration, self.a, self.m = start, duration, a, m
        self.r_u = ct.gas_constant / GAS.mean_molecular_weight
        self.p0, self.t0, self.v0 = p, t, self.volume(CLOSING)
        self.mass = p * self.v0 / (self.r_u * t)
        self.exponent = 1.33
        self.fired = False

    def volume(self, angle):
        r, l = CRANK, ROD
        s = r + l - r * np.cos(angle) - np.sqrt(l * l - (r * np.sin(angle)) ** 2)
        return AREA * (2 * r / (self.compression - 1) + s)

    def volume_slope(self, angle):
        r, l = CRANK, ROD
        return AREA * r * np.sin(angle) * (1 + r * np.cos(angle) / np.sqrt(l * l - (r * np.sin(angle)) ** 2))

    def burned(self, angle):
        y = np.clip((angle - self.start) / self.duration, 0, 1)
        return 1 - np.exp(-self.a * y ** (self.m + 1))

    def burn_rate(self, angle):
        y = (angle - self.start) / self.duration
        if not 0 < y < 1:
            return 0.0
        return self.a * (self.m + 1) * y**self.m * np.exp(-self.a * y ** (self.m + 1)) / self.duration

    def heat(self, angle, p, tu, tb, x, r_b):
        """Heat per radian from the unburned and the burned zone: Woschni with 129.8 and T^-0.53."""
        v = self.volume(angle)
        t = p * v / (self.mass * ((1 - x) * self.r_u + x * r_b))
        w = 2.28 * 4 * CRANK * self.speed / (2 * np.pi)
        if self.fired:
            motored = self.p0 * (self.v0 / v) ** self.exponent
            swept = AREA * 2 * CRANK
            w += 3.24e-3 * swept * self.t0 / (self.p0 * self.v0) * max(p - motored, 0)
        h = 129.8 * BORE**-0.2 * (p / 1e5) ** 0.8 * t**-0.53 * w**0.8
        liner = 4 / BORE * (v - self.volume(0.0))
        areas = np.array([AREA, AREA, liner])
        share = np.sqrt(x)
        losses = [h * z * float(areas @ (temp - WALLS)) for z, temp in ((1 - share, tu), (share, tb))]
        return losses[0] / self.speed, losses[1] / self.speed

    def unburned_state(self, t, p):
        GAS.TPY = t, p, self.unburned
        return GAS.enthalpy_mass, GAS.cp_mass

    def products(self, t, p):
        ELEVEN.TP = t, p
        ELEVEN.equilibrate("TP", rtol=1e-12, max_steps=100000)
        return ELEVEN.enthalpy_mass, 1 / ELEVEN.density

    def compress(self, angle, y):
        (t,) = y
        p = self.mass * self.r_u * t / self.volume(angle)
        _, cp = self.unburned_state(t, p)
        loss, _ = self.heat(angle, p, t, t, 0.0, self.r_u)
        return [(-p * self.volume_slope(angle) - loss) / (self.mass * (cp - self.r_u))]

    def burn(self, angle, y):
        p, tu, tb = y[0] * 1e5, y[1], y[2]
        x, rate = self.burned(angle), self.burn_rate(angle) * self.mass
        mb, mu = x * self.mass, (1 - x) * self.mass
        hu, cp = self.unburned_state(tu, p)
        hb, vb = self.products(tb, p)
        dt, dp = 0.5, p * 2e-4
        (h1, v1), (h0, v0) = self.products(tb + dt, p), self.products(tb - dt, p)
        h_t, v_t = (h1 - h0) / (2 * dt), (v1 - v0) / (2 * dt)
        (h1, v1), (h0, v0) = self.products(tb, p + dp), self.products(tb, p - dp)
        h_p, v_p = (h1 - h0) / (2 * dp), (v1 - v0) / (2 * dp)
        vu = self.r_u * tu / p
        lost_u, lost_b = self.heat(angle, p, tu, tb, x, p * vb / tb)
        # Unknowns: dp, dTu, dTb over the angle.
        matrix = [
            [-mu * vu, mu * cp, 0],
            [mb * (h_p - vb), 0, mb * h_t],
            [mb * v_p - mu * vu / p, mu * self.r_u / p, mb * v_t],
        ]
        right = [-lost_u, (hu - hb) * rate - lost_b, self.volume_slope(angle) - rate * (vb - vu)]
        # Scaled by pressure so that the matrix is well conditioned.
        matrix = np.array(matrix) * np.array([p, 1, 1])
        d = np.linalg.solve(matrix, right)
        return [d[0] * p / 1e5, d[1], d[2]]

    def run(self, angles):
        """Rows of angle, pressure, unburned temperature, burned temperature (0 before the burn)."""
        rows = []
        first = brentq(lambda a: self.burned(a) - 1e-8, self.start, self.start + self.duration)
        before = [a for a in angles if a <= first]
        tight = dict(method="Radau", rtol=1e-9, atol=1e-9)
        one = solve_ivp(self.compress, (CLOSING, self.start), [self.t0], t_eval=[a for a in before if a < self.start - 1e-6] + [self.start], **tight)
        for a, t in zip(one.t[:-1], one.y[0][:-1]):
            rows.append((a, self.mass * self.r_u * t / self.volume(a), t, 0.0))
        t = one.y[0][-1]
        p = self.mass * self.r_u * t / self.volume(self.start)
        self.exponent = np.log(p / self.p0) / np.log(self.v0 / self.volume(self.start))
        self.fired = True
        one = solve_ivp(self.compress, (self.start, first), [t], **tight)
        t = one.y[0][-1]
        p = self.mass * self.r_u * t / self.volume(first)
        h, _ = self.unburned_state(t, p)
        # Residual and fresh gas have the atoms of the run's mixture; only the energy differs.
        ELEVEN.TPX = 2500.0, p, self.atoms
        ELEVEN.HP = h, p
        ELEVEN.equilibrate("HP", rtol=1e-12, max_steps=100000)
        state, at = [p / 1e5, t, ELEVEN.T], first
        # The end of the burn is a corner: integrate up to it and on from it.
        for end in (self.start + self.duration, OPENING):
            wanted = [a for a in angles if at < a <= end]
            two = solve_ivp(self.burn, (at, end), state, t_eval=wanted + ([end] if end not in wanted else []), method="Radau", rtol=1e-7, atol=1e-7)
            assert two.success, two.message
            for a, y in zip(two.t, two.y.T):
                if a in wanted:
                    rows.append((a, y[0] * 1e5, y[1], y[2]))
            state, at = two.y[:, -1], end
        return rows


def files():
    angles = [round(CLOSING + 0.04 * i, 10) for i in range(1, 108) if CLOSING + 0.04 * i <= OPENING]
    cases, rows = [], []
    for name, parameters in CASES.items():
        cases.append([name, parameters[0], *(number(v) for v in parameters[1:])])
        rows += [[name, *(number(v) for v in row)] for row in Cycle(*parameters).run(angles)]
    header = "case,fuel,lambda,residual,compression,speed,pressure,temperature,start,duration,a,m"
    return {
        "closed_cycle_cases.csv": table(header.split(","), cases),
        "closed_cycle.csv": table("case,angle,pressure,unburned,burned".split(","), rows),
    }


if __name__ == "__main__":
    for name, text in files().items():
        print(name)
        print(text)
