"""Optima of selection problems by SciPy: `linear_sum_assignment` and `milp` (HiGHS).

The files hold the seed and the sizes of each case and the optimum; the Rust tests draw the same case from the seed. Ordered
objectives are solved one after the other, each held at its optimum while the next is minimised; for assignments they are weighed into
one whole number below 2^53, which is exact in floating point.
"""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp

from common import Random, table


def assignment_case(seed, rows, columns, bound, allowed_permille):
    rng = Random(seed)
    cost = np.full((rows, columns), np.inf)
    for i in range(rows):
        for j in range(columns):
            value, draw = rng.below(bound), rng.below(1000)
            if draw < allowed_permille:
                cost[i, j] = value
    return cost


def assignments():
    rng = Random(1)
    out = []
    for seed in range(1000, 1100):
        rows = 8 + rng.below(40)
        columns = rows + rng.below(40)
        bound = [3, 50, 100000][rng.below(3)]
        allowed = [80, 150, 400, 1000][rng.below(4)]
        cost = assignment_case(seed, rows, columns, bound, allowed)
        try:
            chosen = linear_sum_assignment(cost)
            best = str(int(cost[chosen].sum()))
        except ValueError:
            best = "none"
        out.append([seed, rows, columns, bound, allowed, best])
    return table(["seed", "rows", "columns", "bound", "allowed_permille", "cost"], out)


SERIES = range(220, 301, 5)


def shim_case(seed, valves, box):
    """All in steps of 10 µm: per valve lash, shim and target; loose shims. The window is target ± 3."""
    rng = Random(seed)
    drawn = [(5 + rng.below(50), 230 + rng.below(65), [22, 32][rng.below(2)]) for _ in range(valves)]
    return drawn, [225 + rng.below(75) for _ in range(box)]


def shim_optimum(valves, box, shop):
    """Outside, excess, bought, opened, sum of squares; weights keep the five apart in one number below 2^53."""
    weights = (24 * 2400 * 25 * 25 * 250_000, 25 * 25 * 250_000, 25 * 250_000, 250_000, 1)
    weights = (weights[1] * 60_000, *weights[1:])

    def terms(valve, size, bought, moved):
        lash, shim, target = valve
        off = lash + shim - size - target
        excess = max(abs(off) - 3, 0)
        return (int(excess > 0), excess, int(bought), int(moved), off * off)

    n = len(valves)
    columns = [(size, False, index if index < n else None) for index, size in enumerate([v[1] for v in valves] + box)]
    cells = {}
    cost = np.full((n, len(columns) + (n if shop else 0)), np.inf)
    for i, valve in enumerate(valves):
        for j, (size, bought, home) in enumerate(columns):
            cells[i, j] = terms(valve, size, bought, home != i)
        if shop:
            cells[i, len(columns) + i] = min(terms(valve, size, True, True) for size in SERIES)
    for (i, j), cell in cells.items():
        cost[i, j] = sum(w * t for w, t in zip(weights, cell))
    assert np.nanmax(cost[np.isfinite(cost)]) * n < 2**53
    rows, chosen = linear_sum_assignment(cost)
    return [int(sum(cells[i, j][k] for i, j in zip(rows, chosen))) for k in range(5)]


def shims():
    rng = Random(2)
    out = []
    for seed in range(2000, 2100):
        valves = 4 + rng.below(21)
        box = rng.below([5, 30, 200][rng.below(3)])
        shop = rng.below(3) > 0
        drawn, loose = shim_case(seed, valves, box)
        out.append([seed, valves, box, int(shop), *shim_optimum(drawn, loose, shop)])
    return table(["seed", "valves", "box", "shop", "outside", "excess", "bought", "opened", "squares"], out)


class Program:
    """A mixed integer program with ordered objectives."""

    def __init__(self):
        self.lower, self.upper, self.integer = [], [], []
        self.rows = []

    def variable(self, lower, upper, integer=1):
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        return len(self.lower) - 1

    def row(self, terms, lower, upper):
        self.rows.append((terms, lower, upper))

    def solve(self, objectives):
        """Minimises each objective (terms) in turn; the optima, or None when there is no solution."""
        values = []
        for terms in objectives:
            size = len(self.lower)
            matrix = np.zeros((len(self.rows), size))
            for line, (row, _, _) in zip(matrix, self.rows):
                for index, factor in row:
                    line[index] += factor
            cost = np.zeros(size)
            for index, factor in terms:
                cost[index] += factor
            constraint = LinearConstraint(matrix, [r[1] for r in self.rows], [r[2] for r in self.rows])
            options = {"mip_rel_gap": 0.0}
            bounds = Bounds(self.lower, self.upper)
            found = milp(cost, constraints=constraint, bounds=bounds, integrality=self.integer, options=options)
            if found.status == 2:
                return None
            assert found.status == 0, found.message
            value = round(found.fun)
            assert abs(found.fun - value) < 1e-4, found.fun
            values.append(value)
            self.row(terms, -np.inf, value + 0.01)
        return values


def shell_case(seed, bearings, grades):
    """Micrometres: per bearing the journal's offset; per grade upper and lower shells on hand, pairs on sale and price."""
    rng = Random(seed)
    journals = [rng.below(31) - 15 for _ in range(bearings)]
    stock = [(rng.below(bearings), rng.below(bearings), rng.below(bearings), 1 + rng.below(9)) for _ in range(grades)]
    return journals, stock


def shell_optimum(journals, stock, guard):
    """Clearance = 52 − offset − 6 (upper + lower − grades + 1); window 46 to 60, target 52 µm."""
    grades = len(stock)
    program = Program()
    outside, excess, near, mixed, squares, orders, price = [], [], [], [], [], [], []
    used = [[[], []] for _ in stock]
    for offset in journals:
        picks = []
        for upper in range(grades):
            for lower in range(grades):
                clearance = 52 - offset - 6 * (upper + lower - grades + 1)
                over = max(46 - clearance, clearance - 60, 0)
                on_limit = over == 0 and guard > 0 and (clearance < 46 + guard or clearance > 60 - guard)
                pick = program.variable(0, 1)
                picks.append((pick, 1))
                used[upper][0].append((pick, 1))
                used[lower][1].append((pick, 1))
                outside.append((pick, int(over > 0)))
                excess.append((pick, over))
                near.append((pick, int(on_limit)))
                mixed.append((pick, int(upper != lower)))
                squares.append((pick, (clearance - 52) ** 2))
        program.row(picks, 1, 1)
    for (uppers, lowers, sale, cost), halves in zip(stock, used):
        pairs = program.variable(0, sale)
        orders.append((pairs, 1))
        price.append((pairs, cost))
        for have, half in zip((uppers, lowers), halves):
            program.row(half + [(pairs, -1)], -np.inf, have)
    return program.solve([outside, excess, near, orders, mixed, squares, price])


def shells():
    rng = Random(3)
    out = []
    for seed in range(3000, 3100):
        bearings, grades, guard = 4 + rng.below(6), 2 + rng.below(3), rng.below(4)
        best = shell_optimum(*shell_case(seed, bearings, grades), guard)
        out.append([seed, bearings, grades, guard, *(best or ["none"] * 7)])
    header = "seed,bearings,grades,guard,outside,excess,near,orders,mixed,squares,price"
    return table(header.split(","), out)


def piston_case(seed, cylinders, spare):
    """Micrometres and tenths of a gram: bores; pistons (diameter, mass); pins; rods."""
    rng = Random(seed)
    bores = [rng.below(13) - 6 for _ in range(cylinders)]
    pistons = [(rng.below(13) - 6, rng.below(25)) for _ in range(cylinders + spare)]
    pins = [rng.below(12) for _ in range(cylinders)]
    rods = [rng.below(30) for _ in range(cylinders + rng.below(2))]
    return bores, pistons, pins, rods


def piston_optimum(bores, pistons, pins, rods, allowed):
    """Clearance 86 + bore − piston; window 80 to 92, target 86 µm."""
    program = Program()
    n = len(bores)
    outside, excess, squares = [], [], []
    heaviest, lightest = program.variable(0, 1000, 0), program.variable(0, 1000, 0)
    over = program.variable(0, 1000, 0)
    mass = [[] for _ in bores]
    for count, weight in ((len(pistons), [p[1] for p in pistons]), (len(pins), pins), (len(rods), rods)):
        taken = [[] for _ in range(count)]
        for i in range(n):
            picks = [program.variable(0, 1) for _ in range(count)]
            program.row([(pick, 1) for pick in picks], 1, 1)
            for j, pick in enumerate(picks):
                taken[j].append((pick, 1))
                mass[i].append((pick, weight[j]))
            if weight is not pins and weight is not rods:
                for pick, (diameter, _) in zip(picks, pistons):
                    off = bores[i] - diameter
                    outside.append((pick, int(abs(off) > 6)))
                    excess.append((pick, max(abs(off) - 6, 0)))
                    squares.append((pick, off * off))
        for j in range(count):
            program.row(taken[j], 0, 1)
    for terms in mass:
        program.row(terms + [(heaviest, -1)], -np.inf, 0)
        program.row(terms + [(lightest, -1)], 0, np.inf)
    spread = [(heaviest, 1), (lightest, -1)]
    program.row(spread + [(over, -1)], -np.inf, allowed)
    return program.solve([outside, excess, [(over, 1)], squares, spread])


def pistons():
    rng = Random(4)
    out = []
    for seed in range(4000, 4040):
        cylinders, spare, allowed = 3 + rng.below(3), rng.below(2), rng.below(12)
        best = piston_optimum(*piston_case(seed, cylinders, spare), allowed)
        out.append([seed, cylinders, spare, allowed, *best])
    return table("seed,cylinders,spare,allowed,outside,excess,over,squares,spread".split(","), out)


def files():
    return {
        "selection_assignment.csv": assignments(),
        "selection_shims.csv": shims(),
        "selection_shells.csv": shells(),
        "selection_pistons.csv": pistons(),
    }
