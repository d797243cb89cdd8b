"""The compiled time march: import it only through `stallwise.models.kernel`, for numba is slow to load.

All compiled functions live in this one file, because numba's cache does not notice a change in
another. Sums are per square metre of the piece's first surface; cells run from the core outwards.

Scheme: cells of equal width in a body whose area grows as x**(n - 1). In time a two-stage, stiffly
accurate, L-stable diagonally implicit Runge-Kutta method of second order [alexander-1977]_: it
needs no history, so a step may end at any event (wrap, unwrap, spritz, finish) and no event costs
accuracy. Both stages share one factorised matrix; what is left of it at the surface is one
equation, solved to convergence by a bracketed Newton iteration.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import njit

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)  # the root that makes the method L-stable [alexander-1977]_
STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), exact in the SI [codata-2018]_
GAS_CONSTANT = 8.314462618  # J/(mol K), exact in the SI [codata-2018]_
ZERO_C = 273.15
REFERENCE_C = 40.0  # properties of meat are given at this temperature
PRESSURE_CAP = 0.97  # the Stefan factor is held beyond this share of the air's pressure
NEWTON_K = 1e-4  # last correction; the error left goes with its square and is below 1e-9 K
SCARCE_K = 1e-8  # the curve bends sharply where the last water goes
NEWTON_STEPS, NEWTON_ALONE = 60, 8
COLDEST_C, HOTTEST_C = -60.0, 600.0  # the surface is looked for between these
GUESS_K = 20.0  # a first guess is not further than this from the last surface
SHORTEST_S = 1e-6
FILM_S = 20.0  # a sprayed film is gone within minutes: short steps until then
LEAST_WATER = 1e-12  # kg/m2
LEAST_LIFT_K, FOURTH = 2.0, 0.25
NEVER = math.inf

# pit table: one row for each pit that the piece visits
OFFSET, HEATING, POWER, POWER_FROM, VAPOUR, LEWIS = range(6)
# law of the surface while a step runs
SHARE, COVER_EMISSIVITY, GAP, COVER_WET, LEAK, VENT, DAMP, SCARCE, LIFT, LIFT_FROM = range(10)
LAWS = 10
# state of one member
SURFACE, CORE, FILM, DRY, EVAPORATED, DRIPPED, RENDERED, SPRAYED, HEAT_IN, LOSS = range(10)
LOSS_RATE, DOSE, DOSE_RATE, JUICE, JUICE_SLOPE, JUICE_AT, WATER, STEP_OLD = range(10, 18)
SURFACE_RATE, PHASE, FINISHED, PACE, JUICED, COVERED, BOX, BOX_NEXT = range(18, 26)
STATES = 26
BARE, IN_WRAP, AFTER_WRAP, AT_REST = 0.0, 1.0, 2.0, 3.0  # phases
NO_EVENT, WRAP_EVENT, FINISH_EVENT = range(3)
# results
WRAPPED, UNWRAPPED, BARK, FINISH = range(4)
OF_WATER, OF_DRIP, OF_FAT, OF_SPRAY, OF_HEAT, OF_STORE, LOSS_AT_FINISH = range(7)


def compiled(function: Any) -> Any:
    """Compile a function, kept in the cache where there is one."""
    # contraction and reciprocals only: results move in the last digits, inf and nan stay themselves
    options: dict[str, Any] = {
        "error_model": "numpy",
        "fastmath": {"contract", "arcp", "nsz"},
        "nogil": True,  # members are marched side by side in threads
    }
    try:
        return njit(cache=True, **options)(function)
    except RuntimeError:  # no folder can be written: compile anew in each session
        return njit(**options)(function)


class Cells(NamedTuple):
    """One member's arrays over the cells, and the room that a step works in."""

    volume: Any
    area: Any
    temp: Any
    temp_old: Any
    stage: Any
    right: Any
    lower: Any
    upper: Any
    inverse: Any
    juice: Any
    fat: Any


class Marched(NamedTuple):
    """Curves (members, rows), moments and sums (members, …) that take the results."""

    core_c: Any
    mid_c: Any
    surface_c: Any
    loss: Any
    dose: Any
    moments: Any
    sums: Any
    held: Any


class Steps(NamedTuple):
    """What all members share, as in `kernel.Schedule`."""

    times: Any
    nominal: Any
    pit_of_step: Any
    spray: Any
    later: Any
    row_at: Any
    after: Any


@compiled
def saturation_pa(t_c: float) -> float:
    """Saturation pressure over water [Pa], 0 to 200 C [hyland-wexler-1983]_."""
    t = t_c + ZERO_C
    return math.exp(
        -5.8002206e3 / t
        + 1.3914993
        + t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8))
        + 6.5459673 * math.log(t)
    )


@compiled
def saturation_slope(t_c: float) -> float:
    """Slope of the logarithm of the saturation pressure [1/K]."""
    t = t_c + ZERO_C
    return (
        5.8002206e3 / (t * t)
        - 4.8640239e-2
        + t * (2 * 4.1764768e-5 - t * 3 * 1.4452093e-8)
        + 6.5459673 / t
    )


@compiled
def lifted(apart: float, law: Any) -> tuple[float, float]:
    """Growth of free convection with air less surface, and its relative slope per kelvin of surface."""
    if law[LIFT] <= 0.0:
        return 1.0, 0.0
    share = max(abs(apart), LEAST_LIFT_K) / law[LIFT_FROM]
    # the law's own power is two roots, which are twice as quick
    lift = math.sqrt(math.sqrt(share)) if law[LIFT] == FOURTH else share ** law[LIFT]
    return lift, -law[LIFT] / apart if abs(apart) > LEAST_LIFT_K else 0.0


@compiled
def surface_flux(
    ts: float,
    ta: float,
    h: float,
    wet: float,
    beta: float,
    pv: float,
    p: float,
    emissivity: float,
    law: Any,
) -> tuple[float, float, float, float]:
    """Heat into the meat [W/m2] and water leaving [kg/(m2 s)], each with its slope, for a surface at `ts`."""
    ps = saturation_pa(ts)
    dps = ps * saturation_slope(ts)
    latent = 2.501e6 - 2361.0 * ts  # J/kg, as in `humid_air.latent_heat_j_kg`
    cap = PRESSURE_CAP * p
    if ps < cap:  # Lewis conductance with Stefan flow
        drive = p * math.log((p - pv) / (p - ps))
        ddrive = p / (p - ps) * dps
    else:
        factor = p / (cap - pv) * math.log((p - pv) / (p - cap))
        drive = factor * (ps - pv)
        ddrive = factor * dps
    lift, bend = lifted(ta - ts, law)
    h *= lift
    beta *= lift
    tk = ts + ZERO_C
    ak = ta + ZERO_C
    radiation = STEFAN_BOLTZMANN * (ak * ak + tk * tk) * (ak + tk)
    dradiation = STEFAN_BOLTZMANN * (2 * tk * (ak + tk) + ak * ak + tk * tk)
    bare = 1.0 - law[SHARE]
    outer = h + emissivity * radiation
    q = bare * outer * (ta - ts)
    dq = bare * ((emissivity * dradiation + bend * h) * (ta - ts) - outer)
    m = bare * wet * beta * drive
    dm = bare * wet * beta * (ddrive + bend * drive)
    if law[SHARE] > 0.0:
        outer = h + law[COVER_EMISSIVITY] * radiation
        through = 1.0 / (1.0 / outer + law[GAP])
        ratio = through / outer
        q += law[SHARE] * through * (ta - ts)
        dq += law[SHARE] * (
            ratio * ratio * (law[COVER_EMISSIVITY] * dradiation + bend * h) * (ta - ts) - through
        )
        open_to = (wet * law[COVER_WET] + law[LEAK] * law[DAMP]) * beta
        covered = open_to * drive
        dcovered = open_to * (ddrive + bend * drive)
        if ps > p:  # boiling inside the wrap: steam finds its way out
            covered += law[VENT] * law[DAMP] * (ps - p)
            dcovered += law[VENT] * law[DAMP] * dps
        m += law[SHARE] * covered
        dm += law[SHARE] * dcovered
    if law[SCARCE] > 0.0 and m > 0.0:  # no step takes more than there is
        less = 1.0 / (1.0 + law[SCARCE] * m)
        m *= less
        dm *= less * less
    return q - m * latent, dq - dm * latent + 2361.0 * m, m, dm


@compiled
def solve_surface(
    ts: float,
    link: float,
    body: float,
    ta: float,
    h: float,
    wet: float,
    beta: float,
    pv: float,
    p: float,
    emissivity: float,
    law: Any,
) -> tuple[float, float, float]:
    """Surface temperature at which the heat that arrives, q(ts), equals what the body takes, link (ts - body)."""
    low = COLDEST_C
    high = HOTTEST_C
    q = 0.0
    m = 0.0
    for i in range(NEWTON_STEPS):
        q, dq, m, dm = surface_flux(ts, ta, h, wet, beta, pv, p, emissivity, law)
        rest = q - link * (ts - body)
        if rest > 0.0:
            low = ts
        else:
            high = ts
        new = ts - rest / (dq - link)
        # a sharp bend can send Newton to and fro: halve now and then
        if not low <= new <= high or (i > NEWTON_ALONE and i % 2 == 0):
            new = 0.5 * (low + high)
        change = new - ts
        ts = new
        if abs(change) < (NEWTON_K if law[SCARCE] == 0.0 else SCARCE_K):
            q += dq * change
            m += dm * change
            break
    return ts, q, m


@compiled
def wetness(one: Any, film: float, dry: float, juice: float, damp: float) -> float:
    """Share of a free water surface's evaporation that this surface gives."""
    wet: float = one.wetness * (1.0 + one.juice_feed * 3600.0 * juice)
    if dry > 0.0:
        wet /= 1.0 + (dry / one.dry_budget) ** one.dry_power
    wet = min(wet, 1.0) * damp
    if film > 0.0:
        wet += (1.0 - wet) * min(1.0, film / one.film_full)
    return wet


@compiled
def water_lost(one: Any, state: Any) -> float:
    """Water that the meat itself has given so far [kg per m2 of first surface]."""
    area = (1.0 - one.shrink * max(0.0, state[LOSS])) ** (2.0 / 3.0)
    lost: float = state[EVAPORATED] + state[DRIPPED] - state[SPRAYED] + state[FILM] * area
    return lost


@compiled
def set_dampness(one: Any, state: Any, dt: float, thin: float, law: Any) -> None:
    """Slow the drying as the water runs out: the falling-rate period of drying, 0 at the last of it."""
    held = one.water_fraction * one.density * one.radius_m / one.shape_n
    left = max(held - water_lost(one, state), LEAST_WATER)
    low = one.water_low * held
    law[DAMP] = 1.0
    law[SCARCE] = 0.0
    if left < low:
        law[DAMP] = left / low
        law[SCARCE] = dt / (left / (thin * thin) + state[FILM])


@compiled
def factorise(one: Any, dt: float, thin: float, dx: float, cells: Any, state: Any) -> float:
    """Eliminate the body's matrix; return the conductance of the outer half cell [W/(m2 K)]."""
    temp = cells.temp
    old = cells.temp_old
    last = temp.shape[0] - 1
    ahead = min(1.0, 0.5 * dt / state[STEP_OLD])  # to the middle of the step
    inner = 0.0
    for i in range(last + 1):
        diagonal = one.heat_capacity * cells.volume[i] + inner
        if i > 0:
            cells.lower[i] = inner * cells.inverse[i - 1]
            diagonal -= cells.lower[i] * inner
        if i < last:
            rise = temp[i] - old[i] + temp[i + 1] - old[i + 1]
            middle = 0.5 * (temp[i] + temp[i + 1] + ahead * rise)
            conductivity = one.conductivity * (
                1.0 + one.conductivity_slope * (middle - REFERENCE_C)
            )
            inner = GAMMA * dt * conductivity * cells.area[i + 1] / (dx * thin * thin)
            diagonal += inner
            cells.upper[i] = inner
        cells.inverse[i] = 1.0 / diagonal
    middle = 0.5 * (temp[last] + ahead * (temp[last] - old[last]) + state[SURFACE])
    conductivity = one.conductivity * (1.0 + one.conductivity_slope * (middle - REFERENCE_C))
    outer: float = conductivity / (0.5 * dx * thin * thin)
    return outer


@compiled
def known_side(one: Any, cells: Any, stage: int) -> float:
    """Forward sweep of a stage's right side; return what the surface sees of the body [C]."""
    temp = cells.temp
    for i in range(temp.shape[0]):
        known = temp[i]
        if stage > 0:
            known += (1.0 - GAMMA) / GAMMA * (cells.stage[i] - temp[i])
        cells.right[i] = one.heat_capacity * cells.volume[i] * known
        if i > 0:
            cells.right[i] += cells.lower[i] * cells.right[i - 1]
    last = temp.shape[0] - 1
    body: float = cells.right[last] * cells.inverse[last]
    return body


@compiled
def air_at_meat(one: Any, pit: Any, phase: float, nominal: float) -> tuple[float, float]:
    """Air temperature [C] and convection [W/(m2 K)] round the piece."""
    if phase == AT_REST:
        return one.rest_c, one.rest_h
    air = nominal + pit[OFFSET]
    h = pit[HEATING]
    if air > pit[POWER_FROM]:
        h *= (air / pit[POWER_FROM]) ** pit[POWER]
    return air, h


@compiled
def box_round(
    one: Any, state: Any, box: float, gdt: float, spread: float
) -> tuple[float, float, float, float]:
    """Say what the meat sees of a box round it: air [C] and link [W/(m2 K)].

    Towels and walls are one lump. A stage's end temperature of it is linear in the meat's surface,
    so it drops out of the step and no step is too long for it: it ends at (third) + (fourth) x surface.
    """
    known = state[BOX] + (1.0 - GAMMA) / GAMMA * (box - state[BOX])
    link = one.rest_h * spread
    whole = one.rest_box_heat + gdt * (link + one.rest_box_loss)
    base = (one.rest_box_heat * known + gdt * one.rest_box_loss * one.rest_c) / whole
    part = gdt * link / whole
    return base / (1.0 - part), one.rest_h * (1.0 - part), base, part


@compiled
def advance(
    one: Any,
    pit: Any,
    law: Any,
    nominal: Any,
    now: float,
    clock: float,
    pressure: float,
    dx: float,
    cells: Any,
    state: Any,
) -> tuple[float, float, float, float, float]:
    """One step of the body's heat, into `cells.stage`.

    Returned: surface [C], mean and last water [kg/(m2 s)], mean heat [W/m2], shrinking in length.
    """
    last = cells.temp.shape[0] - 1
    dt = clock / state[PACE]
    lost = max(0.0, state[LOSS] + 0.5 * dt * state[LOSS_RATE])
    thin = (1.0 - one.shrink * lost) ** (1.0 / 3.0)
    skin = factorise(one, dt, thin, dx, cells, state)
    share = 1.0 / (1.0 + GAMMA * dt * skin * cells.inverse[last])
    link = skin * thin * share
    vapour = one.rest_vapour_pa if state[PHASE] == AT_REST else pit[VAPOUR]
    set_dampness(one, state, dt, thin, law)
    surface = state[SURFACE]
    guess = GAMMA * dt * state[SURFACE_RATE]
    flux = state[WATER]
    water = 0.0
    heat = 0.0
    boxed = state[PHASE] == AT_REST and one.rest_box_heat > 0.0
    box = state[BOX]
    base = 0.0
    part_box = 0.0
    for s in range(2):
        part = GAMMA if s == 0 else 1.0
        weight = 1.0 - GAMMA if s == 0 else GAMMA
        air, h = air_at_meat(one, pit, state[PHASE], nominal[0] + part * (nominal[1] - nominal[0]))
        if boxed:
            air, h, base, part_box = box_round(one, state, box, GAMMA * dt, thin * thin)
        # the surface's water, carried forward with the last flux known
        later = now + part * clock - state[JUICE_AT]
        juice = max(0.0, state[JUICE] + state[JUICE_SLOPE] * later)
        gone = part * dt * flux
        used = max(0.0, min(state[FILM], gone))
        dry = max(0.0, state[DRY] + gone - used - part * dt * one.juice_kept * juice)
        wet = wetness(one, state[FILM] - used, dry, juice, law[DAMP])
        body = known_side(one, cells, s)
        before = surface
        guess = surface + max(-GUESS_K, min(GUESS_K, guess))
        beta = pit[LEWIS] * h
        eps = one.emissivity
        surface, q, flux = solve_surface(
            guess, link, body, air, h, wet, beta, vapour, pressure, eps, law
        )
        guess = (1.0 - GAMMA) / GAMMA * (surface - before)
        if boxed:
            box = base + part_box * surface
        taken = cells.right[last] + GAMMA * dt * skin * surface
        cells.stage[last] = taken * cells.inverse[last] * share
        for i in range(last - 1, -1, -1):
            outer = cells.upper[i] * cells.stage[i + 1]
            cells.stage[i] = (cells.right[i] + outer) * cells.inverse[i]
        water += weight * flux
        heat += weight * q
    state[BOX_NEXT] = box
    return surface, water, flux, heat, thin


@compiled
def exude(one: Any, dt: float, cells: Any, state: Any, gone: float) -> tuple[float, float]:
    """Juice and fat that leave the meat in one step [kg/m2]; exact at a steady temperature."""
    # juice can only be what is left when `gone`, this step's evaporation, is off
    mass = one.density * one.radius_m / one.shape_n
    lost = water_lost(one, state) + gone
    left = max(0.0, one.water_fraction * mass - lost)
    most = one.water_fraction - max(0.0, lost - state[JUICED]) / mass
    keep = 1.0 - math.exp(-dt / one.juice_tau_s)
    keep_fat = 1.0 - math.exp(-dt / one.fat_tau_s)
    juice_out = 0.0
    fat_out = 0.0
    for i in range(cells.temp.shape[0]):
        middle = 0.5 * (cells.temp[i] + cells.stage[i])
        limit = one.juice_limit / (1.0 + math.exp((one.juice_mid_c - middle) / one.juice_spread_k))
        limit = min(limit, most)
        if cells.juice[i] < limit:
            part = (limit - cells.juice[i]) * keep
            cells.juice[i] += part
            juice_out += part * cells.volume[i]
        limit = one.fat_limit / (1.0 + math.exp((one.fat_mid_c - middle) / one.fat_spread_k))
        if cells.fat[i] < limit:
            part = (limit - cells.fat[i]) * keep_fat
            cells.fat[i] += part
            fat_out += part * cells.volume[i]
    return min(juice_out * one.density, left), fat_out * one.density * one.fat_fraction


@compiled
def dose_rate(one: Any, core: float) -> float:
    """Speed of tenderness [1/s] at the core."""
    if core < one.dose_floor_c:
        return 0.0
    cold = 1.0 / (core + ZERO_C) - 1.0 / (one.dose_reference_c + ZERO_C)
    rate: float = one.dose_rate * math.exp(-one.activation / GAS_CONSTANT * cold)
    return rate


@compiled
def finish_now(one: Any, state: Any, moments: Any, sums: Any, now: float) -> None:
    """Note that the piece has its wanted finish, and send it to rest as it comes off."""
    state[COVERED] = 1.0 if state[PHASE] == IN_WRAP else 0.0
    state[BOX] = one.rest_c
    state[PHASE] = AT_REST
    state[FINISHED] = now
    moments[FINISH] = now
    sums[LOSS_AT_FINISH] = state[LOSS]


@compiled
def due_now(one: Any, state: Any, moments: Any, sums: Any, now: float) -> None:
    """Change the phase if a known moment has come."""
    if state[PHASE] == BARE:
        ready = state[CORE] >= one.wrap_core_c and now >= one.wrap_earliest_s
        if ready or now >= one.wrap_latest_s:
            state[PHASE] = IN_WRAP
            moments[WRAPPED] = now
    if state[PHASE] == IN_WRAP and now >= one.unwrap_s:
        state[PHASE] = AFTER_WRAP
        moments[UNWRAPPED] = now
    if state[PHASE] != AT_REST and now >= one.finish_forced_s:
        finish_now(one, state, moments, sums, now)


@compiled
def next_stop(one: Any, state: Any, now: float, end: float) -> float:
    """Find the next known moment, not later than `end`."""
    stop = end
    if state[PHASE] == BARE:
        if now < one.wrap_earliest_s < stop:
            stop = one.wrap_earliest_s
        if now < one.wrap_latest_s < stop:
            stop = one.wrap_latest_s
    if state[PHASE] == IN_WRAP and now < one.unwrap_s < stop:
        stop = one.unwrap_s
    if state[PHASE] != AT_REST and now < one.finish_forced_s < stop:
        stop = one.finish_forced_s
    if state[FILM] > 0.0:
        stop = min(stop, now + FILM_S)
    return stop


@compiled
def crossing(one: Any, state: Any, now: float, core: float, dose: float) -> tuple[float, int]:
    """Where inside the step an event falls (1 for nowhere), and which event it is."""
    part = 1.0
    event = NO_EVENT
    old = state[CORE]
    if state[PHASE] == BARE and old < one.wrap_core_c <= core and now >= one.wrap_earliest_s:
        part = (one.wrap_core_c - old) / (core - old)
        event = WRAP_EVENT
    if state[PHASE] != AT_REST and one.finish_forced_s == NEVER:
        where = 1.0
        if one.by_core:
            if old < one.finish_core_c <= core:
                where = (one.finish_core_c - old) / (core - old)
        elif state[DOSE] < one.finish_dose <= dose:
            where = (one.finish_dose - state[DOSE]) / (dose - state[DOSE])
        if where < part:
            part = where
            event = FINISH_EVENT
    return part, event


@compiled
def set_law(one: Any, state: Any, law: Any) -> None:
    """Fill `law` for a bare, wrapped or resting surface; on the counter it rests as it came off."""
    law[:] = 0.0
    phase = state[PHASE]
    if phase != AT_REST or one.rest_share == 0.0:  # in free air
        law[LIFT] = one.lift_power
        law[LIFT_FROM] = one.lift_from_k
    if phase == AT_REST and one.rest_share > 0.0:
        law[SHARE] = one.rest_share
        law[COVER_EMISSIVITY] = one.rest_emissivity
        law[GAP] = one.rest_gap
        law[LEAK] = one.rest_leak
    elif phase == IN_WRAP or (phase == AT_REST and state[COVERED] > 0.0):
        law[SHARE] = one.wrap_share
        law[COVER_EMISSIVITY] = one.wrap_emissivity
        law[GAP] = one.wrap_gap
        law[COVER_WET] = one.wrap_wet
        law[LEAK] = one.wrap_leak
        law[VENT] = one.wrap_vent


@compiled
def settle(one: Any, state: Any, dt: float, water: float, thin: float, out: Any) -> None:
    """Carry a step's water, juice and fat into the state; `out` is (juice, fat)."""
    spread = thin * thin  # present area over first area
    juice, fat = out
    state[JUICED] += juice
    gone = dt * water
    used = max(0.0, min(state[FILM], gone))  # the film dries first; dew runs off
    state[FILM] -= used
    dry = state[DRY] + gone - used - one.juice_kept * juice / spread
    state[DRIPPED] += (1.0 - one.juice_kept) * juice
    if dry < 0.0:
        state[DRIPPED] -= dry * spread
        dry = 0.0
    if state[PHASE] == IN_WRAP or state[PHASE] == AT_REST:
        state[DRIPPED] += state[FILM] * spread  # what was sprayed runs off inside a wrap
        state[FILM] = 0.0
    state[DRY] = dry
    state[RENDERED] += fat
    state[EVAPORATED] += gone * spread
    mass = one.density * one.radius_m / one.shape_n
    gain = state[EVAPORATED] + state[DRIPPED] + state[RENDERED] - state[SPRAYED]
    loss = gain / mass
    state[LOSS_RATE] = (loss - state[LOSS]) / dt
    state[LOSS] = loss


@compiled
def sub_step(
    one: Any,
    pit: Any,
    law: Any,
    nominal: Any,
    slope: float,
    now: float,
    end: float,
    pressure: float,
    dx: float,
    cells: Any,
    state: Any,
    moments: Any,
    sums: Any,
) -> float:
    """March to the next event or to `end`; return the time reached. `nominal[0]` holds at `now`."""
    stop: float = next_stop(one, state, now, end)
    set_law(one, state, law)
    event = NO_EVENT
    while True:
        clock = stop - now
        dt = clock / state[PACE]
        nominal[1] = nominal[0] + slope * clock
        surface, water, flux, heat, thin = advance(
            one, pit, law, nominal, now, clock, pressure, dx, cells, state
        )
        # the core itself, on a parabola through the two inner cells
        core = (9.0 * cells.stage[0] - cells.stage[1]) / 8.0
        rate = dose_rate(one, core)
        dose = state[DOSE] + 0.5 * dt * (state[DOSE_RATE] + rate)
        if event != NO_EVENT:
            break
        part, event = crossing(one, state, now, core, dose)
        if event == NO_EVENT:
            break
        stop = now + max(part * clock, SHORTEST_S)  # again, up to the event
    gone = dt * water
    gone -= max(0.0, min(state[FILM], gone))
    out = exude(one, dt, cells, state, gone * thin * thin)
    dry = state[DRY]
    settle(one, state, dt, water, thin, out)
    if moments[BARK] == NEVER and dry < one.bark_budget <= state[DRY] and state[PHASE] != AT_REST:
        moments[BARK] = now + clock * (one.bark_budget - dry) / (state[DRY] - dry)
    for i in range(cells.temp.shape[0]):
        cells.temp_old[i] = cells.temp[i]
        cells.temp[i] = cells.stage[i]
    state[HEAT_IN] += dt * heat * thin * thin
    middle = 0.5 * (now + stop)
    flow = out[0] / (thin * thin * dt)
    state[JUICE_SLOPE] = (flow - state[JUICE]) / (middle - state[JUICE_AT])
    state[JUICE] = flow
    state[JUICE_AT] = middle
    state[SURFACE_RATE] = (surface - state[SURFACE]) / dt
    state[SURFACE] = surface
    state[CORE] = core
    state[DOSE] = dose
    state[DOSE_RATE] = rate
    state[WATER] = flux
    state[STEP_OLD] = dt
    state[BOX] = state[BOX_NEXT]
    nominal[0] = nominal[1]
    if event == WRAP_EVENT:
        state[PHASE] = IN_WRAP
        moments[WRAPPED] = stop
    elif event == FINISH_EVENT:
        finish_now(one, state, moments, sums, stop)
    return stop


@compiled
def begin(one: Any, cells: Any, state: Any) -> None:
    """Lay one member out at its start."""
    count = cells.temp.shape[0]
    n = one.shape_n
    for i in range(count):
        cells.area[i + 1] = ((i + 1) / count) ** (n - 1.0)
        cells.volume[i] = one.radius_m / n * (((i + 1) / count) ** n - (i / count) ** n)
    cells.temp[:] = one.start_c
    cells.temp_old[:] = one.start_c
    cells.juice[:] = 0.0
    cells.fat[:] = 0.0
    state[:] = 0.0
    state[SURFACE] = one.start_c
    state[CORE] = one.start_c
    state[STEP_OLD] = 1.0
    state[FINISHED] = NEVER
    state[DOSE_RATE] = dose_rate(one, one.start_c)


@compiled
def record(cells: Any, state: Any, made: Any, k: int, row: int) -> None:
    """Write one row of the curves."""
    half = cells.temp.shape[0] // 2
    other = (cells.temp.shape[0] - 1) // 2  # the same cell when their number is odd
    made.core_c[k, row] = state[CORE]
    made.mid_c[k, row] = 0.5 * (cells.temp[half] + cells.temp[other])
    made.surface_c[k, row] = state[SURFACE]
    made.loss[k, row] = state[LOSS]
    made.dose[k, row] = state[DOSE]


@compiled
def note(cells: Any, state: Any, held: Any) -> None:
    """Write one moment after the finish: core, half way, surface, loss, dose."""
    half = cells.temp.shape[0] // 2
    other = (cells.temp.shape[0] - 1) // 2
    held[0] = state[CORE]
    held[1] = 0.5 * (cells.temp[half] + cells.temp[other])
    held[2] = state[SURFACE]
    held[3] = state[LOSS]
    held[4] = state[DOSE]


@compiled
def hold(
    k: int,
    one: Any,
    pit: Any,
    steps: Any,
    pressure: float,
    dx: float,
    cells: Any,
    state: Any,
    law: Any,
    nominal: Any,
    made: Any,
) -> None:
    """March one member on from its finish, in the place where it rests and is held."""
    now = state[FINISHED]
    note(cells, state, made.held[k, 0])
    for point in range(1, steps.after.shape[0]):
        end = state[FINISHED] + steps.after[point]
        while end - now > SHORTEST_S:
            now = sub_step(
                one,
                pit,
                law,
                nominal,
                0.0,
                now,
                end,
                pressure,
                dx,
                cells,
                state,
                made.moments[k],
                made.sums[k],
            )
        note(cells, state, made.held[k, point])


@compiled
def recall(one: Any, state: Any, steps: Any, made: Any, k: int, step: int) -> None:
    """Fill the rows after the finish from the hold; a piece that has rested stays as it is."""
    curves = (made.core_c, made.mid_c, made.surface_c, made.loss, made.dose)
    point = 0
    last = steps.after.shape[0] - 1
    for later in range(step + 1, steps.times.shape[0]):
        row = steps.row_at[later]
        if row < 0:
            continue
        since = min(steps.times[later] - state[FINISHED], one.rest_s, steps.after[last])
        while point < last - 1 and steps.after[point + 1] < since:
            point += 1
        after = min(point + 1, last)
        span = steps.after[after] - steps.after[point]
        share = (since - steps.after[point]) / span if span > 0.0 else 0.0
        for column, curve in enumerate(curves):
            held = made.held[k, :, column]
            curve[k, row] = held[point] + share * (held[after] - held[point])


@compiled
def march_one(
    k: int,
    one: Any,
    pits: Any,
    steps: Any,
    pressure: float,
    cells: Any,
    state: Any,
    law: Any,
    nominal: Any,
    made: Any,
) -> None:
    """March one member through all steps, or to its finish and through its hold."""
    begin(one, cells, state)
    moments = made.moments[k]
    sums = made.sums[k]
    moments[:] = NEVER
    sums[LOSS_AT_FINISH] = math.nan
    made.held[k, :, :] = math.nan
    record(cells, state, made, k, 0)
    dx = one.radius_m / cells.temp.shape[0]
    for step in range(steps.times.shape[0] - 1):
        now = steps.times[step]
        end = steps.times[step + 1]
        state[PACE] = one.pace_after if steps.later[step] else one.pace
        pit = pits[k, steps.pit_of_step[step]]
        slope = (steps.nominal[step, 1] - steps.nominal[step, 0]) / (end - now)
        nominal[0] = steps.nominal[step, 0]
        water = steps.spray[step]
        if water > 0.0 and state[PHASE] != IN_WRAP and state[PHASE] != AT_REST:
            state[FILM] += water
            area = (1.0 - one.shrink * max(0.0, state[LOSS])) ** (2.0 / 3.0)
            state[SPRAYED] += water * area
        while end - now > SHORTEST_S and state[PHASE] != AT_REST:
            due_now(one, state, moments, sums, now)
            if state[PHASE] == AT_REST:
                break
            now = sub_step(
                one, pit, law, nominal, slope, now, end, pressure, dx, cells, state, moments, sums
            )
        if state[PHASE] == AT_REST:
            hold(k, one, pit, steps, pressure, dx, cells, state, law, nominal, made)
            recall(one, state, steps, made, k, step)
            break
        if steps.row_at[step + 1] >= 0:
            record(cells, state, made, k, steps.row_at[step + 1])
    sums[OF_WATER] = state[EVAPORATED]
    sums[OF_DRIP] = state[DRIPPED]
    sums[OF_FAT] = state[RENDERED]
    sums[OF_SPRAY] = state[SPRAYED]
    sums[OF_HEAT] = state[HEAT_IN]
    stored = 0.0
    for i in range(cells.temp.shape[0]):
        stored += one.heat_capacity * cells.volume[i] * (cells.temp[i] - one.start_c)
    sums[OF_STORE] = stored


@compiled
def march(members: Any, pits: Any, steps: Any, pressure: float, cell_count: int, made: Any) -> None:
    """March every member; the results are written into `made`."""
    cells = Cells(
        np.empty(cell_count),
        np.empty(cell_count + 1),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
        np.empty(cell_count),
    )
    state = np.empty(STATES)
    law = np.empty(LAWS)
    nominal = np.empty(2)
    for k in range(members.shape[0]):
        march_one(k, members[k], pits, steps, pressure, cells, state, law, nominal, made)
