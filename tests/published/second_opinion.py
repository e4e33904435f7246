"""Second opinion by general-purpose libraries.

Writes data/synthetic-cook.csv (the input) and data/second-opinion.csv (what the
libraries say), which the Rust test compares with. Nothing here knows the Rust
code.

    pip install -r tests/requirements.txt
    python tests/published/second_opinion.py           write both files
    python tests/published/second_opinion.py --check   compute again and compare

The cook is invented: a product that follows its oven with a first-order lag,
oven 52, then 60.5 degC, then a chill at 4 degC.
"""

import argparse
import csv
import math
import sys
from importlib.metadata import version
from pathlib import Path

import CoolProp.CoolProp as coolprop
import mpmath
import numpy
import psychrolib
from scipy import integrate, stats

DATA = Path(__file__).parent / "data"
COLUMNS = ["kind", "a", "b", "c", "d", "e", "value", "library", "version", "from_memory"]
COOK_COLUMNS = ["seconds", "celsius"]

LAG = 1500.0  # s
STAGES = [(0.0, 3600.0, 52.0), (3600.0, 9000.0, 60.5), (9000.0, 10800.0, 4.0)]
START = 6.0  # degC
D, REFERENCE, Z = 20.0, 65.0, 5.6  # s, degC, degC; invented
RANGE = (55.0, 59.0)  # degC; for the clipped model

ATMOSPHERE = 101325.0


def row(kind, value, library, *inputs):
    """One row; inputs fill the columns a to e."""
    cells = list(inputs) + [""] * (5 - len(inputs))
    text = value if isinstance(value, str) else repr(float(value))
    return [kind, *map(str, cells), text, library, version(library), "no"]


def cook():
    """The product temperature by a stiff-safe ODE solver, dense in each stage."""
    pieces, at = [], START
    for begin, end, oven in STAGES:
        run = integrate.solve_ivp(
            lambda t, y, oven=oven: (oven - y) / LAG,
            (begin, end), [at], method="DOP853", rtol=1e-12, atol=1e-12, dense_output=True)
        pieces.append((begin, end, run.sol))
        at = run.y[0, -1]
    return pieces


def temperature(pieces, t):
    for begin, end, solution in pieces:
        if begin <= t <= end:
            return float(solution(t)[0])
    raise ValueError(t)


def rate(celsius):
    return 10.0 ** ((celsius - REFERENCE) / Z) / D


def clipped_rate(celsius):
    """0 below the range, flat above it."""
    low, high = RANGE
    return numpy.where(celsius < low, 0.0, rate(numpy.minimum(celsius, high)))


def cook_rows(pieces):
    points = [(t, round(temperature(pieces, float(t)), 4)) for t in range(0, 10801, 30)]
    out = []
    time = numpy.array([p[0] for p in points], dtype=float)
    temp = numpy.array([p[1] for p in points])
    for step in (30, 60, 300, 600):
        every = step // 30
        t, y = time[::every], temp[::every]
        out.append(row("trapezoid", numpy.trapezoid(rate(y), t), "numpy", step))
        out.append(row("trapezoid-clipped", integrate.trapezoid(clipped_rate(y), t), "scipy", step))
    # The truth of the continuous cook: adaptive quadrature of the rate over the
    # dense solution, and the survivors themselves as an ODE.
    whole = sum(
        integrate.quad(lambda t, s=s: rate(float(s(t)[0])), b, e, epsabs=1e-12, epsrel=1e-11, limit=500)[0]
        for b, e, s in pieces)
    out.append(row("reduction-by-quadrature", whole, "scipy"))
    state = [START, 0.0]
    for begin, end, oven in STAGES:
        run = integrate.solve_ivp(
            lambda t, y, oven=oven: [(oven - y[0]) / LAG, rate(y[0])],
            (begin, end), state, method="Radau", rtol=1e-10, atol=1e-12)
        state = [run.y[0, -1], run.y[1, -1]]
    out.append(row("reduction-by-ode", state[1], "scipy"))
    return points, out


def rate_rows():
    """Rates to 50 digits, for the pair that rounds down and up. The inputs are
    taken as the doubles that their decimal text reads as."""
    mpmath.mp.dps = 60
    out = []
    models = [(20.0, 65.0, 5.6), (12.6, 121.1, 10.0), (617.76, 60.0, 5.555555555555555), (0.3, 90.0, 7.0)]
    for d, reference, z in models:
        for k in range(50):
            t = round(20.0 + 2.3 * k + 0.01 * k * k, 2)
            x = (mpmath.mpf(t) - mpmath.mpf(reference)) / mpmath.mpf(z)
            exact = mpmath.power(10, x) / mpmath.mpf(d)
            out.append(row("rate", mpmath.nstr(exact, 40), "mpmath", d, reference, z, t))
    return out


def fit_rows():
    """z by linear regression through the three points of each set, degF."""
    sets = {
        "Line lean": (78.2, 4.1, 0.3), "Line fatty": (115.5, 5.3, 0.5),
        "Fain lean": (81.3, 2.6, 0.6), "Fain fatty": (71.1, 5.8, 1.2),
    }
    out = []
    for d in sets.values():
        line = stats.linregress([125.0, 135.0, 145.0], numpy.log10(d))
        out.append(row("z-of-three", -1.0 / line.slope, "scipy", *d))
    return out


def humidity_rows():
    psychrolib.SetUnitSystem(psychrolib.SI)
    out = []
    for t in (1, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150, 180, 200):
        out.append(row("saturation-same-formula", psychrolib.GetSatVapPres(t), "psychrolib", t))
        out.append(row("saturation-iapws", coolprop.PropsSI("P", "T", t + 273.15, "Q", 0, "Water"), "CoolProp", t))
    for h in (-500, 0, 300, 1000, 1524, 2500, 4115, 5500):
        p = psychrolib.GetStandardAtmPressure(h)
        out.append(row("pressure-at-altitude", p, "psychrolib", h))
        out.append(row("boiling-point", coolprop.PropsSI("T", "P", p, "Q", 0, "Water") - 273.15, "CoolProp", repr(p)))
    pairs = [((f - 32) / 1.8, (w - 32) / 1.8) for f, w in
             ((170, 125), (170, 130), (170, 135), (170, 140), (150, 130), (190, 130))]
    pairs += [(float(t), float(w)) for t in range(20, 151, 10) for w in range(10, 100, 10) if w < t]
    for pressure in (ATMOSPHERE, 84000.0):
        boiling = coolprop.PropsSI("T", "P", pressure, "Q", 0, "Water") - 273.15
        for dry, wet in pairs:
            if wet > boiling - 2:
                continue
            if not 0.03 < psychrolib.GetRelHumFromTWetBulb(dry, wet, pressure) <= 1:
                continue
            out.append(row("humidity-thermodynamic", 100 * psychrolib.GetRelHumFromTWetBulb(dry, wet, pressure),
                           "psychrolib", repr(dry), repr(wet), pressure))
            real = coolprop.HAPropsSI("R", "T", dry + 273.15, "B", wet + 273.15, "P", pressure)
            if math.isfinite(real):
                out.append(row("humidity-thermodynamic", 100 * real, "CoolProp", repr(dry), repr(wet), pressure))
    return out


def sampling_rows():
    """Probability of acceptance: two-class (large lot, lot of known size) and three-class."""
    out = []
    for n, c in ((1, 0), (5, 0), (5, 1), (5, 2), (10, 0), (10, 3), (30, 1), (60, 0), (300, 5)):
        for p in (0.001, 0.01, 0.05, 0.1, 0.3, 0.7):
            out.append(row("accept-binomial", stats.binom.cdf(c, n, p), "scipy", n, c, p))
            out.append(row("detect-binomial", stats.binom.sf(c, n, p), "scipy", n, c, p))
        for units in (300, 1000, 50000):
            for positive in (1, units // 100, units // 10, units // 2):
                out.append(row("accept-hypergeometric", stats.hypergeom.cdf(c, units, positive, n),
                               "scipy", n, c, units, positive))
                out.append(row("detect-hypergeometric", stats.hypergeom.sf(c, units, positive, n),
                               "scipy", n, c, units, positive))
        for p, q in ((0.2, 0.01), (0.05, 0.05), (0.4, 0.0), (0.6, 0.3)):
            law = stats.multinomial(n, [p, q, 1 - p - q])
            accepted = sum(law.pmf([i, 0, n - i]) for i in range(c + 1))
            out.append(row("accept-trinomial", accepted, "scipy", n, c, p, q))
    for c in (0, 1, 2):
        for p in (0.01, 0.05, 0.2):
            for wanted in (0.5, 0.9, 0.95, 0.99):
                n = c + 1
                while stats.binom.sf(c, n, p) < wanted:
                    n += 1
                out.append(row("samples-needed", float(n), "scipy", c, p, wanted))
    return out


def growth_rows():
    """Growth while a product cools exponentially, by the cardinal model; invented numbers. Quadrature and ODE."""
    out = []
    for low, best, high, rate in ((12.0, 44.0, 52.0, 2.0), (8.0, 40.0, 50.0, 1.2), (4.0, 37.0, 45.0, 0.8)):
        def speed(t):
            if not low < t < high:
                return 0.0
            up = (t - high) * (t - low) ** 2
            down = (best - low) * ((best - low) * (t - best) - (best - high) * (best + low - 2 * t))
            return rate / 3600 * up / down
        for lag in (1800.0, 3600.0, 7200.0):
            def temperature_at(s, lag=lag):
                return 2.0 + 63.0 * math.exp(-s / lag)
            edges = [lag * math.log(63.0 / (edge - 2.0)) for edge in (high, best, low)]
            grown = sum(integrate.quad(lambda s: speed(temperature_at(s)), a, b, epsabs=1e-13, epsrel=1e-12)[0]
                        for a, b in zip(edges, edges[1:]))
            out.append(row("growth-by-quadrature", grown, "scipy", low, best, high, rate, lag))
            run = integrate.solve_ivp(lambda s, y: [speed(temperature_at(s))], (edges[0], edges[-1]), [0.0],
                                      method="DOP853", rtol=1e-11, atol=1e-12)
            out.append(row("growth-by-ode", run.y[0, -1], "scipy", low, best, high, rate, lag))
    return out


def weibull_rows():
    """log10 reduction as minus log10 of the survival function: the scale is delta / (ln 10)^(1/p)."""
    out = []
    for delta, p in ((20.0, 1.0), (20.0, 0.6), (35.0, 2.2)):
        for seconds in (5.0, 20.0, 60.0, 100.0):
            scale = delta * math.log(10) ** (-1 / p)
            out.append(row("weibull", -stats.weibull_min.logsf(seconds, p, scale=scale) / math.log(10),
                           "scipy", delta, p, seconds))
    return out


def degree_hour_rows():
    """Area above a base of a wave, by quadrature; invented."""
    out = []
    for base in (12.0, 15.6, 22.0):
        area = integrate.quad(lambda h: max(0.0, 20.0 + 6.0 * math.sin(h) - base), 0.0, 24.0,
                              limit=2000, epsabs=1e-10)[0]
        out.append(row("degree-hours", area, "scipy", base))
    return out


def busday_rows():
    """Working days: the end of a term and the days between two dates, as ordinals of the proleptic calendar.

    Each row: first day, count or last day, the week as seven digits from Monday, 1 if the holidays are left out.
    """
    holidays = ["2026-12-25", "2026-12-26", "2027-01-01", "2026-05-04"]
    ordinal = lambda day: int((numpy.datetime64(day, "D") - numpy.datetime64("1970-01-01", "D")).astype(int))
    out = []
    for week in ("1111100", "1111110", "1010101"):
        for left_out in (0, 1):
            own = holidays if left_out else []
            for start in ("2026-04-28", "2026-05-02", "2026-09-04", "2026-12-18", "2026-12-24", "2027-02-26"):
                for count in (1, 5, 7, 30):
                    end = numpy.busday_offset(start, count, roll="backward", weekmask=week, holidays=own)
                    out.append(row("working-days-after", ordinal(end), "numpy", ordinal(start), count, week, left_out))
                last = numpy.datetime64(start, "D") + 23
                # From the day after the first to the last and with it.
                between = numpy.busday_count(numpy.datetime64(start, "D") + 1, last + 1, weekmask=week, holidays=own)
                out.append(row("working-days-between", between, "numpy", ordinal(start), ordinal(last), week, left_out))
    return out


def compute():
    pieces = cook()
    points, rows = cook_rows(pieces)
    cook_text = [[str(t), f"{y:.4f}"] for t, y in points]
    extra = sampling_rows() + growth_rows() + weibull_rows() + degree_hour_rows() + busday_rows()
    return cook_text, rows + rate_rows() + fit_rows() + humidity_rows() + extra


def read(name):
    with open(DATA / name, newline="", encoding="utf-8") as file:
        return list(csv.reader(file))


def write(name, columns, rows):
    with open(DATA / name, "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(columns)
        out.writerows(rows)


def same(old, new):
    """Equal text, or numbers within 1e-8 (another libm may differ slightly)."""
    if old == new:
        return True
    try:
        return math.isclose(float(old), float(new), rel_tol=1e-8)
    except ValueError:
        return False


def check(name, columns, rows):
    committed = read(name)
    fresh = [columns, *rows]
    faults = abs(len(committed) - len(fresh))
    for line, (old, new) in enumerate(zip(committed, fresh), start=1):
        if len(old) != len(new) or not all(map(same, old, new)):
            faults += 1
            print(f"{name}:{line}: committed {old}, computed {new}", file=sys.stderr)
    print(f"{name}: {len(fresh) - 1} rows computed again, {faults} differ")
    return faults


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="compare with the committed files")
    arguments = parser.parse_args()
    cook_text, rows = compute()
    work = check if arguments.check else write
    faults = [work("synthetic-cook.csv", COOK_COLUMNS, cook_text),
              work("second-opinion.csv", COLUMNS, rows)]
    return 1 if arguments.check and sum(faults) else 0


if __name__ == "__main__":
    sys.exit(main())
