"""Reference values for the module of times, by NumPy and SciPy.

`make reference-time` runs this and writes time_reference.json beside it; the
tests in tests/time/ compare with that file. Nothing here is shared with the
program: quantiles and integrals are SciPy's, sums and shrinkage are worked out
from their definitions, and a Monte Carlo of a million draws stands beside what
is only an approximation.
"""

import json
from pathlib import Path

import numpy as np
import scipy
from scipy import integrate, optimize, stats

DRAWS = 1_000_000
SEED = 20261125


def lognormal(mean, cv):
    """A frozen lognormal of this mean and coefficient of variation."""
    s2 = np.log1p(cv * cv)
    return stats.lognorm(s=np.sqrt(s2), scale=mean * np.exp(-s2 / 2))


def draw(rng, mean, cv, size=DRAWS):
    return lognormal(mean, cv).rvs(size=size, random_state=rng)


def quantiles():
    """Standard normal and lognormal quantiles and probabilities."""
    levels = [1e-9, 0.01, 0.1, 0.5, 0.8, 0.85, 0.9, 0.95, 0.99, 0.999999]
    points = [-6.0, -2.5, -1.0, 0.0, 0.3, 1.645, 4.0]
    shapes = [(12.0, 0.35), (40.0, 0.6), (300.0, 0.9)]
    return {
        "normal": [[p, stats.norm.ppf(p)] for p in levels],
        "probability": [[z, stats.norm.cdf(z)] for z in points],
        "lognormal": [
            [mean, cv, p, lognormal(mean, cv).ppf(p)]
            for mean, cv in shapes
            for p in (0.5, 0.8, 0.95)
        ],
    }


def fenton_wilkinson(rng):
    """Sums of steps at an unknown pace: by matching moments, and drawn."""
    cases = {
        "twenty screws": [(9.8, 0.35)] * 20,
        "a mixed job": [(11.3, 0.35)] * 8
        + [(5.0, 0.6)] * 12
        + [(30.0, 0.9), (45.0, 0.6), (90.0, 0.6)]
        + [(1.4, 0.35)] * 20,
        "three long steps": [(90.0, 0.6), (45.0, 0.9), (60.0, 0.6)],
    }
    pace_sd = 0.15
    out = []
    for name, steps in cases.items():
        mean = sum(m for m, _ in steps)
        variance = sum((m * cv) ** 2 for m, cv in steps)
        s2 = np.log1p(variance / mean**2)
        total = stats.lognorm(
            s=np.sqrt(s2 + pace_sd**2), scale=mean * np.exp(-s2 / 2)
        )
        drawn = sum(draw(rng, m, cv) for m, cv in steps)
        drawn *= np.exp(rng.normal(0.0, pace_sd, DRAWS))
        levels = [0.5, 0.8, 0.95]
        out.append(
            {
                "name": name,
                "steps": steps,
                "matched": [total.ppf(p) for p in levels],
                "drawn": [float(np.quantile(drawn, p)) for p in levels],
            }
        )
    return out


def remaining():
    """Mean and deviation of what is left of a step, by numeric integration."""
    out = []
    for mean, cv in ((40.0, 0.5), (12.0, 0.35), (45.0, 0.9)):
        step = lognormal(mean, cv)
        for past in (0.25 * mean, mean, 2.0 * mean, 5.0 * mean):
            beyond = step.sf(past)

            def moment(k):
                # In units of what has passed: the tail is long.
                value, _ = integrate.quad(
                    lambda u: (past * (u - 1.0)) ** k * step.pdf(past * u) * past,
                    1.0,
                    np.inf,
                    epsabs=0.0,
                    epsrel=1e-10,
                    limit=400,
                )
                return value / beyond

            first = moment(1)
            out.append([mean, cv, past, first, float(np.sqrt(moment(2) - first**2))])
    return out


def huber(z, k=1.345):
    return np.clip(z, -k, k)


def posterior(prior_sd, seen):
    """The mean that a normal prior and Huber's bound define, by bisection."""
    values = np.array([y for y, _ in seen])
    sds = np.sqrt([v for _, v in seen])

    def balance(mean):
        return mean / prior_sd**2 - np.sum(huber((values - mean) / sds) / sds)

    mean = optimize.brentq(balance, -50.0, 50.0, xtol=1e-14)
    pulls = np.abs((values - mean) / sds)
    weights = np.minimum(1.0, 1.345 / np.maximum(pulls, 1e-300))
    precision = 1.0 / prior_sd**2 + np.sum(weights / sds**2)
    return mean, 1.0 / np.sqrt(precision)


def paces(rng):
    """Posterior of a pace: calm, and with one wild step."""
    out = []
    for wild in (None, 3.0, -4.0):
        variances = rng.uniform(0.02, 0.4, 15)
        values = 0.18 + rng.normal(size=15) * np.sqrt(variances)
        if wild is not None:
            values[6] = wild
        seen = [[float(y), float(v)] for y, v in zip(values, variances)]
        mean, sd = posterior(0.15, seen)
        out.append({"seen": seen, "mean": mean, "sd": sd})
    return out


def shrinkage(rng):
    """Empirical Bayes: the handbook's own error, and what it makes of each step."""
    job_sd = 0.15
    true_sd = 0.35
    steps = []
    for _ in range(12):
        n = int(rng.integers(2, 15))
        spread = float(rng.uniform(0.02, 0.12))
        effect = rng.normal(0.0, true_sd)
        values = effect + rng.normal(size=n) * np.sqrt(spread + job_sd**2)
        # Without a wild one: here the shrinkage is looked at alone.
        limit = 0.9 * np.sqrt(spread + job_sd**2)
        values = effect + np.clip(values - effect, -limit, limit)
        steps.append({"spread": spread, "seen": [float(y) for y in values]})
    means = np.array([np.mean(s["seen"]) for s in steps])
    variances = np.array([(s["spread"] + job_sd**2) / len(s["seen"]) for s in steps])
    between = optimize.brentq(
        lambda t: np.sum(means**2 / (t * t + variances)) - len(steps),
        1e-9,
        10.0,
        xtol=1e-14,
    )
    for step, mean, variance in zip(steps, means, variances):
        keep = between**2 / (between**2 + variance)
        step["log_ratio"] = float(keep * mean)
    return {"between_sd": float(between), "steps": steps}


def elements(rng):
    """Effects of elements and jobs together: the posterior mean, by lstsq.

    The prior is written as observations of 0, so that least squares finds the
    same mean in another way than by normal equations.
    """
    names = ["screw-out", "screw-in", "ribbon-out", "plug-out"]
    between, job_sd, spread = 0.3, 0.15, 0.04
    effects = np.array([0.05, -0.02, 0.25, 0.0])
    jobs = 6
    paces = rng.normal(0.0, job_sd, jobs)
    rows, design, values = [], [], []
    for job in range(jobs):
        for _ in range(8):
            shares = rng.dirichlet(np.ones(4)) * 0.9
            line = np.concatenate([shares, np.eye(jobs)[job]])
            # Kept small, so that nothing is weighted down.
            noise = float(np.clip(rng.normal(0.0, np.sqrt(spread)), -0.12, 0.12))
            value = float(shares @ effects + paces[job] + noise)
            rows.append({"job": job, "shares": shares.tolist(), "seen": value})
            design.append(line / np.sqrt(spread))
            values.append(value / np.sqrt(spread))
    prior = np.diag([1.0 / between] * 4 + [1.0 / job_sd] * jobs)
    matrix = np.vstack([np.array(design), prior])
    right = np.concatenate([values, np.zeros(4 + jobs)])
    found = np.linalg.lstsq(matrix, right, rcond=None)[0]
    sds = np.sqrt(np.diag(np.linalg.inv(matrix.T @ matrix)))
    return {
        "between_sd": between,
        "variance": spread,
        "elements": names,
        "rows": rows,
        "log_ratios": found[:4].tolist(),
        "sds": sds[:4].tolist(),
    }


def main():
    rng = np.random.default_rng(SEED)
    values = {
        "made_by": "tests/reference/time_reference.py",
        "with": {"numpy": np.__version__, "scipy": scipy.__version__},
        "seed": SEED,
        "draws": DRAWS,
        **quantiles(),
        "sums": fenton_wilkinson(rng),
        "remaining": remaining(),
        "paces": paces(rng),
        "shrinkage": shrinkage(rng),
        "elements": elements(rng),
    }
    target = Path(__file__).with_suffix(".json")
    target.write_text(json.dumps(values, indent=1) + "\n", encoding="utf-8")
    print(f"{target.name}: {target.stat().st_size} bytes")


if __name__ == "__main__":
    main()
