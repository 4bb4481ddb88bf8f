"""Ordinary regression for a fleet, as a benchmark's reference: read the exports, put
each reading against the target in force, cut each burner's history where it was set,
fit drift within segments by least squares, and rank units by the chance that their
CO2 stands outside the action band on a day.

    python3 ranked.py FOLDER 2026-03-02 ranked.csv

FOLDER holds units.csv, lines.csv and readings.csv. Needs numpy.
"""
import csv
import datetime
import math
import sys

import numpy as np

EPOCH = datetime.date(1970, 1, 1).toordinal()


def years(day):
    return (datetime.date.fromisoformat(day).toordinal() - EPOCH) / 365.25


def rows(folder, name):
    with open(f"{folder}/{name}", encoding="utf-8", newline="") as f:
        yield from csv.DictReader(f)


def read(folder):
    """Readings in the context of their day, as columns by fit."""
    units = {u["Serial"]: u for u in rows(folder, "units.csv")}
    targets = {}
    for line in rows(folder, "lines.csv"):
        key = line["Line"], line["Fuel"], line["Fire"]
        targets.setdefault(key, []).append((
            years(line["Valid from"]), float(line["Target CO2 %"]), float(line["Act rich"]), float(line["Act lean"]),
            float(line["Longest run m"] or "nan")))
    for t in targets.values():
        t.sort()
    fits = {"high": [], "low": []}
    installed = {s: years(u["Installed"]) for s, u in units.items()}
    days = {}
    for r in rows(folder, "readings.csv"):
        u = units.get(r["Serial"])
        if u is None or not r["CO2 %"]:
            continue
        day = r["Date"]
        t = days.get(day)
        if t is None:
            t = days[day] = years(day)
        target = None
        for one in targets.get((u["Model line"], u["Fuel"], r["Fire"]), ()):
            if one[0] <= t:
                target = one
        if target is None:
            continue
        y = float(r["CO2 %"]) - target[1]
        if abs(y) >= 1.5:
            continue
        left = r["Taken"] == "after"
        fits["low" if r["Fire"] == "low" else "high"].append((
            r["Serial"], t, left, left and r["Adjusted"] == "yes", r["Visit"], y, float(r["Air degC"] or "nan"), int(day[5:7]),
            u["Control"], float(u["Vent m"] or "nan") / target[4], max(0.0, t - installed[r["Serial"]]), target, r["Fire"]))
    return fits


def chances(data, now, month):
    data.sort(key=lambda r: (r[0], r[1], r[2]))
    kept, segment, seg, last, visits = [], [], -1, None, set()
    for r in data:
        if r[0] != last:
            seg, last, visits = seg + 1, r[0], set()
        elif r[3]:
            seg += 1
        if r[2] and not r[3] and r[4] in visits:
            continue
        visits.add(r[4])
        kept.append(r)
        segment.append(seg)
    t, y, air = (np.array([r[k] for r in kept]) for k in (1, 5, 6))
    months = np.array([r[7] for r in kept])
    share, age = (np.array([r[k] for r in kept]) for k in (9, 10))
    segment = np.unique(np.array(segment), return_inverse=True)[1]
    season = np.array([0.0] + [np.nanmean(air[months == m]) if np.any(months == m) else 10.0 for m in range(1, 13)])
    air = np.where(np.isnan(air), season[months], air) - 10
    share = np.where(np.isnan(share), np.nanmedian(share), share)
    controls = sorted({r[8] for r in kept})
    control = np.array([controls.index(r[8]) for r in kept])

    def columns(t, air, share, age, control):
        x = [age ** 2 / 2]
        for k in range(len(controls)):
            own = control == k
            x += [own * t, own * share * t, own * air]
        return np.column_stack(x)

    x = columns(t, air, share, age, control)
    n = np.bincount(segment)
    mean = lambda v: np.bincount(segment, v) / n
    within = lambda v: v - mean(v)[segment]
    xw, yw = np.column_stack([within(c) for c in x.T]), within(y)
    beta, _, rank, _ = np.linalg.lstsq(xw, yw, rcond=None)
    rest = yw - xw @ beta
    sigma2 = rest @ rest / max(1, len(y) - len(n) - rank)
    cov = sigma2 * np.linalg.pinv(xw.T @ xw)
    newest = {}
    for i, r in enumerate(kept):
        newest[r[0], r[12]] = i
    at = np.array(list(newest.values()))
    xq = columns(np.full(len(at), now), np.full(len(at), season[month] - 10), share[at], age[at] + now - t[at], control[at])
    middle = np.column_stack([mean(c)[segment[at]] for c in x.T])
    expected = mean(y)[segment[at]] + (xq - middle) @ beta
    sd = np.sqrt(sigma2 * (1 + 1 / n[segment[at]]) + np.einsum("ij,jk,ik->i", xq - middle, cov, xq - middle))
    tail = np.vectorize(lambda z: 0.5 * math.erfc(-z / math.sqrt(2)))
    rich, lean = (np.array([kept[i][11][k] for i in at]) for k in (2, 3))
    p = tail((expected - rich) / sd) + tail((-lean - expected) / sd)
    return [(kept[i][0], kept[i][12], kept[i][11][1] + e, s, c) for i, e, s, c in zip(at, expected, sd, p)]


def main(folder, day, out):
    found = []
    for data in read(folder).values():
        if data:
            found += chances(data, years(day), int(day[5:7]))
    found.sort(key=lambda r: (-r[4], r[0], r[1]))
    seen = set()
    with open(out, "w", newline="") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["rank", "serial", "fire", "co2", "sd", "chance"])
        for r in found:
            if r[0] not in seen:
                seen.add(r[0])
                w.writerow([len(seen), r[0], r[1], f"{r[2]:.6g}", f"{r[3]:.6g}", f"{r[4]:.6g}"])


main(*sys.argv[1:])
