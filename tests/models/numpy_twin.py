"""The time march of `stallwise.models.kernel_loop` once more, in plain NumPy over all members at once.

Written from the same description: what it shares with the compiled loop is the method, not a line
of code. Members that meet an event inside a step are stepped on by themselves.
"""

from __future__ import annotations

import numpy as np

from stallwise.models.kernel import Marched
from stallwise.tables.humid_air import hyland_wexler_pa

GAMMA = 1 - 2**-0.5
SIGMA = 5.670374419e-8
BARE, WRAPPED, OPEN, REST = range(4)


def slope_of_saturation(t_c):
    t = t_c + 273.15
    return (
        5.8002206e3 / t**2 - 4.8640239e-2 + 2 * 4.1764768e-5 * t - 3 * 1.4452093e-8 * t**2
    ) + 6.5459673 / t


class Twin:
    def __init__(self, members, pits, schedule, pressure_pa, cells):
        self.m, self.pits, self.s, self.p, self.cells = members, pits, schedule, pressure_pa, cells
        n = len(members)
        shape = members["shape_n"][:, None]
        edge = np.arange(cells + 1)[None] / cells
        self.area = edge[:, 1:] ** (shape - 1)
        radius = members["radius_m"][:, None]
        self.volume = radius / shape * np.diff(edge**shape, axis=1)
        self.dx = members["radius_m"] / cells
        self.mass = members["density"] * members["radius_m"] / members["shape_n"]
        start = members["start_c"].astype(float)
        self.temp = np.repeat(start[:, None], cells, axis=1)
        self.old = self.temp.copy()
        self.juice = np.zeros((n, cells))
        self.fat = np.zeros((n, cells))
        self.surface, self.core = start.copy(), start.copy()
        for name in [
            "film",
            "dry",
            "evaporated",
            "dripped",
            "rendered",
            "sprayed",
            "heat",
            "loss",
            "loss_rate",
            "dose",
            "dose_rate",
            "flow",
            "flow_slope",
            "flow_at",
            "flux",
            "surface_rate",
            "juiced",
            "covered",
            "box",
            "box_next",
        ]:
            setattr(self, name, np.zeros(n))
        self.dose_rate = self.rate_of(members, start)
        self.step_old = np.ones(n)
        self.phase = np.zeros(n, int)
        self.finished = np.full(n, np.inf)
        self.moments = np.full((n, 4), np.inf)
        self.loss_at = np.full(n, np.nan)
        self.out = [np.empty((n, schedule.rows)) for _ in range(5)]

    # --- the surface -------------------------------------------------------------------------

    def law(self, k):
        """share, emissivity of the cover, gap, wet, leak, vent for the members k."""
        m, phase = self.m[k], self.phase[k]
        rows = []
        anew = (phase == REST) & (m["rest_share"] > 0)
        own = (phase == WRAPPED) | ((phase == REST) & (self.covered[k] > 0))
        for name in ("share", "emissivity", "gap", "wet", "leak", "vent"):
            title = f"rest_{name}"
            at_rest = m[title] if title in m.dtype.names else np.zeros(len(m))
            rows.append(np.where(anew, at_rest, np.where(own, m[f"wrap_{name}"], 0.0)))
        return rows

    def given(self, k):
        """Water the meat itself has lost, per first area."""
        area = (1 - self.m["shrink"][k] * np.maximum(0, self.loss[k])) ** (2 / 3)
        return self.evaporated[k] + self.dripped[k] - self.sprayed[k] + self.film[k] * area

    def damp(self, k, dt, thin):
        held = self.m["water_fraction"][k] * self.mass[k]
        low = self.m["water_low"][k] * held
        left = np.maximum(held - self.given(k), 1e-12)
        short = left < low
        damp = np.where(short, left / np.where(short, low, 1.0), 1.0)
        film = self.film[k]
        return damp, np.where(short, dt / (left / thin**2 + film), 0.0)

    def balance(self, ts, ta, h, wet, beta, pv, eps, law, damp, scarce, lift):
        share, eps_c, gap, wet_c, leak, vent = law
        leak, vent = leak * damp, vent * damp
        ps = hyland_wexler_pa(ts)
        dps = ps * slope_of_saturation(ts)
        cap = 0.97 * self.p
        below = np.minimum(ps, cap)
        drive = np.where(
            ps < cap,
            self.p * np.log((self.p - pv) / (self.p - below)),
            self.p / (cap - pv) * np.log((self.p - pv) / (self.p - cap)) * (ps - pv),
        )
        ddrive = dps * np.where(
            ps < cap,
            self.p / (self.p - below),
            self.p / (cap - pv) * np.log((self.p - pv) / (self.p - cap)),
        )
        apart = ta - ts
        power, above = lift
        grown = (np.maximum(np.abs(apart), 2.0) / np.where(above > 0, above, 1.0)) ** power
        h, beta = h * grown, beta * grown
        bend = np.where(np.abs(apart) > 2.0, -power / np.where(apart == 0, 1.0, apart), 0.0)
        tk, ak = ts + 273.15, ta + 273.15
        rad = SIGMA * (ak**2 + tk**2) * (ak + tk)
        drad = SIGMA * (2 * tk * (ak + tk) + ak**2 + tk**2)
        gap_k = ta - ts
        bare_h, cover_h = h + eps * rad, h + eps_c * rad
        through = 1 / (1 / cover_h + gap)
        dry_heat = ((1 - share) * bare_h + share * through) * gap_k
        slope = (1 - share) * ((eps * drad + bend * h) * gap_k - bare_h)
        slope += share * ((through / cover_h) ** 2 * (eps_c * drad + bend * h) * gap_k - through)
        open_to = ((1 - share) * wet + share * (wet * wet_c + leak)) * beta
        steam = np.maximum(ps - self.p, 0)
        water = open_to * drive + share * vent * steam
        dwater = open_to * (ddrive + bend * drive) + share * vent * dps * (ps > self.p)
        less = 1 / (1 + scarce * np.maximum(0, water))
        water, dwater = water * less, dwater * less**2
        latent = 2.501e6 - 2361 * ts
        return dry_heat - water * latent, slope - dwater * latent + 2361 * water, water, dwater

    def solve(self, ts, link, body, *known):
        low, high = np.full_like(ts, -60.0), np.full_like(ts, 600.0)
        going = np.ones(len(ts), bool)
        heat, water = np.zeros_like(ts), np.zeros_like(ts)
        ts = ts.copy()
        for i in range(60):
            q, dq, m, dm = self.balance(ts, *known)
            rest = q - link * (ts - body)
            low = np.where(going & (rest > 0), ts, low)
            high = np.where(going & (rest <= 0), ts, high)
            new = ts - rest / (dq - link)
            new = np.where(
                (new < low) | (new > high) | (i > 8 and i % 2 == 0), (low + high) / 2, new
            )
            change = np.where(going, new - ts, 0.0)
            heat = np.where(going, q + dq * change, heat)
            water = np.where(going, m + dm * change, water)
            ts = ts + change
            going &= np.abs(change) >= np.where(known[-2] > 0, 1e-8, 1e-4)
            if not going.any():
                break
        return ts, heat, water

    # --- one step ----------------------------------------------------------------------------

    def try_step(self, k, pit, nominal, now, clock, dt):
        m, cells = self.m[k], self.cells
        temp, old, volume, area = self.temp[k], self.old[k], self.volume[k], self.area[k]
        thin = 1 - m["shrink"] * np.maximum(0, self.loss[k] + 0.5 * dt * self.loss_rate[k])
        thin = thin ** (1 / 3)
        ahead = np.minimum(1, 0.5 * dt / self.step_old[k])[:, None]
        mid = temp + ahead * (temp - old)
        face_c = (mid[:, 1:] + mid[:, :-1]) / 2
        skin_c = (mid[:, -1] + self.surface[k]) / 2

        def conductivity(t):
            wide = (slice(None),) + (None,) * (t.ndim - 1)
            return m["conductivity"][wide] * (1 + m["conductivity_slope"][wide] * (t - 40))

        gdt = GAMMA * dt
        over = (self.dx[k] * thin**2)[:, None]
        g = gdt[:, None] * conductivity(face_c) * area[:, :-1] / over
        skin = conductivity(skin_c) / (0.5 * self.dx[k] * thin**2)
        capacity = m["heat_capacity"][:, None] * volume
        pivot = np.empty_like(temp)
        lower = np.zeros_like(temp)
        pivot[:, 0] = capacity[:, 0] + g[:, 0]
        for i in range(1, cells):
            lower[:, i] = g[:, i - 1] / pivot[:, i - 1]
            pivot[:, i] = capacity[:, i] + g[:, i - 1] - lower[:, i] * g[:, i - 1]
            if i < cells - 1:
                pivot[:, i] += g[:, i]
        share = 1 / (1 + gdt * skin / pivot[:, -1])
        rest = self.phase[k] == REST
        pv = np.where(rest, m["rest_vapour_pa"], pit[:, 4])
        law = self.law(k)
        damp, scarce = self.damp(k, dt, thin)
        free = ~rest | (m["rest_share"] == 0)
        lift = (np.where(free, m["lift_power"], 0.0), m["lift_from_k"])
        stage = np.zeros_like(temp)
        surface, flux = self.surface[k], self.flux[k]
        ahead_k = GAMMA * dt * self.surface_rate[k]
        mean_water = mean_heat = 0.0
        boxed = rest & (m["rest_box_heat"] > 0)
        box = self.box[k].copy()
        for c, weight in ((GAMMA, 1 - GAMMA), (1.0, GAMMA)):
            air = nominal[0] + c * (nominal[1] - nominal[0]) + pit[:, 0]
            hot = np.maximum(1, air / pit[:, 3])
            h = np.where(rest, m["rest_h"], pit[:, 1] * hot ** pit[:, 2])
            air = np.where(rest, m["rest_c"], air)
            # heat of the box: c (b - known) = gdt (link (surface - b) + loss (room - b))
            was = box if c < 1 else self.box[k] + (1 - GAMMA) / GAMMA * (box - self.box[k])
            link, out = m["rest_h"] * thin**2, m["rest_box_loss"]
            whole = m["rest_box_heat"] + gdt * (link + out)
            whole = np.where(boxed, whole, 1.0)
            part = np.where(boxed, gdt * link / whole, 0.0)
            alone = (m["rest_box_heat"] * was + gdt * out * m["rest_c"]) / whole
            air = np.where(boxed, alone / (1 - part), air)
            h = np.where(boxed, h * (1 - part), h)
            juice = self.flow[k] + self.flow_slope[k] * (now + c * clock - self.flow_at[k])
            juice = np.maximum(0, juice)
            gone = c * dt * flux
            used = np.maximum(0, np.minimum(self.film[k], gone))
            dry = self.dry[k] + gone - used - c * dt * m["juice_kept"] * juice
            dry = np.maximum(0, dry)
            film = self.film[k] - used
            wet = m["wetness"] * (1 + m["juice_feed"] * 3600 * juice)
            wet = np.minimum(1, wet / (1 + (dry / m["dry_budget"]) ** m["dry_power"])) * damp
            wet = wet + (1 - wet) * np.minimum(1, film / m["film_full"])
            known = temp if c < 1 else temp + (1 - GAMMA) / GAMMA * (stage - temp)
            right = capacity * known
            for i in range(1, cells):
                right[:, i] += lower[:, i] * right[:, i - 1]
            guess = surface + np.clip(ahead_k, -20, 20)
            beta = pit[:, 5] * h
            known = (air, h, wet, beta, pv, m["emissivity"], law, damp, scarce, lift)
            body = right[:, -1] / pivot[:, -1]
            new, heat, flux = self.solve(guess, skin * thin * share, body, *known)
            ahead_k = (1 - GAMMA) / GAMMA * (new - surface)
            surface = new
            box = np.where(boxed, alone + part * surface, box)
            stage = np.empty_like(temp)
            stage[:, -1] = (right[:, -1] + gdt * skin * surface) / pivot[:, -1] * share
            for i in range(cells - 2, -1, -1):
                stage[:, i] = (right[:, i] + g[:, i] * stage[:, i + 1]) / pivot[:, i]
            mean_water = mean_water + weight * flux
            mean_heat = mean_heat + weight * heat
        core = (9 * stage[:, 0] - stage[:, 1]) / 8
        rate = self.rate_of(m, core)
        dose = self.dose[k] + dt / 2 * (self.dose_rate[k] + rate)
        return stage, surface, mean_water, flux, mean_heat, thin, core, rate, dose, box

    @staticmethod
    def rate_of(m, core):
        cold = 1 / (core + 273.15) - 1 / (m["dose_reference_c"] + 273.15)
        rate = m["dose_rate"] * np.exp(-m["activation"] / 8.314462618 * cold)
        return np.where(core < m["dose_floor_c"], 0, rate)

    def crossing(self, k, now, core, dose):
        m, phase = self.m[k], self.phase[k]
        part, event = np.ones(len(k)), np.zeros(len(k), int)
        with np.errstate(divide="ignore", invalid="ignore"):
            at = (m["wrap_core_c"] - self.core[k]) / (core - self.core[k])
            hit = (phase == BARE) & (self.core[k] < m["wrap_core_c"]) & (m["wrap_core_c"] <= core)
            hit &= now >= m["wrap_earliest_s"]
            part, event = np.where(hit, at, part), np.where(hit, 1, event)
            by = m["by_core"]
            was = np.where(by, self.core[k], self.dose[k])
            new, goal = np.where(by, core, dose), np.where(by, m["finish_core_c"], m["finish_dose"])
            hit = (phase != REST) & np.isinf(m["finish_forced_s"]) & (was < goal) & (goal <= new)
            at = np.where(hit, (goal - was) / (new - was), 1.0)
        earlier = hit & (at < part)
        return np.where(earlier, at, part), np.where(earlier, 2, event)

    def due(self, k, now):
        m, phase = self.m[k], self.phase[k]
        ready = (self.core[k] >= m["wrap_core_c"]) & (now >= m["wrap_earliest_s"])
        wrap = (phase == BARE) & (ready | (now >= m["wrap_latest_s"]))
        self.moments[k[wrap], 0] = now[wrap]
        self.phase[k[wrap]] = WRAPPED
        unwrap = (self.phase[k] == WRAPPED) & (now >= m["unwrap_s"])
        self.moments[k[unwrap], 1] = now[unwrap]
        self.phase[k[unwrap]] = OPEN
        done = (self.phase[k] != REST) & (now >= m["finish_forced_s"])
        self.finish(k[done], now[done])

    def finish(self, k, now):
        self.covered[k] = self.phase[k] == WRAPPED
        self.box[k] = self.m["rest_c"][k]
        self.phase[k] = REST
        self.finished[k] = now
        self.moments[k, 3] = now
        self.loss_at[k] = self.loss[k]

    def stop(self, k, now, end):
        m, phase = self.m[k], self.phase[k]
        stop = np.full(len(k), end)
        for here, name in (
            (phase == BARE, "wrap_earliest_s"),
            (phase == BARE, "wrap_latest_s"),
            (phase == WRAPPED, "unwrap_s"),
            (phase != REST, "finish_forced_s"),
        ):
            stop = np.where(here & (now < m[name]), np.minimum(stop, m[name]), stop)
        return np.where(self.film[k] > 0, np.minimum(stop, now + 20.0), stop)

    def exude(self, k, dt, stage, gone):
        m = self.m[k]
        mid = (self.temp[k] + stage) / 2
        lost = self.given(k) + gone
        left = np.maximum(0, m["water_fraction"] * self.mass[k] - lost)
        most = m["water_fraction"] - np.maximum(0, lost - self.juiced[k]) / self.mass[k]
        got = []
        for name, store in (("juice", self.juice), ("fat", self.fat)):
            keep = 1 - np.exp(-dt / m[f"{name}_tau_s"])
            over = (m[f"{name}_mid_c"][:, None] - mid) / m[f"{name}_spread_k"][:, None]
            limit = m[f"{name}_limit"][:, None] / (1 + np.exp(over))
            if name == "juice":
                limit = np.minimum(limit, most[:, None])
            part = np.maximum(0, limit - store[k]) * keep[:, None]
            store[k] += part
            got.append(np.sum(part * self.volume[k], axis=1) * m["density"])
        return np.minimum(got[0], left), got[1] * m["fat_fraction"]

    def sub_step(self, k, pits, nominal_at, now, end):
        """Step the members k on to their next event or the end; the times reached come back."""
        stop = self.stop(k, now, end)
        result = None
        event = np.zeros(len(k), int)
        again = np.arange(len(k))
        for attempt in range(2):
            who = k[again]
            clock = stop[again] - now[again]
            pace = self.pace[who]
            nominal = (nominal_at(now[again]), nominal_at(stop[again]))
            made = self.try_step(who, pits[again], nominal, now[again], clock, clock / pace)
            if result is None:
                result = [value.copy() for value in made]
            else:
                for whole, part in zip(result, made, strict=True):
                    whole[again] = part
            if attempt:
                break
            part, event = self.crossing(k, now, made[6], made[8])
            again = np.flatnonzero(event > 0)
            stop[again] = now[again] + np.maximum(part[again] * clock[again], 1e-6)
            if not len(again):
                break
        stage, surface, water, flux, heat, thin, core, rate, dose, box = result
        m, clock = self.m[k], stop - now
        dt = clock / self.pace[k]
        spread, gone, was = thin**2, dt * water, self.dry[k].copy()
        used = np.maximum(0, np.minimum(self.film[k], gone))
        juice, fat = self.exude(k, dt, stage, (gone - used) * spread)
        self.juiced[k] += juice
        dry = was + gone - used - m["juice_kept"] * juice / spread
        self.film[k] -= used
        self.dripped[k] += (1 - m["juice_kept"]) * juice + np.maximum(0, -dry) * spread
        dry = np.maximum(0, dry)
        shut = np.isin(self.phase[k], (WRAPPED, REST))
        self.dripped[k] += np.where(shut, self.film[k] * spread, 0)
        self.film[k] = np.where(shut, 0, self.film[k])
        self.rendered[k] += fat
        self.evaporated[k] += gone * spread
        self.heat[k] += dt * heat * spread
        left = self.evaporated[k] + self.dripped[k] + self.rendered[k] - self.sprayed[k]
        loss = left / self.mass[k]
        self.loss_rate[k], self.loss[k], self.dry[k] = (loss - self.loss[k]) / dt, loss, dry
        bark = np.isinf(self.moments[k, 2]) & (was < m["bark_budget"]) & (m["bark_budget"] <= dry)
        bark &= self.phase[k] != REST
        gap = np.where(bark, dry - was, 1)
        at = now + clock * (m["bark_budget"] - was) / gap
        self.moments[k[bark], 2] = at[bark]
        self.old[k], self.temp[k] = self.temp[k], stage
        middle, flow = (now + stop) / 2, juice / (spread * dt)
        self.flow_slope[k] = (flow - self.flow[k]) / (middle - self.flow_at[k])
        self.flow[k], self.flow_at[k] = flow, middle
        self.surface_rate[k] = (surface - self.surface[k]) / dt
        self.surface[k], self.core[k], self.dose[k], self.box[k] = surface, core, dose, box
        self.dose_rate[k], self.flux[k], self.step_old[k] = rate, flux, dt
        self.phase[k[event == 1]] = WRAPPED
        self.moments[k[event == 1], 0] = stop[event == 1]
        self.finish(k[event == 2], stop[event == 2])
        return stop

    def record(self, row):
        for out, value in zip(self.out, self.state(), strict=True):
            out[:, row] = value

    def state(self):
        cells = self.temp.shape[1]
        mid = (self.temp[:, cells // 2] + self.temp[:, (cells - 1) // 2]) / 2
        return self.core, mid, self.surface, self.loss, self.dose

    def hold(self, k, pits):
        """Carry the members k, just finished, through their hold."""
        now = self.finished[k].copy()
        self.held[k, 0] = np.stack(self.state(), axis=1)[k]
        for point, after in enumerate(self.s.after_s[1:], start=1):
            end = self.finished[k] + after
            left = np.arange(len(k))
            while len(left := left[end[left] - now[left] > 1e-6]):
                now[left] = self.sub_step(
                    k[left], pits[left], lambda time: 0.0 * time, now[left], end[left]
                )
            self.held[k, point] = np.stack(self.state(), axis=1)[k]

    def recall(self):
        rows = self.s.times[self.s.row_at >= 0]
        for k in np.flatnonzero(np.isfinite(self.finished)):
            since = np.minimum(rows - self.finished[k], self.m["rest_s"][k])
            later = since > 0
            for column, out in enumerate(self.out):
                curve = self.held[k, :, column]
                out[k, later] = np.interp(since[later], self.s.after_s, curve)

    def run(self):
        s = self.s
        self.held = np.full((len(self.m), len(s.after_s), 5), np.nan)
        self.record(0)
        for step in range(len(s.times) - 1):
            start, end = s.times[step], s.times[step + 1]
            self.pace = self.m["pace_after" if s.later[step] else "pace"]
            wet = (s.spray[step] > 0) & ~np.isin(self.phase, (WRAPPED, REST))
            self.film += np.where(wet, s.spray[step], 0)
            area = (1 - self.m["shrink"] * np.maximum(0, self.loss)) ** (2 / 3)
            self.sprayed += np.where(wet, s.spray[step] * area, 0)
            now = np.full(len(self.m), start)
            first, last = s.nominal_c[step]

            def nominal_at(time, first=first, last=last, start=start, end=end):
                return first + (last - first) * (time - start) / (end - start)

            k = np.arange(len(self.m))
            while True:
                k = k[(end - now[k] > 1e-6) & (self.phase[k] != REST)]
                if not len(k):
                    break
                self.due(k, now[k])
                k = k[self.phase[k] != REST]
                if not len(k):
                    break
                pits = self.pits[k, s.pit_of_step[step]]
                now[k] = self.sub_step(k, pits, nominal_at, now[k], end)
            new = np.flatnonzero((self.phase == REST) & np.isnan(self.held[:, 0, 0]))
            if len(new):
                self.hold(new, self.pits[new, s.pit_of_step[step]])
            if s.row_at[step + 1] >= 0:
                self.record(s.row_at[step + 1])
        self.recall()
        capacity = self.m["heat_capacity"][:, None] * self.volume
        stored = np.sum(capacity * (self.temp - self.m["start_c"][:, None]), axis=1)
        sums = (self.evaporated, self.dripped, self.rendered, self.sprayed, self.heat, stored)
        return Marched(*self.out, *self.moments.T, *sums, self.loss_at, self.held)


def march(members, pits, schedule, *, pressure_pa, cells=20):
    with np.errstate(over="ignore"):
        return Twin(members, pits, schedule, pressure_pa, cells).run()
