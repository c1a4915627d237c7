"""Volumetric efficiency of a motored single cylinder with a long intake pipe, by the method of characteristics.

Independent of the finite-volume solver: mesh method after Benson, Garg & Woollatt (1964) and Benson (1982, vol. 1), from
memory, non-homentropic. Per mesh point P = (p/p_ambient)^((g-1)/2g) and u on the two Mach lines, entropy level A on the path line
(a = A P, A = ambient speed of sound for ambient entropy):

    du + 2/(g-1) A dP = 0 on dx/dt = u + a      du - 2/(g-1) A dP = 0 on dx/dt = u - a      dA = 0 on dx/dt = u

Feet of the lines: slope averaged between foot and arrival; P and u by cubic interpolation, A limited to its neighbours.
No friction, no heat, constant area. The case, all that is needed to build it again (numbers in INPUTS):

- ideal gas, constant g = 1.4, R = 287; ambient at rest is the reservoir of the intake, and of the exhaust.
- mouth (x = 0): inflow isentropic from rest, outflow at ambient pressure; no end correction, no loss.
- valves: effective area = discharge_coefficient * pi * valve_diameter * lift, the same both ways,
  lift = lift_max * sin^2(pi * (angle - opens)/(closes - opens)); quasi-steady nozzle from the upstream stagnation state to the
  static pressure downstream (of the cylinder; or of the pipe at its end face), choked at the critical ratio. All kinetic energy is
  lost in the cylinder; what flows back into the pipe keeps the cylinder's stagnation enthalpy.
- the exhaust valve works straight against the ambient reservoir, without a pipe, also inward.
- cylinder: uniform, adiabatic, exact slider-crank without offset. Angle 0 and 360 are top dead centre, 0 between exhaust and intake
  stroke. The exhaust valve closes 15 deg after the intake opens (at 0), both nearly shut. Starts at rest, ambient, in the clearance volume; run until periodic.
- volumetric efficiency = net mass through the intake valve in a cycle / (ambient density * swept volume).

The pipes are run as rows of one array, each with its own steps; the number of steps is set beforehand, so that none hangs on
a rounding (without a pipe and below 1500 rev/min the flow chatters about nothing, to some 1e-6 of the result). `python reference/wave_tuning.py` runs the checks of the method itself.
"""

import sys

import numpy as np

from common import number, table

G = 1.4
INPUTS = {
    "ratio_of_specific_heats": G,
    "gas_constant": 287.0,
    "ambient_pressure": 101325.0,
    "ambient_temperature": 293.15,
    "bore": 0.086,
    "stroke": 0.086,
    "rod_length": 0.143,
    "compression_ratio": 10.0,
    "pipe_diameter": 0.040,
    "end_correction": 0.0,
    "intake_valve_diameter": 0.036,
    "intake_lift_max": 0.010,
    "intake_discharge_coefficient": 0.65,
    "intake_opens_deg": 0.0,
    "intake_closes_deg": 240.0,
    "exhaust_valve_diameter": 0.034,
    "exhaust_lift_max": 0.010,
    "exhaust_discharge_coefficient": 0.65,
    "exhaust_opens_deg": 490.0,
    "exhaust_closes_deg": 735.0,
}
LENGTHS = [0.6, 0.9, 1.2]
SPEEDS = np.arange(1000, 7001, 200)
PEAKS = {0.6: [3220, 3820], 0.9: [2220, 2680, 3370], 1.2: [2040, 2605, 3610]}  # main ones, seen on a scan by 100 rev/min
WINDOW = np.arange(-4, 5) * 0.01  # speeds about each of them
CELLS = 40
C_MAX = 600.0  # m/s, bound of |u| + a that sets the steps (less when slow, see `run`); a step beyond the neighbour point is an error
NOZZLE_TRIES = 8

P0, T0, R = INPUTS["ambient_pressure"], INPUTS["ambient_temperature"], INPUTS["gas_constant"]
A0 = float(np.sqrt(G * R * T0))
AREA = np.pi / 4 * INPUTS["pipe_diameter"] ** 2
SWEPT = np.pi / 4 * INPUTS["bore"] ** 2 * INPUTS["stroke"]
CLEARANCE = SWEPT / (INPUTS["compression_ratio"] - 1)
CRITICAL = np.sqrt(2 / (G + 1))  # throat over stagnation P, choked


def seventh(x):
    """P^(2g/(g-1)) = p/p_ambient for g = 1.4."""
    x2 = x * x
    return x2 * x2 * x2 * x


def volume(angle):
    """m3, at crank angle in radians."""
    r, l = INPUTS["stroke"] / 2, INPUTS["rod_length"]
    s = r * (1 - np.cos(angle)) + l - np.sqrt(l * l - (r * np.sin(angle)) ** 2)
    return CLEARANCE + np.pi / 4 * INPUTS["bore"] ** 2 * s


def valve_area(which, degrees):
    """Effective area, m2, at degrees in [0, 720)."""
    opens, closes = INPUTS[which + "_opens_deg"], INPUTS[which + "_closes_deg"]
    degrees = np.where(degrees + 720 < closes, degrees + 720, degrees)
    lift = INPUTS[which + "_lift_max"] * np.sin(np.pi * (degrees - opens) / (closes - opens)) ** 2
    area = INPUTS[which + "_discharge_coefficient"] * np.pi * INPUTS[which + "_valve_diameter"] * lift
    return np.where((degrees > opens) & (degrees < closes), area, 0.0)


def nozzle(area, stag_p, stag_a, down_p):
    """kg/s from stagnation (P, a) to static P downstream; the throat has the pressure downstream or the critical one."""
    throat = np.maximum(np.minimum(down_p / stag_p, 1.0), CRITICAL)
    a_throat = stag_a * throat
    speed = np.sqrt(2 / (G - 1) * (stag_a * stag_a - a_throat * a_throat))
    return area * G * P0 * seventh(stag_p * throat) / (a_throat * a_throat) * speed


def between_reservoirs(area, p1, a1, p2, a2):
    """(mass, energy) flow from 1 to 2, kg/s and W; energy as stagnation enthalpy a0^2/(g-1)."""
    flow = nozzle(area, np.maximum(p1, p2), np.where(p1 >= p2, a1, a2), np.minimum(p1, p2))
    flow = np.where(p1 >= p2, flow, -flow)
    return flow, flow * np.where(p1 >= p2, a1, a2) ** 2 / (G - 1)


def valve_end(area, c, entropy, cyl_p, cyl_a):
    """Pipe end at the valve: c = u + 5 A P on the Mach line that arrives. Returns P, u, A (of gas that enters, else `entropy`),
    mass flow into the cylinder, energy flow. Illinois rule on P between the pressure of a closed end and the other side's."""
    k = 2 / (G - 1)
    closed = c / (k * entropy)
    inward = closed > cyl_p  # into the cylinder

    def state(p):
        u = c - k * entropy * p
        a2 = np.where(inward, (entropy * p) ** 2, cyl_a * cyl_a - (G - 1) / 2 * u * u)
        pipe = G * P0 * seventh(p) * AREA / a2 * np.abs(u)
        stag_a = np.sqrt(a2 + (G - 1) / 2 * u * u)
        stag_p = np.where(inward, stag_a / entropy, cyl_p)
        through = nozzle(area, stag_p, stag_a, np.where(inward, cyl_p, p))
        return pipe - through, u, a2, pipe, stag_a

    low = closed  # pipe flow below the nozzle's
    high = np.where(inward, np.maximum(cyl_p, c / ((k + 1) * entropy)), cyl_p)
    f_low, f_high = state(low)[0], state(high)[0]
    for _ in range(NOZZLE_TRIES):
        gap = f_high - f_low
        p = np.where(gap != 0, (low * f_high - high * f_low) / np.where(gap != 0, gap, 1.0), low)
        f = state(p)[0]
        same = f > 0  # replaces `high`
        f_low, f_high = np.where(same, f_low * 0.5, f), np.where(same, f, f_high * 0.5)
        low, high = np.where(same, low, p), np.where(same, p, high)
    _, u, a2, pipe, stag_a = state(p)
    p, u = np.where(area > 0, p, closed), np.where(area > 0, u, 0.0)
    flow = np.where(area > 0, np.where(inward, pipe, -pipe), 0.0)
    level = np.where(inward | (area <= 0), entropy, np.sqrt(a2) / p)
    return p, u, level, flow, flow * stag_a * stag_a / (G - 1)


def mouth(c, entropy):
    """Pipe end at the atmosphere: c = u - 5 A P on the Mach line that arrives. Returns P, u, A."""
    k = 2 / (G - 1)
    inflow = c + k * entropy > 0
    mean = 0.5 * (A0 + entropy)  # along the line, from the foot to the mouth
    # P^2 + (g-1)/2 (c + k mean P)^2 / a0^2 = 1
    w = (G - 1) / 2 / (A0 * A0)
    qa, qb, qc = 1 + w * (k * mean) ** 2, 2 * w * c * k * mean, w * c * c - 1
    p_in = (-qb + np.sqrt(np.maximum(qb * qb - 4 * qa * qc, 0))) / (2 * qa)
    u_in = A0 * np.sqrt(k * np.maximum(1 - p_in * p_in, 0.0))
    return np.where(inflow, p_in, 1.0), np.where(inflow, u_in, c + k * entropy), np.where(inflow, A0, entropy)


def weights(t):
    """Cubic Lagrange weights at t of the way from point 0 to point 1, for points -1, 0, 1, 2."""
    return (-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2,
            -(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6)


def padded(f):
    """One point more at each end, by the parabola through the last three."""
    left = 3 * f[:, :1] - 3 * f[:, 1:2] + f[:, 2:3]
    right = 3 * f[:, -1:] - 3 * f[:, -2:-1] + f[:, -3:-2]
    return np.concatenate([left, f, right], axis=1)


class Pipes:
    """Rows of pipes, mesh points 0 (mouth) to n (valve)."""

    def __init__(self, length, dt, cells):
        self.ratio = (dt * cells / length)[:, None]
        shape = (len(length), cells + 1)
        self.p, self.u, self.level = np.ones(shape), np.zeros(shape), np.full(shape, A0)
        self.older = None

    def keep(self, rows):
        self.ratio, self.p, self.u, self.level = self.ratio[rows], self.p[rows], self.u[rows], self.level[rows]
        self.older = tuple(f[rows] for f in self.older)

    def step(self, open_end, valve):
        """`open_end(c, level) -> P, u, A` and `valve(c, level) -> P, u, A`."""
        p, u, level, ratio = self.p, self.u, self.level, self.ratio
        a = level * p
        forward, backward = u + a, u - a
        old = self.older or (forward, backward, u)
        self.older = (forward, backward, u)
        pp, uu = padded(p), padded(u)

        def way(speed, before, toward):
            """Cells from the arrival point back to the foot: speed at foot and arrival (extrapolated in time), averaged."""
            ahead = 2 * speed - before
            if toward > 0:  # foot on the left: points 1..n
                here, there, ahead, r = speed[:, 1:], speed[:, :-1], ahead[:, 1:], ratio
            else:  # foot on the right: points 0..n-1
                here, there, ahead, r = -speed[:, :-1], -speed[:, 1:], -ahead[:, :-1], ratio
            t = 0.5 * r * (here + ahead) / (1 + 0.5 * r * (here - there))
            return t

        # the path line first: it gives the level at the arrival
        t_right, t_left = way(u, old[2], 1), way(u, old[2], -1)
        new_level = level.copy()
        padded_level = padded(level)
        from_left, from_right = u[:, 1:] > 0, u[:, :-1] < 0

        def limited(w, f, lo, hi):
            value = w[0] * f[0] + w[1] * f[1] + w[2] * f[2] + w[3] * f[3]
            return np.minimum(np.maximum(value, np.minimum(lo, hi)), np.maximum(lo, hi))

        n = level.shape[1] - 1
        e = [padded_level[:, i:i + n] for i in range(4)]  # points i-1, i, i+1, i+2 for the cell i..i+1
        left = limited(weights(1 - t_right), e, level[:, :-1], level[:, 1:])
        right = limited(weights(t_left), e, level[:, :-1], level[:, 1:])
        new_level[:, 1:] = np.where(from_left, left, new_level[:, 1:])
        new_level[:, :-1] = np.where(from_right, right, new_level[:, :-1])

        t_plus, t_minus = way(forward, old[0], 1), way(backward, old[1], -1)
        if max(t_plus.max(), t_minus.max()) > 1 or min(t_plus.min(), t_minus.min()) < 0:
            worst = np.abs(np.concatenate([t_plus - 0.5, t_minus - 0.5])).max(axis=1)
            raise ValueError(f"a Mach line left its cell (raise C_MAX): row {int(worst.argmax())}, {worst.max() + 0.5:.3f} cells")
        w = weights(1 - t_plus)
        p_plus = sum(w[i] * pp[:, i:i + n] for i in range(4))
        u_plus = sum(w[i] * uu[:, i:i + n] for i in range(4))
        l_plus = level[:, 1:] + t_plus * (level[:, :-1] - level[:, 1:])
        w = weights(t_minus)
        p_minus = sum(w[i] * pp[:, i:i + n] for i in range(4))
        u_minus = sum(w[i] * uu[:, i:i + n] for i in range(4))
        l_minus = level[:, :-1] + t_minus * (level[:, 1:] - level[:, :-1])

        k = 2 / (G - 1)
        mean_plus = 0.5 * (l_plus[:, :-1] + new_level[:, 1:-1])
        mean_minus = 0.5 * (l_minus[:, 1:] + new_level[:, 1:-1])
        fall = mean_plus * p_plus[:, :-1] + mean_minus * p_minus[:, 1:]
        p_new, u_new = p.copy(), u.copy()
        p_new[:, 1:-1] = (fall + (u_plus[:, :-1] - u_minus[:, 1:]) / k) / (mean_plus + mean_minus)
        u_new[:, 1:-1] = u_plus[:, :-1] + k * mean_plus * (p_plus[:, :-1] - p_new[:, 1:-1])

        c = u_minus[:, 0] - k * l_minus[:, 0] * p_minus[:, 0]
        p_new[:, 0], u_new[:, 0], new_level[:, 0] = open_end(c, l_minus[:, 0])
        c = u_plus[:, -1] + k * l_plus[:, -1] * p_plus[:, -1]
        p_new[:, -1], u_new[:, -1], new_level[:, -1] = valve(c, l_plus[:, -1])
        self.p, self.u, self.level = p_new, u_new, new_level

    def mouth_flow(self):
        a = self.level[:, 0] * self.p[:, 0]
        return G * P0 * seventh(self.p[:, 0]) * self.u[:, 0] * AREA / (a * a)


def run(speeds, lengths, cells):
    """Every row: one speed, one pipe length (0: no pipe, all rows alike). Returns volumetric efficiency, and for the balance the
    masses of the last cycle (through the mouth, out of the exhaust) and the change of the efficiency from the cycle before."""
    speeds, lengths = np.asarray(speeds, float), np.asarray(lengths, float)
    piped = lengths[0] > 0
    period = 120.0 / speeds
    dx = lengths / cells if piped else np.full(len(speeds), 0.9 / cells)
    fastest = C_MAX - 170 * np.maximum(0.0, 1 - speeds / 3000)
    steps = np.ceil(np.maximum(period * fastest / dx, 720 * cells / CELLS)).astype(int)
    dt = period / steps
    cycles = np.minimum(np.ceil(1.5 + 3 * speeds / 1000.0), 14).astype(int)
    total = steps * cycles

    rows = np.arange(len(speeds))
    pipes = Pipes(lengths, dt, cells) if piped else None
    unit = P0 * SWEPT / (R * T0)
    v = volume(np.zeros(len(speeds)))
    mass, energy = P0 * v / (R * T0), P0 * v**G  # "energy": p V^g, constant when closed
    rates = None
    flow_in = np.zeros(len(speeds))
    result = {key: np.zeros(len(speeds)) for key in ("valve", "before", "mouth", "exhaust")}
    sums = {key: np.zeros(len(speeds)) for key in ("valve", "mouth", "exhaust")}
    for i in range(1, int(total.max()) + 1):
        phase = (i % steps) / steps
        degrees = 720.0 * phase
        v_new = volume(np.radians(degrees))
        area_in, area_out = valve_area("intake", degrees), valve_area("exhaust", degrees)
        if rates is None:
            rates = before = (np.zeros(len(rows)), np.zeros(len(rows)))
        # predictor (Adams-Bashforth), then the flows at the new time, then the trapezoid
        mass_p = mass + dt * (1.5 * rates[0] - 0.5 * before[0])
        energy_p = energy + dt * (1.5 * rates[1] - 0.5 * before[1])
        vg = v_new ** (G - 1)
        pressure = energy_p / (vg * v_new)
        cyl_p, cyl_a = (pressure / P0) ** ((G - 1) / (2 * G)), np.sqrt(G * pressure * v_new / mass_p)
        if piped:
            got = {}

            def at_valve(c, level):
                *end, got["m"], got["e"] = valve_end(area_in, c, level, cyl_p, cyl_a)
                return end

            pipes.step(mouth, at_valve)
            m_in, e_in, m_mouth = got["m"], got["e"], pipes.mouth_flow()
        else:
            m_in, e_in = between_reservoirs(area_in, np.ones(len(rows)), np.full(len(rows), A0), cyl_p, cyl_a)
            m_mouth = m_in
        m_out, e_out = between_reservoirs(area_out, cyl_p, cyl_a, np.ones(len(rows)), np.full(len(rows), A0))
        new = (m_in - m_out, vg * (G - 1) * (e_in - e_out))
        mass = mass + 0.5 * dt * (rates[0] + new[0])
        energy = energy + 0.5 * dt * (rates[1] + new[1])
        before, rates, v = rates, new, v_new
        for key, flow in (("valve", m_in), ("mouth", m_mouth), ("exhaust", m_out)):
            sums[key] += dt * flow
        ended = i % steps == 0
        if ended.any():
            result["before"][rows[ended]] = result["valve"][rows[ended]]
            for key in sums:
                result[key][rows[ended]] = sums[key][ended] / unit
                sums[key][ended] = 0.0
            left = i < total
            if not left.all():
                rows, steps, dt, total, mass, energy = (f[left] for f in (rows, steps, dt, total, mass, energy))
                rates, before = tuple(f[left] for f in rates), tuple(f[left] for f in before)
                sums = {key: f[left] for key, f in sums.items()}
                if piped:
                    pipes.keep(left)
                if not len(rows):
                    break
    return result


def near_peaks(cells, also=()):
    """[(length, speeds, efficiency, peak speed, peak height)] for the windows about PEAKS, the efficiency at the speeds `also` of
    every pipe, and the full result of the one run."""
    windows = [(length, middle * (1 + WINDOW)) for length, middles in PEAKS.items() for middle in middles]
    blocks = windows + [(length, np.asarray(also, float)) for length in LENGTHS]
    result = run(np.concatenate([s for _, s in blocks]), np.concatenate([np.full(len(s), l) for l, s in blocks]), cells)
    values = result["valve"][: WINDOW.size * len(windows)].reshape(len(windows), -1)
    found = [(length, s, v, *top(s, v)) for (length, s), v in zip(windows, values)]
    return found, result["valve"][values.size:].reshape(len(LENGTHS), -1), result


def top(speeds, values):
    """(speed, height) of the parabola through the greatest value and its neighbours at equal steps."""
    i = int(values.argmax())
    if i in (0, len(values) - 1):
        raise ValueError(f"the peak lies outside {speeds[0]} to {speeds[-1]} rev/min")
    a = (values[i - 1] - 2 * values[i] + values[i + 1]) / 2
    b = (values[i + 1] - values[i - 1]) / 2
    return speeds[i] - b / (2 * a) * (speeds[1] - speeds[0]), values[i] - b * b / (4 * a)


def files():
    rows = [["input", name, "", number(value)] for name, value in INPUTS.items()]
    values = run(SPEEDS, np.zeros(len(SPEEDS)), CELLS)["valve"]
    rows += [["efficiency", "0.0", number(speed), number(value)] for speed, value in zip(SPEEDS, values)]
    found, values, _ = near_peaks(CELLS, SPEEDS)
    for length, curve in zip(LENGTHS, values):
        rows += [["efficiency", f"{length:.1f}", number(speed), number(value)] for speed, value in zip(SPEEDS, curve)]
    for length, speeds, curve, _, _ in found:
        rows += [["near_peak", f"{length:.1f}", number(speed), number(value)] for speed, value in zip(speeds, curve)]
    rows += [["peak", f"{length:.1f}", number(speed), number(height)] for length, _, _, speed, height in found]
    return {"wave_tuning.csv": table(["kind", "name", "speed_rpm", "value"], rows)}


def check_acoustics():
    """Closed at the valve, open at the mouth: period of the standing quarter wave of small amplitude, and its decay."""
    for cells in (20, 40):
        length, dt = 0.9, 0.9 / cells / C_MAX
        pipes = Pipes(np.array([length]), np.array([dt]), cells)
        x = np.linspace(0, 1, cells + 1)
        pipes.p = (1 + 1e-5 * np.sin(np.pi / 2 * x))[None, :]
        trace = []
        for _ in range(int(40 * length / A0 / dt)):
            pipes.step(mouth, lambda c, level: (c / (5 * level), 0 * c, level))
            trace.append(pipes.p[0, -1] - 1)
        trace = np.array(trace)
        cross = np.nonzero((trace[:-1] > 0) != (trace[1:] > 0))[0]
        at = cross + trace[cross] / (trace[cross] - trace[cross + 1])
        frequency = (len(at) - 1) / (2 * (at[-1] - at[0]) * dt)
        tail = np.abs(trace[-int(4 * length / A0 / dt):]).max() / 1e-5
        print(f"quarter wave, {cells} cells: {frequency / (A0 / 4 / length) - 1:+.2e} of a/4L, "
              f"amplitude after 10 periods {tail:.5f}")


def check_simple_wave():
    """Pulse into gas at rest, u = 5 a0 (P - 1): every level of it travels at a0 (6P - 5) until it breaks (check-values 4.5).
    Earnshaw's exact form, and the pressure of a closed end under a long wave of p/p0 = 1.2: (2P - 1)^7 = 1.433350."""
    for cells in (100, 200):
        length, dt = 2.0, 2.0 / cells / C_MAX
        x = np.linspace(0, length, cells + 1)
        pulse = lambda s: (1.2 ** (1 / 7) - 1) * np.where(np.abs(s - 0.5) < 0.4, np.cos(np.pi * (s - 0.5) / 0.8) ** 4, 0.0)
        pipes = Pipes(np.array([length]), np.array([dt]), cells)
        pipes.p = (1 + pulse(x))[None, :]
        pipes.u = 5 * A0 * (pipes.p - 1)
        steps = int(1.5e-3 / dt)
        for _ in range(steps):
            pipes.step(lambda c, level: (0 * c + 1, 0 * c, level), lambda c, level: (c / (5 * level), 0 * c, level))
        start = np.linspace(0, length, 20001)
        exact = np.interp(x, start + A0 * (1 + 6 * pulse(start)) * steps * dt, 1 + pulse(start))
        error = np.abs(pipes.p[0] - exact).max() / pulse(np.array(0.5))
        print(f"simple wave, {cells} cells: greatest error {error:.2e} of its height, back {np.abs(pipes.u[0] - 5 * A0 * (pipes.p[0] - 1)).max() / A0:.1e} a0")
    x = np.linspace(0, 2.0, 201)
    pipes = Pipes(np.array([2.0]), np.array([0.01 / C_MAX]), 200)
    top = 1.2 ** (1 / 7) - 1
    pipes.p = (1 + top * 0.5 * (1 - np.tanh((x - 1.2) / 0.1)))[None, :]
    pipes.u = 5 * A0 * (pipes.p - 1)
    for _ in range(int(3.5e-3 * C_MAX / 0.01)):
        pipes.step(lambda c, level: (0 * c + 1 + top, 0 * c + 5 * A0 * top, level), lambda c, level: (c / (5 * level), 0 * c, level))
    print(f"closed end under p/p0 = 1.2: {seventh(pipes.p[0, -1]):.6f} (exact 1.433350)")


def check_engine(cells):
    """Halved mesh and balances about the peaks, and where the peaks lie against quarter periods of the pipe."""
    (coarse, _, result), (fine, _, result_fine) = near_peaks(cells), near_peaks(2 * cells)
    for name, r in (("mesh", result), ("halved mesh", result_fine)):
        print(f"{name}: mouth - valve {np.abs(r['mouth'] - r['valve']).max():.1e}, valve - exhaust "
              f"{np.abs(r['valve'] - r['exhaust']).max():.1e}, last cycle's change {np.abs(r['valve'] - r['before']).max():.1e}")
    for (length, _, v1, n1, h1), (_, _, v2, n2, h2) in zip(coarse, fine):
        print(f"{length} m: peak {n1:.1f} rev/min {h1:.5f}; halved mesh {n2:.1f} ({n2 / n1 - 1:+.2%}) {h2:.5f} ({h2 / h1 - 1:+.2%}); "
              f"window's greatest change {np.abs(v2 / v1 - 1).max():.2%}; q = (a/4L)/(n/120) = {A0 / 4 / length / (n1 / 120):.3f}, "
              f"intake open for {240 / (6 * n1) / (length / A0):.2f} quarter periods, n L / a = {n1 / 60 * length / A0:.4f}")


if __name__ == "__main__":
    check_acoustics()
    check_simple_wave()
    check_engine(int(sys.argv[1]) if len(sys.argv) > 1 else CELLS)
