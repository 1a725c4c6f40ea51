"""Checks exit_gel_only.csv and exit_full.csv with SciPy, and makes flow.csv,
exit_shape.csv and exit_hard.csv. See README.md."""

import csv
import math

import numpy as np
from scipy import integrate, optimize

ATMOSPHERE, VAPOUR = 101325.0, 2339.0


def rows(name):
    with open(name, newline="") as f:
        return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(f)]


def write(name, head, lines):
    with open(name, "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(head)
        out.writerows(lines)


def velocity(wall, radius, k, n, yield_stress):
    """The printed closed form for the mean velocity."""
    if wall <= yield_stress:
        return 0.0
    b = wall - yield_stress
    return (radius * n * b ** ((n + 1) / n) / (k ** (1 / n) * wall**3)
            * (b * b / (3 * n + 1) + 2 * yield_stress * b / (2 * n + 1) + yield_stress**2 / (n + 1)))


def profile_flow(wall, radius, k, n, yield_stress):
    """Flow rate from the shear rate alone: pi R^3/tau_w^3 times the integral of tau^2 * shear rate."""
    if wall <= yield_stress:
        return 0.0
    value, _ = integrate.quad(lambda s: s * s * ((s - yield_stress) / k) ** (1 / n), yield_stress, wall,
                              epsabs=0, epsrel=1e-12, limit=400)
    return math.pi * radius**3 / wall**3 * value


def suction(drawn, gas, pull, source):
    return ATMOSPHERE + source - max(VAPOUR, ATMOSPHERE * gas / (gas + pull - drawn))


def gel_only_time(r):
    radius, length = r["bore_m"] / 2, r["tube_m"]
    f = lambda left: length / velocity(r["suction_pa"] * radius / (2 * length * left), radius,
                                       r["consistency_pa_sn"], r["flow_index"], r["yield_pa"])
    return integrate.quad(f, 0, 1, epsabs=0, epsrel=1e-11, limit=1000)[0]


def full_time(r):
    """dt/dx = 1/U by LSODA, U by Brent's method on the wall stress."""
    radius, length = r["bore_m"] / 2, r["tube_m"]
    k, n, y, mu = r["consistency_pa_sn"], r["flow_index"], r["yield_pa"], r["liquid_pa_s"]
    area = math.pi * radius**2

    def slowness(x, _):
        drive = suction(area * x, r["gas_ml"] * 1e-6, r["pull_ml"] * 1e-6, r["source_gauge_pa"])
        left = 2 * (length - x) / radius
        if left <= 1e-14 * length / radius:
            return 8 * mu * x / (drive * radius**2)
        off = lambda wall: 8 * mu * x * velocity(wall, radius, k, n, y) / radius**2 + wall * left - drive
        wall = optimize.brentq(off, y, drive / left * (1 + 1e-9), xtol=1e-300, rtol=1e-15, maxiter=1000)
        return 1 / velocity(wall, radius, k, n, y)

    run = integrate.solve_ivp(slowness, (0, length), [0.0], method="LSODA", rtol=1e-10, atol=1e-16)
    assert run.success
    return run.y[0, -1]


def check(name, compute, tolerance):
    worst = max(abs(compute(r) / r["exit_s"] - 1) for r in rows(name))
    print(f"{name}: worst relative difference {worst:.1e}, allowed {tolerance:.0e}")
    assert worst < tolerance


# --- panels in extended precision, for the cases that ordinary quadrature finds hard

NODES, WEIGHTS = (a.astype(np.longdouble) for a in np.polynomial.legendre.leggauss(40))


def panels(f, edges):
    total = np.longdouble(0)
    for a, b in zip(edges[:-1], edges[1:]):
        half = (b - a) / 2
        total += half * np.sum(WEIGHTS * f(a + half * (1 + NODES)))
    return total


def shape(rest, n):
    """(1-phi)^(1/n) G(phi, n), over the logarithm of v = 1 - phi u, for phi = 1 - rest."""
    rest, n = np.longdouble(rest), np.longdouble(n)
    phi = 1 - rest

    def f(s):
        v = np.exp(s)
        b = v * v / (3 * n + 1) + 2 * v * (1 - v) / (2 * n + 1) + (1 - v) ** 2 / (n + 1)
        return ((1 - v) / phi) ** (1 / n) * (rest / v) ** (1 / n) / (n * b) / phi

    # the end v = 1, where (1-v)^(1/n) is not smooth, is closed in on in halves
    first = np.log(rest)
    near_end = [first * np.longdouble(0.5) ** i for i in range(60)]
    start = np.linspace(first, near_end[1], 41).astype(np.longdouble)
    return panels(f, list(start) + near_end[2:] + [np.longdouble(0)])


def hard_time(r):
    """The full model over panels that close in on both ends and on the kink of the suction."""
    ld = np.longdouble
    radius, length = ld(r["bore_m"]) / 2, ld(r["tube_m"])
    k, n, y, mu = ld(r["consistency_pa_sn"]), ld(r["flow_index"]), ld(r["yield_pa"]), ld(r["liquid_pa_s"])
    gas, pull = ld(r["gas_ml"]) * ld("1e-6"), ld(r["pull_ml"]) * ld("1e-6")
    area = ld(math.pi) * radius**2

    def slowness(x, left):
        inside = np.maximum(VAPOUR, ld(ATMOSPHERE) * gas / (gas + pull - area * x))
        drive = ld(ATMOSPHERE) + ld(r["source_gauge_pa"]) - inside - 2 * y * left / radius
        assert (drive > 0).all()
        a, c = 8 * mu * x / radius**2, 2 * left / radius
        low, high = np.full_like(x, ld(-200)), np.log(drive / c)
        for _ in range(120):  # bisection for the logarithm of the excess wall stress
            z = (low + high) / 2
            b = np.exp(z)
            wall = b + y
            speed = np.exp(np.log(radius * n) + ((n + 1) * z - np.log(k)) / n - 3 * np.log(wall)
                           + np.log(b * b / (3 * n + 1) + 2 * y * b / (2 * n + 1) + y * y / (n + 1)))
            over = a * speed + c * b > drive
            high, low = np.where(over, z, high), np.where(over, low, z)
        return 1 / speed

    cuts = [ld(10) ** (i / ld(4)) for i in range(-56, 0)]  # 1e-14 up to 0.56
    inner = [c for c in cuts if c < 0.5]
    kink = float((gas + pull - ld(ATMOSPHERE) * gas / ld(VAPOUR)) / area / length)
    start = [ld(0)] + inner + [ld(0.5)]
    if 0 < kink < 0.5:
        start = sorted(start + [ld(kink)])
    total = panels(lambda p: length * slowness(length * p, length * (1 - p)), start)
    end = [ld(0)] + inner + [ld(0.5)]
    if 0.5 < kink < 1:
        end = sorted(end + [1 - ld(kink)])
    return total + panels(lambda q: length * slowness(length * (1 - q), length * q), end)


HARD = [  # bore mm, tube mm, K, n, yield, liquid, gas mL, pull mL, source Pa
    (0.165, 18, 45, 0.36, 30, 2.0e-3, 0.03, 0.1, 0),        # an ordinary needle
    (0.105, 18, 85, 0.32, 140.72, 2.0e-3, 0.005, 0.1, 0),   # moves by hardly more than its yield stress
    (0.44, 43, 20, 0.45, 10, 2.0e-3, 0.0023, 0.1, 0),       # starts at the vapour pressure, leaves it on the way
    (0.44, 43, 20, 0.45, 10, 2.0e-3, 0.00228, 0.099, 2000),  # the same, early
    (0.44, 43, 3, 0.55, 1, 3.5e-3, 0.03, 0.00656, 0),       # the suction is nearly used up at the hub
    (0.44, 43, 3, 0.55, 1, 0.5, 0.03, 0.00656, 0),          # and a syrup follows
    (0.133, 18, 0.05, 1, 0, 3.5e-3, 0.03, 0.1, 0),          # Newtonian, thin
    (0.133, 18, 12, 1, 20, 3.5e-3, 0.03, 0.1, 0),           # Bingham
    (0.241, 18, 60, 0.12, 40, 2.0e-3, 0.03, 0.1, 0),        # hardly thickens with speed
    (0.105, 18, 65, 0.15, 50, 2.0e-3, 0.03, 0.02, 1500),
    (0.19, 18, 1, 1.6, 5, 2.0e-3, 0.03, 0.1, 0),            # thickens under shear
    (0.19, 18, 0.02, 0.3, 0, 2.0e-3, 0.03, 0.1, 0),         # all of the time is the liquid's
]
FIELDS = ["bore_m", "tube_m", "consistency_pa_sn", "flow_index", "yield_pa", "liquid_pa_s", "gas_ml", "pull_ml", "source_gauge_pa"]


def main():
    check("exit_gel_only.csv", gel_only_time, 1e-6)
    check("exit_full.csv", full_time, 1e-6)

    flow = []
    for wall, radius, k, n, y in [(20, 0.02, 0.5, 0.6, 12), (20, 0.02, 0.1, 1, 8), (12, 0.02, 0.5, 0.6, 12),
                                  (400, 8e-5, 45, 0.36, 30), (400, 8e-5, 85, 0.32, 390), (90, 1e-4, 3, 0.55, 0),
                                  (1000, 2e-4, 12, 0.12, 5), (50, 2e-4, 2, 1.7, 20), (30.01, 8e-5, 45, 0.4, 30)]:
        flow.append([wall, radius, k, n, y, repr(profile_flow(wall, radius, k, n, y))])
    write("flow.csv", ["wall_stress_pa", "radius_m", "consistency_pa_sn", "flow_index", "yield_pa", "flow_m3_s"], flow)

    shapes = [[repr(rest), n, f"{shape(rest, n):.15g}"]
              for n in (0.05, 0.12, 0.3, 0.45, 1, 1.7) for rest in (1 - 1e-6, 0.9, 0.5, 0.1, 1e-2, 1e-4, 1e-6, 1e-9)]
    write("exit_shape.csv", ["rest", "flow_index", "shape"], shapes)

    hard = []
    for case in HARD:
        values = [case[0] / 1000, case[1] / 1000, *case[2:]]
        hard.append([repr(float(v)) for v in values] + [f"{hard_time(dict(zip(FIELDS, values))):.13g}"])
    write("exit_hard.csv", FIELDS + ["exit_s"], hard)


main()
