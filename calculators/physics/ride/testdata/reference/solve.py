#!/usr/bin/python3
"""Solve the equations of a braked motorcycle with SciPy, for the Go tests.

Written from the physics and not from the Go code: forces are added up as
vectors on a rigid body over two massless followers of the ground, and SciPy's
DOP853 integrates between located events to a relative tolerance of 1e-10.
See README.md for the equations and how to make reference.json again.
"""

import json
import math
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G = 9.80665
RHO = 1.225
CARCASS = 0.008
HEAP = 1.0
STANDING = 0.05

ROADSTER = dict(
    mass=260.0, wheelbase=1.4, cg=0.65, share=0.48, gyration=0.45, cda=0.45,
    front=dict(r=0.30, I=0.45, mu=17.0, sigma=0.15, k=15000.0, pre=550.0, stroke=0.130, bump=450.0, reb=1300.0,
               gain=2 * 2 * math.pi / 4 * 0.030**2 * 2 * 0.45 * 0.125, uptake=1.3e-13),
    rear=dict(r=0.31, I=0.70, mu=24.0, sigma=0.18, k=20000.0, pre=350.0, stroke=0.120, bump=900.0, reb=1900.0,
              gain=1 * 1 * math.pi / 4 * 0.034**2 * 2 * 0.45 * 0.100, uptake=0.8e-13),
)
MODULATOR = dict(inlet=1.1e-8, outlet=1.0e-8, accumulator=0.3e5, laminar=2e5)

SURFACES = {
    "dry-asphalt": (1.2801, 23.99, 0.52, 0.0, 0.01),
    "wet-asphalt": (0.857, 33.822, 0.347, 0.0, 0.01),
    "dry-concrete": (1.1973, 25.168, 0.5373, 0.0, 0.01),
    "snow": (0.1946, 94.129, 0.0646, 0.0, 0.015),
    "gravel": (0.55, 22.0, 0.08, 0.18, 0.04),
    "deep-sand": (0.38, 16.0, 0.03, 0.25, 0.15),
}


def grip(surface, slip, heap):
    c1, c2, c3, wedge, _ = SURFACES[surface]
    s = min(1.0, abs(slip))
    return math.copysign(c1 * (1 - math.exp(-c2 * s)) - c3 * s + wedge * heap, slip)


def spring(e, x):
    """Force at a compression from full extension."""
    f = e["pre"] + e["k"] * x
    if x < 0:
        f -= 8 * e["k"] / (2 * 0.1 * e["stroke"]) * x * x
    into = x - 0.85 * e["stroke"]
    if into > 0:
        f += 0.5 * 6 * e["k"] / (0.15 * e["stroke"]) * into * into
    return f


def damper(e, speed):
    half, mean = 0.5 * (e["bump"] - e["reb"]), 0.5 * (e["bump"] + e["reb"])
    return mean * speed + half * (math.hypot(speed, 0.03) - 0.03)


def orifice(drop):
    return drop / math.sqrt(abs(drop) + MODULATOR["laminar"])


class Bike:
    """One machine on one road; z is the state vector named in INDEX."""

    X, V, Z, ZD, P, PD, WF, WR, SF, SR, QF, QR, HF, HR = range(14)

    def __init__(self, b, sc):
        self.b, self.sc = b, sc
        self.ends = [b["front"], b["rear"]]
        self.ms = b["mass"] - sum(e["mu"] for e in self.ends)
        self.J = b["mass"] * b["gyration"] ** 2
        loads = [b["mass"] * b["share"], b["mass"] * (1 - b["share"])]
        hung = [loads[i] - self.ends[i]["mu"] for i in (0, 1)]
        # Body coordinates of the axles at rest, from the sprung centre of mass: forward and up.
        self.fwd = [b["wheelbase"] * hung[1] / self.ms, -b["wheelbase"] * hung[0] / self.ms]
        self.down = [b["cg"] - e["r"] for e in self.ends]
        self.rest = [brentq(lambda x, e=e, h=h: spring(e, x) - h * G, -1, 1, xtol=1e-15) for e, h in zip(self.ends, hung)]
        self.hang = [brentq(lambda x, e=e: spring(e, x) + e["mu"] * G, -1, 1, xtol=1e-15) for e in self.ends]
        self.stuck = [False, False]
        self.ground = [sc["surface"], sc["surface"]]
        self.valve = ["build", "build"]

    def master(self, t, i):
        rise = self.sc.get("rise", 0.0)
        return self.sc["pressure"][i] * (min(1.0, t / rise) if rise > 0 else 1.0)

    def forces(self, t, y):
        """All that the parts do to one another at a state."""
        out = dict(hv=[], N=[], F=[], T=[], C=[], L=[], roll=[], sink=[], arm=[], hubv=[], sv=[], lever=[])
        c, s = math.cos(y[self.P]), math.sin(y[self.P])
        for i, e in enumerate(self.ends):
            # The axle's mount turned by the pitch, nose down.
            fwd = self.fwd[i] * c - self.down[i] * s
            up = y[self.Z] - self.fwd[i] * s + self.down[i] * (1 - c)
            squeeze = self.rest[i] - up
            rate = fwd * y[self.PD] - y[self.ZD]
            S = max(spring(e, squeeze) + damper(e, rate), -e["mu"] * G)
            N = S + e["mu"] * G
            height = self.down[i] + y[self.Z]
            hub = y[self.V] - height * y[self.PD]
            w = y[self.WF + i]
            slide = hub - e["r"] * w
            pace = max(abs(hub), abs(e["r"] * w))
            lag = slide - pace * y[self.SF + i]
            slip = y[self.SF + i] + CARCASS * lag
            mu = grip(self.ground[i], slip, y[self.HF + i])
            out["hv"].append(abs(hub) * (min(1.0, abs(slip)) ** 2 - y[self.HF + i]) / HEAP)
            out["N"].append(N)
            out["F"].append(mu * N)
            out["roll"].append(SURFACES[self.ground[i]][4] * N)
            out["C"].append(squeeze)
            out["L"].append(max(0.0, self.hang[i] - squeeze) if N <= 0 else 0.0)
            out["sink"].append(S)
            out["arm"].append(fwd)
            out["lever"].append(height)
            out["hubv"].append(hub)
            out["sv"].append(lag / e["sigma"])
            out["T"].append(e["gain"] * max(0.0, y[self.QF + i]))
        return out

    def rates(self, t, y):
        f, b = self.forces(t, y), self.b
        d = np.zeros(14)
        M = J = 0.0
        for i, e in enumerate(self.ends):
            M += (f["F"][i] + f["roll"][i]) * f["lever"][i] - f["sink"][i] * f["arm"][i]
            if self.stuck[i]:
                M += f["F"][i] * e["r"]
                J += e["I"]
            else:
                M += f["T"][i]
                d[self.WF + i] = (f["F"][i] * e["r"] - f["T"][i]) / e["I"]
            d[self.SF + i] = f["sv"][i]
            d[self.HF + i] = f["hv"][i]
            q = y[self.QF + i]
            flow = 0.0
            if self.valve[i] == "build":
                flow = MODULATOR["inlet"] * orifice(self.master(t, i) - q)
            elif self.valve[i] == "dump":
                flow = -MODULATOR["outlet"] * orifice(q - MODULATOR["accumulator"])
            d[self.QF + i] = flow / e["uptake"]
        drag = 0.5 * RHO * b["cda"] * y[self.V] ** 2
        d[self.X], d[self.V] = y[self.V], -(sum(f["F"]) + sum(f["roll"]) + drag) / b["mass"]
        d[self.Z], d[self.ZD] = y[self.ZD], sum(f["sink"]) / self.ms - G
        d[self.P], d[self.PD] = y[self.PD], M / (self.J + J)
        self.held = []
        for i, e in enumerate(self.ends):
            if self.stuck[i]:
                d[self.WF + i] = d[self.PD]
            self.held.append(f["T"][i] - abs(f["F"][i] * e["r"] - e["I"] * d[self.PD]))
        return d

    def edges(self, i):
        p = self.sc.get("patch")
        return [] if not p else [p["start"] + i * self.b["wheelbase"], p["start"] + p["length"] + i * self.b["wheelbase"]]


def event(fun, direction):
    fun.terminal, fun.direction = True, direction
    return fun


def solve(b, sc, rtol=1e-10):
    m = Bike(b, sc)
    y = np.zeros(14)
    y[m.V] = sc["speed"]
    for i, e in enumerate(m.ends):
        y[m.WF + i] = sc["speed"] / e["r"]
    times = sorted({sc.get("rise", 0.0), *(v["time"] for v in sc.get("valves", []))} - {0.0})
    t, locked, log = 0.0, [0.0, 0.0], []
    while True:
        for v in sc.get("valves", []):
            if v["time"] <= t + 1e-12:
                m.valve[v["end"]] = v["position"]
        stop = next((x for x in times if x > t + 1e-12), 400.0)
        events, what = [event(lambda t, y: y[m.V] - STANDING, -1)], [("stand", 0)]
        for i in (0, 1):
            if m.stuck[i]:
                def free(t, y, i=i):
                    m.rates(t, y)
                    return m.held[i]
                events.append(event(free, -1))
                what.append(("free", i))
            else:
                events.append(event(lambda t, y, i=i: y[m.WF + i] - y[m.PD], -1))
                what.append(("lock", i))
            for at in (a for a in m.edges(i) if a > y[m.X] + 1e-9):
                events.append(event(lambda t, y, at=at: y[m.X] - at, 1))
                what.append(("edge", i))
        r = solve_ivp(m.rates, (t, stop), y, method="DOP853", rtol=rtol, atol=1e-11, events=events, max_step=0.01)
        log.append((r.t, r.y, list(m.stuck), list(m.ground)))
        for i in (0, 1):
            if m.stuck[i]:
                walk = 10 / 3.6  # below it a locked wheel is not counted
                until = r.t[-1] if r.y[m.V, -1] > walk else np.interp(-walk, -r.y[m.V], r.t)
                locked[i] += until - r.t[0]
        t, y = r.t[-1], r.y[:, -1].copy()
        hit = [(w, i) for (w, i), te in zip(what, r.t_events) if len(te)]
        if ("stand", 0) in hit:
            return m, t, y, locked, log
        for w, i in hit:
            if w == "lock":
                m.stuck[i], y[m.WF + i] = True, y[m.PD]
            elif w == "free":
                m.stuck[i] = False
                y[m.WF + i] += 1e-9
            else:
                p = sc["patch"]
                at = y[m.X] - i * b["wheelbase"] + 1e-9
                y[m.HF + i] = 0.0  # what it ploughed stays behind
                m.ground[i] = p["surface"] if p["start"] <= at < p["start"] + p["length"] else sc["surface"]


def summary(b, sc):
    m, t, y, locked, log = solve(b, sc)
    peak = dict(front_load=0.0, rear_load=1e9, pitch=0.0, fork=0.0, lift=0.0)
    for ts, ys, stuck, ground in log:
        m.stuck, m.ground = stuck, ground
        for j in range(len(ts)):
            f = m.forces(ts[j], ys[:, j])
            peak["front_load"] = max(peak["front_load"], f["N"][0])
            peak["rear_load"] = min(peak["rear_load"], f["N"][1])
            peak["pitch"] = max(peak["pitch"], ys[m.P, j])
            peak["fork"] = max(peak["fork"], f["C"][0])
            peak["lift"] = max(peak["lift"], f["L"][1])
    return dict(distance=y[m.X], time=t, front_locked=locked[0], rear_locked=locked[1],
                front_pressure=y[m.QF], **peak)


SCENARIOS = [
    dict(name="free rolling into deep sand", surface="deep-sand", speed=10.0, pressure=[0.0, 0.0]),
    dict(name="constant torque, wet asphalt", surface="wet-asphalt", speed=25.0, pressure=[12e5, 6e5]),
    dict(name="load-transfer step, dry concrete", surface="dry-concrete", speed=30.0, pressure=[20e5, 0.0], rise=0.01),
    dict(name="both wheels locked, wet asphalt", surface="wet-asphalt", speed=22.0, pressure=[40e5, 40e5], rise=0.05),
    dict(name="front locked, gravel", surface="gravel", speed=20.0, pressure=[30e5, 3e5], rise=0.2),
    dict(name="grab that lifts the rear, dry asphalt", surface="dry-asphalt", speed=20.0, pressure=[24.0e5, 0.0], rise=0.1),
    dict(name="patch of sand, wheel by wheel", surface="dry-asphalt", speed=22.0, pressure=[23e5, 2e5], rise=0.2,
         patch=dict(surface="deep-sand", start=9.0, length=4.0)),
    dict(name="modulator steps, wet asphalt", surface="wet-asphalt", speed=22.0, pressure=[15e5, 5e5], rise=0.1,
         valves=[dict(time=0.30, end=0, position="dump"), dict(time=0.33, end=0, position="hold"),
                 dict(time=0.45, end=0, position="build"), dict(time=0.80, end=1, position="dump"),
                 dict(time=0.85, end=1, position="build"), dict(time=1.20, end=0, position="dump"),
                 dict(time=1.25, end=0, position="hold")]),
]


def main():
    rows = []
    for sc in SCENARIOS:
        start = time.perf_counter()
        result = summary(ROADSTER, sc)
        took = time.perf_counter() - start
        rows.append(dict(**sc, result=result))
        print(f"{sc['name']:45s} {result['distance']:9.4f} m {result['time']:8.4f} s  solved in {took*1000:.0f} ms", file=sys.stderr)
    json.dump(rows, open("reference.json", "w"), indent=1)
    start = time.perf_counter()
    solve(ROADSTER, dict(surface="dry-asphalt", speed=100 / 3.6, pressure=[25e5, 0.0], rise=0.3), rtol=1e-6)
    print(f"one stop from 100 km/h at a tolerance of 1e-6: {(time.perf_counter()-start)*1000:.0f} ms", file=sys.stderr)


if __name__ == "__main__":
    main()
