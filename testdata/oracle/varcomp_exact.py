# Exact variance components by brute force: 40-digit arithmetic (mpmath), the
# covariance matrix of every athlete written out and factored, derivatives by
# differences. It shares no formula with package varcomp beyond the definition
# of the criterion. Prints lines for testdata/published/varcomp/exact.txt.
#
#   python3 varcomp_exact.py NAME data.csv AS0 A0 E0
#
# data.csv: athlete,session,value after comment lines (#); AS0 A0 E0 are where to
# begin (0 keeps a component at 0, after the slope there is seen to be positive).
import sys
from mpmath import mp, mpf, matrix, cholesky, log, pi, lu_solve, sqrt, nstr

mp.dps = 40
name, path = sys.argv[1], sys.argv[2]
begin = dict(zip(("session", "athlete", "trial"), map(mpf, sys.argv[3:6])))
lines = [l.strip().split(",") for l in open(path) if not l.startswith("#")][1:]
sessions = sorted({int(l[1]) for l in lines})
p = len(sessions)
athletes = {}
for a, s, y in lines:
    athletes.setdefault(a, []).append((sessions.index(int(s)), mpf(y)))
N = len(lines)


def criterion(v, reml):
    """-2 log likelihood, up to nothing: constants included."""
    logdet, m, b, q = mpf(0), matrix(p, p), matrix(p, 1), mpf(0)
    for rows in athletes.values():
        n = len(rows)
        V = matrix(n, n)
        for i in range(n):
            for j in range(n):
                V[i, j] = v["athlete"] + (v["session"] if rows[i][0] == rows[j][0] else 0) + (v["trial"] if i == j else 0)
        L = cholesky(V)
        logdet += 2 * sum(log(L[i, i]) for i in range(n))
        cols = []
        for vec in [[mpf(1 if r[0] == s else 0) for r in rows] for s in range(p)] + [[r[1] for r in rows]]:
            x = []
            for i in range(n):
                x.append((vec[i] - sum(L[i, j] * x[j] for j in range(i))) / L[i, i])
            cols.append(x)
        for i in range(p):
            for j in range(p):
                m[i, j] += sum(a * b_ for a, b_ in zip(cols[i], cols[j]))
            b[i] += sum(a * b_ for a, b_ in zip(cols[i], cols[p]))
        q += sum(a * a for a in cols[p])
    beta = lu_solve(m, b)
    q -= sum(beta[i] * b[i] for i in range(p))
    f = logdet + q + (N - p if reml else N) * log(2 * pi)
    if reml:
        L = cholesky(m)
        f += 2 * sum(log(L[i, i]) for i in range(p))
    return f, beta, m


def derivatives(v, reml, names):
    h = mpf(10) ** -12
    f = lambda w: criterion(w, reml)[0]
    step = lambda **k: {c: v[c] + k.get(c, 0) * h * (v[c] if v[c] else 1) for c in v}
    size = {c: h * (v[c] if v[c] else 1) for c in v}
    g, H = {}, {}
    f0 = f(v)
    plus = {c: f(step(**{c: 1})) for c in names}
    minus = {c: f(step(**{c: -1})) for c in names}
    for c in names:
        g[c] = (plus[c] - minus[c]) / (2 * size[c])
        H[c, c] = (plus[c] - 2 * f0 + minus[c]) / size[c] ** 2
    for i, c in enumerate(names):
        for e in names[:i]:
            x = f(step(**{c: 1, e: 1})) - f(step(**{c: 1, e: -1})) - f(step(**{c: -1, e: 1})) + f(step(**{c: -1, e: -1}))
            H[c, e] = H[e, c] = x / (4 * size[c] * size[e])
    return f0, g, H


def newton(v, reml, names):
    v = dict(v)
    for _ in range(60):
        f0, g, H = derivatives(v, reml, names)
        A = matrix(len(names), len(names))
        for i, c in enumerate(names):
            for j, e in enumerate(names):
                A[i, j] = H[c, e]
        d = lu_solve(A, matrix([-g[c] for c in names]))
        if sum(g[c] * d[i] for i, c in enumerate(names)) > 0:  # not convex here: each on its own, downhill
            d = [-g[c] / max(abs(H[c, c]), abs(g[c]) / v[c]) for c in names]
        d = [max(d[i], -v[c] * mpf("0.7")) for i, c in enumerate(names)]
        while max(abs(d[i]) / v[c] for i, c in enumerate(names)) > mpf(10) ** -10 and criterion({**v, **{c: v[c] + d[i] for i, c in enumerate(names)}}, reml)[0] > f0:
            d = [x / 2 for x in d]
        for i, c in enumerate(names):
            v[c] += d[i]
        if all(abs(d[i]) < abs(v[c]) * mpf(10) ** -19 for i, c in enumerate(names)):
            return v
    raise SystemExit("no convergence")


def minimum(v, reml, names, zero):
    """Over names, and over the one in zero if the criterion falls from 0 there."""
    v = newton(v, reml, [c for c in names if c not in zero]) if names else v
    for c in zero:
        small = mpf(10) ** -15
        if c in names and criterion({**v, c: small}, reml)[0] < criterion({**v, c: mpf(0)}, reml)[0]:
            grid = [{**v, c: v["trial"] * mpf(2) ** -k} for k in range(-2, 24)]
            v = newton(min(grid, key=lambda w: criterion(w, reml)[0]), reml, names)
    return v


def profile(best, fmin, reml, names, c, start, zero=()):
    """Solves excess(sd) = chi-square, the other components at their minimum."""
    cut = mpf("3.8414588206941259583")
    others = [e for e in names if e != c]
    sd, v = mpf(start), dict(best)
    for _ in range(60):
        v[c] = sd * sd
        v = minimum({**v, **{e: mpf(0) for e in zero if e != c}}, reml, others, [e for e in zero if e != c])
        f0, g, _ = derivatives(v, reml, [c])
        z = sqrt(f0 - fmin)
        move = (z - sqrt(cut)) / (g[c] * sd / z)
        sd -= move
        if abs(move) < sd * mpf(10) ** -18:
            return sd
    raise SystemExit("no limit")


everything = ("session", "athlete", "trial")
names = [c for c in ("session", "athlete", "trial") if begin[c] > 0]
for label, reml in (("REML", True), ("ML", False)):
    best = newton(begin, reml, names)
    fmin, beta, m = criterion(best, reml)
    zero = [c for c in everything if c not in names]
    out = lambda quantity, of, x: print(",".join([name, label, quantity, of, repr(float(x))]), flush=True)
    for c in ("session", "athlete", "trial"):
        if c not in names:
            h = mpf(10) ** -15
            assert criterion({**best, c: h}, reml)[0] > fmin, "rises from 0"
        out("variance", c, best[c])
    out("criterion", "all", fmin)
    inverse = m ** -1
    for i in range(p):
        out("mean", str(i + 1), beta[i] - (beta[0] if i else 0))
        out("se", str(i + 1), sqrt(inverse[i, i] + (inverse[0, 0] - 2 * inverse[0, i] if i else 0)))
    for c in ("session", "athlete", "trial"):
        if c in names:
            at0 = None
            if c != "trial":
                rest = minimum({**best, c: mpf(0)}, reml, [e for e in everything if e != c], zero)
                at0 = criterion(rest, reml)[0] - fmin
            low = mpf(0) if at0 is not None and at0 < mpf("3.8414588206941259583") else profile(best, fmin, reml, everything, c, sqrt(best[c]) * mpf("0.8"), zero)
            out("lower", c, low)
            out("upper", c, profile(best, fmin, reml, everything, c, sqrt(best[c]) * mpf("1.25"), zero))
        else:
            out("lower", c, 0)
            scale = sqrt(best["trial"])
            out("upper", c, profile(best, fmin, reml, everything, c, scale * mpf("0.7")))
