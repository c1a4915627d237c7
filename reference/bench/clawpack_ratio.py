"""Speeds of the duct kernels beside Clawpack's one-dimensional Euler solver, in one interleaved run on one core.

    cargo build --release -p gas_exchange --example duct_speed
    pip install clawpack==5.14.0          # builds Fortran: needs gfortran
    taskset -c 0 python reference/bench/clawpack_ratio.py path/to/duct_speed [CELLS…]

Sod's problem, same grid, second order, limiter MC. Clawpack: HLLE, driven from Python as its users do, and its Fortran
step called in a bare loop without boundary conditions or a look at the Courant number. Each round measures all of them
one after the other; the ratios are of the best rounds (other load only ever slows a round), the medians stand beside.
"""

import logging
import statistics
import subprocess
import sys
import time

import numpy as np
from clawpack import pyclaw, riemann
from clawpack.pyclaw.classic import classic1

ROUNDS = 7
SECONDS = 0.3
TIME = 0.2


def tube(cells):
    solver = pyclaw.ClawSolver1D(riemann.euler_hlle_1D)
    solver.order = 2
    solver.limiters = pyclaw.limiters.tvd.MC
    solver.cfl_desired, solver.cfl_max = 0.9, 1.0
    solver.max_steps = 100_000
    solver.bc_lower[0] = solver.bc_upper[0] = pyclaw.BC.extrap
    x = pyclaw.Dimension(0.0, 1.0, cells, name="x")
    state = pyclaw.State(pyclaw.Domain([x]), 3)
    state.problem_data["gamma"] = 1.4
    state.problem_data["gamma1"] = 0.4
    state.problem_data["efix"] = False
    left = state.grid.x.centers < 0.5
    pressure = np.where(left, 1.0, 0.1)
    state.q[0] = np.where(left, 1.0, 0.125)
    state.q[1] = 0.0
    state.q[2] = pressure / 0.4
    solution = pyclaw.Solution(state, state.grid.parent if hasattr(state.grid, "parent") else pyclaw.Domain([x]))
    solver.dt_initial = 0.1 / cells
    solver.setup(solution)
    return solver, solution


def from_python(cells):
    """M cell-steps/s as its users drive it."""
    best, start = 0.0, time.perf_counter()
    while time.perf_counter() - start < SECONDS:
        solver, solution = tube(cells)
        begin = time.perf_counter()
        solver.evolve_to_time(solution, TIME)
        taken = time.perf_counter() - begin
        best = max(best, solver.status["numsteps"] * cells / taken * 1e-6)
        error = np.abs(solution.q[0] - exact_density(cells)).sum() / exact_density(cells).sum()
        assert error < 0.03, f"Clawpack does not solve Sod's problem: {error}"
    return best


def bare_loop(cells):
    """M cell-steps/s of the Fortran step alone."""
    solver, solution = tube(cells)
    solver.evolve_to_time(solution, 0.05)
    grid, ghosts = solution.state.grid, solver.num_ghost
    q = np.zeros((3, cells + 2 * ghosts), order="F")
    q[:, ghosts:-ghosts] = solution.q
    q[:, :ghosts] = q[:, ghosts : ghosts + 1]
    q[:, -ghosts:] = q[:, -ghosts - 1 : -ghosts]
    aux = np.zeros((0, cells + 2 * ghosts), order="F")
    dx, limiters = grid.delta[0], np.full(2, 4, dtype=np.int32)
    method = np.array([1, 2, 0, 0, 0, 0, 0], dtype=np.int32)
    dt, best = 0.3 * dx / 2.2, 0.0
    start = time.perf_counter()
    while time.perf_counter() - start < SECONDS:
        steps, work = 100, q.copy(order="F")
        begin = time.perf_counter()
        for _ in range(steps):
            work, _ = classic1.step1(ghosts, cells, work, aux, dx, dt, method, limiters, False, riemann.euler_hlle_1D.rp1._cpointer)
        best = max(best, steps * cells / (time.perf_counter() - begin) * 1e-6)
    assert np.isfinite(work).all()
    return best


def ours(program, cells):
    lines = subprocess.run([program, str(cells), str(SECONDS)], check=True, capture_output=True, text=True).stdout
    found = {}
    for line in lines.splitlines():
        words = line.split()
        if "not run" in line:
            print("  " + line)
        else:
            found[f"{words[0]} {words[1]}"] = float(words[3])
    return found


def exact_density(cells):
    """Sod at t = 0.2 from the tabulated star state (Toro 2009, table 4.2)."""
    s = ((np.arange(cells) + 0.5) / cells - 0.5) / TIME
    fan = (2 / 2.4 - 0.4 / (2.4 * np.sqrt(1.4)) * s) ** 5
    return np.select([s < -1.183216, s < -0.070273, s < 0.927453, s < 1.752156], [1.0, fan, 0.426319, 0.265574], 0.125)


def main():
    logging.disable(logging.CRITICAL)
    program = sys.argv[1]
    for cells in [int(word) for word in sys.argv[2:]] or [250, 2000]:
        rounds = {}
        for _ in range(ROUNDS):
            speeds = {"clawpack from Python": from_python(cells), "clawpack bare loop": bare_loop(cells)}
            for name, speed in {**speeds, **ours(program, cells)}.items():
                rounds.setdefault(name, []).append(speed)
        best = {name: max(speeds) for name, speeds in rounds.items()}
        print(f"{cells} cells: M cell-steps/s best, median; times Clawpack from Python, its bare loop (best by best)")
        for name, speeds in rounds.items():
            python, bare = (best[name] / best[f"clawpack {way}"] for way in ("from Python", "bare loop"))
            print(f"  {name:30} {best[name]:7.1f} {statistics.median(speeds):7.1f}   {python:6.1f} x {bare:6.1f} x")


if __name__ == "__main__":
    main()
