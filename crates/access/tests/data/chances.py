"""Expected values of chances.toml, computed without the program and by another method.

python3 chances.py > chances.toml      (needs scipy and numpy)

Sums of beta-PERT times: characteristic function of each beta by Kummer's 1F1(alpha; alpha+beta; it)
(DLMF 13.4.1), their product inverted by the formula of Gil-Pelaez (Biometrika 1951), percentiles by
root finding; no grid of masses and no convolution takes part. Breakages: the distribution conditioned
on every combination of what breaks. Learning: posterior means by integrating prior times likelihood
over a grid of (mean, variance), no conjugate formula takes part.
"""
import itertools
import numpy as np
from scipy import optimize, special, stats


def phi(pieces, t):
    value = np.ones_like(t, dtype=complex)
    for a, m, b in pieces:
        if b > a:
            alpha = 1 + 4 * (m - a) / (b - a)
            value *= np.exp(1j * t * a) * kummer(alpha, 6.0, 1j * t * (b - a))
        else:
            value *= np.exp(1j * t * a)
    return value


NODES, WEIGHTS = np.polynomial.legendre.leggauss(3000)


def kummer(alpha, total, z):
    """1F1 by its integral, E[exp(z U)], U beta(alpha, total - alpha): u = (1 - cos s)/2 takes the
    ends out of the way, 3000 Gauss points are enough for the arguments used."""
    s = (NODES + 1) * np.pi / 2
    u = (1 - np.cos(s)) / 2
    weight = WEIGHTS * np.pi / 2 * np.sin(s) / 2
    density = stats.beta.pdf(u, alpha, total - alpha)
    return np.array([(np.exp(one * u) * density * weight).sum() for one in z])


def time_cdf(pieces):
    width = sum(b - a for a, _, b in pieces)
    low = sum(a for a, _, _ in pieces)
    wide = [piece for piece in pieces if piece[2] > piece[0]]
    if len(wide) == 1:                     # nothing to add: the beta distribution itself
        (a, m, b), = wide
        alpha = 1 + 4 * (m - a) / (b - a)
        beta = stats.beta(alpha, 6 - alpha, loc=low, scale=b - a)
        return beta.cdf, low, low + width
    step = np.pi / (1.25 * width)          # sampling theorem with room to spare
    t = step * (np.arange(1500) + 0.5)
    values = phi(pieces, t)

    def cdf(x):
        if x <= low:
            return 0.0
        if x >= low + width:
            return 1.0
        return 0.5 - (np.imag(np.exp(-1j * t * x) * values) / t).sum() * step / np.pi

    return cdf, low, low + width


def percentile(cdf, low, high, share):
    return optimize.brentq(lambda x: cdf(x) - share, low, high, xtol=1e-12)


def figures(name, pieces, perhaps=()):
    cdf, low, high = time_cdf(pieces)

    def whole(x):
        total = 0.0
        for breaks in itertools.product([0, 1], repeat=len(perhaps)):
            p = np.prod([q if hit else 1 - q for hit, (q, _) in zip(breaks, perhaps)])
            total += p * cdf(x - sum(c for hit, (_, c) in zip(breaks, perhaps) if hit))
        return total

    high += sum(c for _, c in perhaps)
    mean = sum((a + 4 * m + b) / 6 for a, m, b in pieces) + sum(q * c for q, c in perhaps)
    var = 0.0
    for a, m, b in pieces:
        if b > a:
            alpha = 1 + 4 * (m - a) / (b - a)
            var += (b - a) ** 2 * stats.beta.var(alpha, 6 - alpha)
    var += sum(q * (1 - q) * c * c for q, c in perhaps)
    print(f"[[sum]]\nname = \"{name}\"")
    print(f"pieces = {[list(map(float, p)) for p in pieces]}")
    print(f"perhaps = {[list(map(float, p)) for p in perhaps]}")
    print(f"mean = {mean:.9f}\nsd = {np.sqrt(var):.9f}")
    for key, share in (("p50", 0.5), ("p80", 0.8), ("p90", 0.9)):
        print(f"{key} = {percentile(whole, low, high, share):.6f}")
    # an independent look: four million draws
    rng = np.random.default_rng(20240501)
    draws = np.zeros(4_000_000)
    for a, m, b in pieces:
        if b > a:
            alpha = 1 + 4 * (m - a) / (b - a)
            draws += a + (b - a) * rng.beta(alpha, 6 - alpha, draws.size)
        else:
            draws += a
    for q, c in perhaps:
        draws += c * (rng.random(draws.size) < q)
    drawn = [round(float(x), 3) for x in np.quantile(draws, [0.5, 0.8, 0.9])]
    print(f"drawn = {drawn}  # 4e6 draws, for comparison only\n")


def learning(name, estimate, strength, jobs):
    a, m, b = estimate
    mean, var = (a + 4 * m + b) / 6, None
    alpha = 1 + 4 * (m - a) / (b - a)
    var = (b - a) ** 2 * stats.beta.var(alpha, 6 - alpha)
    s2 = np.log(1 + var / mean**2)
    mu0, a0 = np.log(mean) - s2 / 2, 1 + strength / 2
    b0 = s2 * (a0 - 1)
    x = np.log(jobs)
    log_v = np.linspace(np.log(s2) - 9, np.log(s2) + 9, 3001)
    mu = np.linspace(mu0 - 4, mu0 + 4, 4001)
    v = np.exp(log_v)[:, None]
    log_post = stats.invgamma.logpdf(v, a0, scale=b0) + log_v[:, None]
    log_post = log_post + stats.norm.logpdf(mu[None, :], mu0, np.sqrt(v / strength))
    for job in x:
        log_post = log_post + stats.norm.logpdf(job, mu[None, :], np.sqrt(v))
    weight = np.exp(log_post - log_post.max())
    weight /= weight.sum()
    print(f"[[learning]]\nname = \"{name}\"")
    print(f"estimate = {list(map(float, estimate))}\nstrength = {float(strength)}")
    print(f"jobs = {list(map(float, jobs))}")
    print(f"location = {(weight * mu[None, :]).sum():.6f}")
    print(f"variance = {(weight * v).sum():.6f}\n")


print("# Written by chances.py beside this file (scipy %s). Not by the program.\n" % __import__("scipy").__version__)
HANDBOOK = [(2, 4, 12), (1, 2, 3), (0.5, 1, 4.5)]
figures("the three tasks of the PERT example", HANDBOOK)
figures("one lopsided task", [(15, 20, 40)])
figures("likely at the low end, and an exact one", [(3, 3, 9), (4, 4, 4)])
figures("ten equal tasks", [(0.8, 1, 1.6)] * 10)
figures("long and short", [(60, 90, 240), (0.1, 0.2, 0.3), (5, 8, 10)])
figures("the three tasks, and what may break", HANDBOOK, [(0.7, 24.0), (0.1, 3.5)])
learning("slower than thought", (6, 10, 20), 3, [14, 15, 13, 17])
learning("one job", (15, 20, 40), 3, [30])
learning("as thought", (2, 4, 12), 5, [4, 6, 5, 3.5, 7, 5])
