"""Checks posterior.json with NumPy: the estimate by brute force on a fixed grid."""

import json

import numpy as np
from scipy.special import ndtr

CLASSES = {  # median K, sd ln K, mean n, sd n, median yield stress, sd ln yield stress
    "uncrosslinked HA": (3, 0.7, 0.55, 0.08, 1, 1.0),
    "fine HA": (12, 0.5, 0.45, 0.06, 5, 0.8),
    "soft HA": (28, 0.5, 0.40, 0.06, 12, 0.8),
    "medium HA": (45, 0.5, 0.36, 0.05, 30, 0.7),
    "firm HA": (65, 0.5, 0.31, 0.05, 55, 0.6),
    "CaHA paste": (85, 0.6, 0.32, 0.06, 100, 0.7),
    "diluted CaHA": (20, 0.6, 0.45, 0.07, 10, 0.8),
    "unknown": (45, 1.0, 0.38, 0.08, 25, 1.2),
}
COMBINATION, ONE_TEST, SLIP = 0.15, np.hypot(0.08, 0.12), 0.02
HUB = 5.0  # mm


def axis(mean, sd, count, low=-np.inf, high=np.inf):
    points = np.linspace(max(mean - 4.5 * sd, low), min(mean + 4.5 * sd, high), count)
    return points, -0.5 * ((points - mean) / sd) ** 2


class Product:
    """A grid of products of one class, with the suction that each needs for a time."""

    X = np.linspace(-25, 40, 26001)  # logit of phi

    def __init__(self, name):
        k, sk, n, sn, y, sy = CLASSES[name]
        self.lnk, pk = axis(np.log(k), sk, 61)
        self.n, pn = axis(n, sn, 25, 0.12, 1.0)
        self.lny, py = axis(np.log(y), sy, 61)
        self.prior = pk[:, None, None] + pn[None, :, None] + py[None, None, :]
        v = 1 / (1 + np.exp(-self.X))
        self.tables = []
        for n in self.n:
            b = (1 - v) ** 2 / (3 * n + 1) + 2 * v * (1 - v) / (2 * n + 1) + v**2 / (n + 1)
            f = np.exp(self.X / n) * v / (n * b)
            h = self.X[1] - self.X[0]
            logs = np.concatenate([[0], np.cumsum((f[1:] + f[:-1]) / 2 * h)]) + f[0] / (1 + 1 / n)
            self.tables.append(np.log(logs / v))  # ln(phi^(1/n) G)

    def ln_suction(self, bore_mm, length_mm, time):
        radius, length = bore_mm / 2000, (length_mm + HUB) / 1000
        out = np.empty(self.prior.shape)
        for i, n in enumerate(self.n):
            goal = np.log(time * radius / length) - (self.lnk[:, None] - self.lny[None, :]) / n
            x = np.interp(goal, self.tables[i], self.X)
            out[:, i, :] = np.log(2 * length / radius) + self.lny[None, :] + np.log1p(np.exp(-x))
        return out


def ln_pull(gas_ml, pull_ml):
    return np.log(101325.0 - max(2339.0, 101325.0 * gas_ml / (gas_ml + pull_ml)))


def slip(low, high):
    if high is None:
        return 0.5
    low, high = np.clip([low, high], 0.05, 120)
    return 0.5 * np.log(high / low) / np.log(120 / 0.05)


def quantile(values, weights, p):
    order = np.argsort(values, axis=None)
    total = np.cumsum(weights.ravel()[order])
    return values.ravel()[order][np.searchsorted(total, p * total[-1])]


def compare(case, nodes=21):
    product = Product(case["gel_class"])
    delta = np.linspace(-4.5, 4.5, nodes) * COMBINATION
    pdelta = np.exp(-0.5 * (delta / COMBINATION) ** 2)
    pdelta /= pdelta.sum()
    likelihoods = {}
    for c in case["combinations"]:
        joint = np.ones(product.prior.shape + (nodes,)) * pdelta
        for test in c["tests"]:
            def share(time):
                if time is None:
                    return 1.0
                if time <= 0:
                    return 0.0
                need = product.ln_suction(c["bore_mm"], c["length_mm"], time)
                return ndtr((ln_pull(case["gas_ml"], test["pull_ml"]) - need[..., None] + delta) / ONE_TEST)
            joint *= (1 - SLIP) * (share(test["to_s"]) - share(test["from_s"])) + SLIP * slip(test["from_s"], test["to_s"])
        likelihoods[c["bore_mm"], c["length_mm"]] = joint
    weight = np.exp(product.prior)
    for joint in likelihoods.values():
        weight = weight * joint.sum(axis=-1)
    worst_mean = worst_limit = 0.0
    for e in case["expect"]:
        joint = likelihoods.get((e["bore_mm"], float(e["length_mm"])))
        assert (joint is not None) == e["tested"]
        given = pdelta if joint is None else joint / joint.sum(axis=-1, keepdims=True)
        need = product.ln_suction(e["bore_mm"], e["length_mm"], e["by_s"])
        margin = (ln_pull(case["gas_ml"], e["pull_ml"]) - need[..., None] + delta) / ONE_TEST
        w = weight[..., None] * given
        mean = (ndtr(margin) * w).sum() / w.sum()
        low, high = (ndtr(quantile(margin, w, p)) for p in (0.1, 0.9))
        worst_mean = max(worst_mean, abs(mean - e["share"]))
        worst_limit = max(worst_limit, abs(low - e["low"]), abs(high - e["high"]))
    return worst_mean, worst_limit


def main():
    for case in json.load(open("posterior.json")):
        for c in case["combinations"]:
            c["length_mm"] = float(c["length_mm"])
        mean, limit = compare(case)
        print(f"posterior.json, {case['gel_class']}: worst difference {mean:.4f} on shares, {limit:.4f} on limits")
        assert mean < 0.002 and limit < 0.01


main()
