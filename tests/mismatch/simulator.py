"""Cooks with a known outcome, by physics unlike the forecast's: to measure it honestly.

Another wetness law, another solver, a probe off the core, a pit that wanders, feel checks every half an
hour. Frozen once committed, with ``parameters.csv`` beside it: the forecast is tuned on seeds 0 to 199 and
reported on 1000 to 1399. Nothing of ``stallwise.models`` is used.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np

_TEXT = Path(__file__).with_name("parameters.csv").read_text("utf-8")
TABLE = {row["key"]: row for row in csv.DictReader(_TEXT.splitlines())}
CELLS, STEP_S, HORIZON_S = 24, 60.0, 40 * 3600.0
CUTS = {"shoulder": "pork-shoulder-bone-in", "brisket": "beef-brisket-whole"}
SHARED = ("pit.offset", "pit.convection", "pit.humidity", "soft.time")
SEA_PA, SIGMA, ZERO = 101_325.0, 5.670374e-8, 273.15


@dataclass(frozen=True)
class SimCook:
    """One cook: what the cook entered, saw and felt, and the truth behind it [s, °C]."""

    seed: int
    cut: str
    mass_kg: float
    set_c: float
    wrap: str
    wrapped_s: float | None
    pit_time_s: np.ndarray
    pit_c: np.ndarray
    probe_time_s: np.ndarray
    probe_c: np.ndarray
    checks: tuple[tuple[float, str], ...]
    tender_s: float
    core93_s: float
    loss: float
    heat_error: float


def value(key):
    return float(TABLE[key]["a"])


def drawn(rng, key):
    row = TABLE[key]
    a, b = float(row["a"]), float(row["b"] or "nan")
    if row["kind"] == "fixed":
        return a
    if row["kind"] == "uniform":
        return a + (b - a) * rng.random()
    z = rng.standard_normal()
    return a * np.exp(b * z) if row["kind"] == "lognormal" else a + b * z


def habits(seed):
    """What the cooks of one pit and one cut share."""
    rng = np.random.default_rng([seed, 7])
    return {key: drawn(rng, key) for key in SHARED}


def facts(seed, shared=None, family=None, wrap=None):
    """All numbers of one cook."""
    rng = np.random.default_rng([seed, 1])
    own = {key: drawn(rng, key) for key in sorted(TABLE)}
    own |= habits(seed) if shared is None else shared
    family = family or ("shoulder" if rng.random() < 0.5 else "brisket")
    own["family"] = family
    drawn_wrap = "foil" if rng.random() < 0.5 else "none"
    own["wrap"] = wrap or drawn_wrap
    return own


def saturation(t):
    """Magnus form over water [Pa]: near enough, and not the forecast's."""
    return 611.2 * np.exp(17.62 * t / (243.12 + t))


def wander(seed, steps):
    """Pit about its setting: a process with memory, and a lid opened now and then."""
    rng = np.random.default_rng([seed, 2])
    keep = np.exp(-STEP_S / value("pit.wander_time"))
    kick = value("pit.wander") * np.sqrt(1.0 - keep**2) * rng.standard_normal(steps)
    path = np.empty(steps)
    path[0] = value("pit.wander") * rng.standard_normal()
    for i in range(1, steps):
        path[i] = keep * path[i - 1] + kick[i]
    dip = np.zeros(steps)
    fade = np.exp(-STEP_S / value("pit.dip_time"))
    opened = np.flatnonzero(rng.random(steps) < STEP_S / 4500.0)
    for i in range(1, steps):
        dip[i] = dip[i - 1] * fade + (value("pit.dip") if i in set(opened.tolist()) else 0.0)
    return path, np.minimum(dip, 0.5)


def cooks(seeds, shared=None, family=None, wrap=None):
    """Simulate many cooks at once, each alone."""
    given = [
        facts(s, None if shared is None else shared[i], family, wrap) for i, s in enumerate(seeds)
    ]
    n, steps = len(given), int(HORIZON_S / STEP_S)
    of = lambda key: np.array([one[key] for one in given])  # noqa: E731
    kin = lambda key: np.array([one[f"{key}.{one['family']}"] for one in given])  # noqa: E731
    mass = kin("mass")
    usual = np.where(of("family") == "shoulder", 4.0, 6.0)
    radius = kin("half_thickness") * (mass / usual) ** (1.0 / 3.0)
    shape = kin("shape")
    edge = np.linspace(0.0, 1.0, CELLS + 1)[None, :]
    face = edge[:, 1:] ** (shape[:, None] - 1.0)  # outer face of each cell over the surface
    volume = radius[:, None] * np.diff(edge ** shape[:, None], axis=1) / shape[:, None]
    dx = radius / CELLS
    k, heat = of("conductivity"), of("heat")
    per_area = 1040.0 * radius / shape  # kg of meat under a square metre
    paths = [wander(one, steps) for one in seeds]
    pit = np.array([p for p, _ in paths]) + of("pit.set")[:, None]
    dips = np.array([d for _, d in paths])
    gauge = pit - dips * (pit - 15.0)
    air = gauge + (of("pit.offset") + of("pit.offset_day"))[:, None]
    h0 = of("pit.convection") * of("pit.convection_day")
    vapour = of("pit.humidity") * SEA_PA / (0.622 + of("pit.humidity"))
    energy, soft = of("soft.energy"), of("soft.time") * of("soft.animal") / kin("soft.rate")
    off = of("probe.off")
    foil = of("wrap") == "foil"
    t = np.repeat(of("start")[:, None], CELLS, axis=1)
    skin, drip = of("start").copy(), np.zeros((n, CELLS))
    dry, lost, dose = np.zeros(n), np.zeros(n), np.zeros(n)
    wrapped_s = np.full(n, np.inf)
    tender_s, core93_s, loss_at = (np.full(n, np.inf) for _ in range(3))
    heat_in = np.zeros(n)
    inner = min(int(0.3 * CELLS) + 1, CELLS - 1)
    probe = np.empty((n, steps + 1))
    share = volume / volume.sum(axis=1, keepdims=True)
    conduct = k[:, None] * face[:, :-1] / dx[:, None]

    def at_probe():
        x = off * CELLS - 0.5
        low = np.clip(np.floor(x).astype(int), 0, inner)
        rows = np.arange(n)
        part = np.clip(x - low, 0.0, 1.0)
        return t[rows, low] * (1 - part) + t[rows, low + 1] * part

    probe[:, 0] = at_probe()
    for i in range(steps):
        now = (i + 1) * STEP_S
        juice = of_juice(given, t)
        flow = np.maximum(juice - drip, 0.0) * (1.0 - np.exp(-STEP_S / of("drip.time")))[:, None]
        drip += flow
        fresh = (flow * share).sum(axis=1) * per_area
        wet = of("wet.first") * (
            0.93 * np.exp(-0.7 * (dry / of("wet.budget")) ** of("wet.power")) + 0.07
        )
        left = 1.0 - lost / (of("water") * per_area)
        wet *= np.clip(left / 0.25, 0.0, 1.0)  # no piece gives more water than it has
        ta = air[:, i]
        h = h0 * np.maximum(1.0, ta / 110.0) ** 1.7
        covered = wrapped_s <= now
        q, gone = surface(
            skin, ta, h, np.minimum(wet, 1.0), vapour, covered, of("foil.leak"), of("foil.gap")
        )
        step = 1.0
        slope = (
            surface(
                skin + step,
                ta,
                h,
                np.minimum(wet, 1.0),
                vapour,
                covered,
                of("foil.leak"),
                of("foil.gap"),
            )[0]
            - q
        ) / step
        # implicit in the body and, linearised, at the surface
        half = k / (0.5 * dx)
        skin_a, skin_b = (q - slope * skin) / (half - slope), half / (half - slope)
        diagonal = heat[:, None] * volume / STEP_S
        lower = np.zeros((n, CELLS))
        upper = np.zeros((n, CELLS))
        lower[:, 1:] = upper[:, :-1] = conduct
        middle = diagonal + lower + upper
        middle[:, -1] += half * (1.0 - skin_b)
        right = diagonal * t
        right[:, -1] += half * skin_a
        t = thomas(lower, middle, upper, right)
        skin = skin_a + skin_b * t[:, -1]
        heat_in += STEP_S * half * (skin - t[:, -1])
        dry = np.maximum(0.0, dry + gone * STEP_S - of("drip.kept") * fresh)
        lost += gone * STEP_S + (1.0 - of("drip.kept")) * fresh
        kelvin = t[:, 0] + ZERO
        rate = np.exp(-energy / 8.314462 * (1.0 / kelvin - 1.0 / 368.15)) / soft
        was = dose.copy()
        dose += STEP_S * np.where(t[:, 0] > 50.0, rate, 0.0)
        probe[:, i + 1] = at_probe()
        hit = (was < 1.0) & (dose >= 1.0)
        tender_s[hit] = now - STEP_S * ((dose - 1.0) / np.maximum(dose - was, 1e-12))[hit]
        loss_at[hit] = (lost / per_area + of("fat") * of("fat.share") * 0.6)[hit]
        hot = np.isinf(core93_s) & (t[:, 0] >= 93.0)
        core93_s[hot] = now
        start_wrap = foil & np.isinf(wrapped_s) & (probe[:, i + 1] >= value("wrap.core"))
        wrapped_s[start_wrap] = now
        if np.all(np.isfinite(tender_s)) and now > np.max(tender_s) + 3600.0:
            probe = probe[:, : i + 2]
            gauge = gauge[:, : i + 1]
            break
    stored = (heat[:, None] * volume * (t - of("start")[:, None])).sum(axis=1)
    error = np.abs(heat_in / stored - 1.0)
    return tuple(
        noted(
            s,
            given[j],
            mass[j],
            gauge[j],
            probe[j],
            wrapped_s[j],
            tender_s[j],
            core93_s[j],
            loss_at[j],
            error[j],
        )
        for j, s in enumerate(seeds)
    )


def of_juice(given, t):
    limit = np.array([one["drip.limit"] for one in given])[:, None]
    middle = np.array([one["drip.middle"] for one in given])[:, None]
    width = np.array([one["drip.width"] for one in given])[:, None]
    return limit / (1.0 + np.exp(-(t - middle) / width))


def surface(ts, ta, h, wet, vapour, covered, leak, gap):
    """Heat into the meat [W/m2] and water off it [kg/(m2 s)]."""
    outside = np.where(covered, 0.45, 0.9)
    hr = outside * SIGMA * ((ts + ZERO) ** 2 + (ta + ZERO) ** 2) * (ts + ta + 2 * ZERO)
    dry = np.where(covered, 1.0 / (1.0 / (h + hr) + gap), h + hr)
    drive = np.minimum(saturation(ts), 0.97 * SEA_PA) - vapour
    open_to = np.where(covered, leak, wet)
    water = open_to * 6.9e-9 * h * drive
    water += np.where(covered, 2e-6 * np.maximum(0.0, saturation(ts) - SEA_PA), 0.0)
    return dry * (ta - ts) - water * 2.35e6, water


def thomas(lower, middle, upper, right):
    """Tridiagonal systems, one a row: middle x_i - lower x_(i-1) - upper x_(i+1) = right."""
    n = middle.shape[1]
    c, d = np.empty_like(middle), np.empty_like(middle)
    c[:, 0], d[:, 0] = upper[:, 0] / middle[:, 0], right[:, 0] / middle[:, 0]
    for i in range(1, n):
        left = middle[:, i] - lower[:, i] * c[:, i - 1]
        c[:, i] = upper[:, i] / left
        d[:, i] = (right[:, i] + lower[:, i] * d[:, i - 1]) / left
    x = np.empty_like(middle)
    x[:, -1] = d[:, -1]
    for i in range(n - 2, -1, -1):
        x[:, i] = d[:, i] + c[:, i] * x[:, i + 1]
    return x


def noted(seed, own, mass, gauge, probe, wrapped_s, tender_s, core93_s, loss, error):
    """What a cook would have of it: noisy readings, and feel checks until it is tender."""
    # a stream each: how long others of a batch cook changes nothing
    gauged, tipped, missed = (np.random.default_rng([seed, k]) for k in (3, 4, 5))
    pit_time = np.arange(len(gauge)) * STEP_S
    pit = np.round(gauge + value("pit.noise") * gauged.standard_normal(len(gauge)), 1)
    at = np.arange(0, len(probe), 5)
    read = probe[at] + own["probe.bias"] + value("probe.noise") * tipped.standard_normal(len(at))
    there = missed.random(len(at)) >= value("probe.gap")
    warm = np.flatnonzero(probe + own["probe.bias"] >= value("check.from"))
    first = float(warm[0]) * STEP_S if len(warm) else np.inf
    checks = []
    while np.isfinite(first):
        checks.append((first, "tender" if first >= tender_s else "not yet"))
        if first >= tender_s or first > HORIZON_S:
            break
        first += value("check.every")
    return SimCook(
        seed, CUTS[own["family"]], float(mass), float(own["pit.set"]), own["wrap"],
        float(wrapped_s) if np.isfinite(wrapped_s) else None, pit_time, pit,
        at[there] * STEP_S, np.round(read[there], 1), tuple(checks), float(tender_s),
        float(core93_s), float(loss), float(error),
    )  # fmt: skip


def cook(seed):
    """One cook by its seed."""
    return cooks([seed])[0]


def series(seed, count=6):
    """Cooks of one pit and one cut by one seed."""
    family = "shoulder" if np.random.default_rng([seed, 9]).random() < 0.5 else "brisket"
    inner = [10_000_000 + 100 * seed + i for i in range(count)]
    return cooks(inner, shared=[habits(seed)] * count, family=family)
