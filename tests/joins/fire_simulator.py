"""Fires with a known truth, by physics unlike the forecast's: what a cook would have logged of them.

Two lumps of steel whose skins radiate by the fourth power and lose by free and forced convection of their
own, a draught that grows with the root of how hot the stack is, a fuel bed that burns the faster the more
lies in it and the wider the intake, and a cook who looks every few minutes. What is logged is coarser: a
count, a word for the wind, the air outside as somebody remembers it, pit numbers of a gauge that is off.
Nothing of ``stallwise.models`` is used.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from stallwise.record.cook import CookRecord
from stallwise.record.log import LogLine
from stallwise.record.readings import Readings
from stallwise.record.schema import Book, Cook, Piece, PitUse, Weather

SIGMA, ZERO, STEP_S = 5.670374e-8, 273.15, 120.0
WINDS = {"calm": 0.3, "breeze": 1.8, "wind": 4.5}
#: Usual area [m2], steel [kg], opening of the stack [kg/s at 100 K], fuel bed [kg] of each kind of pit.
PITS = {
    "offset": (2.2, 120.0, 0.017, 0.9),
    "closed": (0.85, 28.0, 0.0028, 3.2),
    "water pan": (1.0, 32.0, 0.0030, 5.5),
}
#: In what each is counted, and what one weighs [kg].
COUNTED = {"offset": ("split", 0.8), "closed": ("chimney", 1.7), "water pan": ("scoop", 0.9)}
START = dt.datetime(2026, 3, 7, 6, tzinfo=dt.UTC)


@dataclass(frozen=True)
class PitTruth:
    """One pit as it is: never told to anybody."""

    kind: str
    area_m2: float
    steel_kg: float
    stack: float
    bed_kg: float
    emissivity: float
    gauge_k: float
    unit_kg: float
    burns: float
    moisture: float
    heat: float


def pit_of(seed: int, kind: str) -> PitTruth:
    """A pit of a kind, up to half as big again or smaller."""
    rng = np.random.default_rng([seed, 11])
    area, steel, stack, bed = PITS[kind]
    size = np.exp(0.3 * rng.standard_normal())
    return PitTruth(
        kind, area * size, steel * size * np.exp(0.2 * rng.standard_normal()),
        stack * size * np.exp(0.3 * rng.standard_normal()), bed * size,
        rng.uniform(0.75, 0.95), 4.0 * rng.standard_normal(),
        COUNTED[kind][1] * np.exp(0.15 * rng.standard_normal()), rng.uniform(0.82, 0.95),
        rng.normal(0.18, 0.03) if kind == "offset" else rng.normal(0.06, 0.01),
        (18.6e6 if kind == "offset" else 29.5e6) * np.exp(0.04 * rng.standard_normal()),
    )  # fmt: skip


def cook_of(seed: int, number: int, pit: PitTruth, *, weighed: bool = True) -> CookRecord:
    """One logged cook on a pit, the record that a cook would have of it."""
    rng = np.random.default_rng([seed, number, 12])
    ambient, set_c = rng.uniform(-4.0, 27.0), rng.choice([107.0, 116.0, 121.0, 130.0])
    wind_word = rng.choice(list(WINDS), p=[0.5, 0.35, 0.15])
    wind = WINDS[wind_word] * np.exp(0.3 * rng.standard_normal())
    hours, meat_kg = rng.uniform(5.0, 13.0), rng.uniform(2.5, 8.0)
    # one pile, one maker of charcoal; each day takes from another end of it
    moisture = pit.moisture + 0.012 * rng.standard_normal()
    heat = (pit.heat * (1.0 - moisture) - 2.44e6 * moisture) * pit.burns
    heat *= np.exp(0.02 * rng.standard_normal())
    burn = None
    while burn is None:  # a pit too small for the day is run at what it gives
        burn = _burn(rng, pit, heat, (ambient, wind), set_c, hours, meat_kg)
        set_c -= 0.0 if burn else 10.0
    return _noted(rng, pit, burn, (ambient, str(wind_word)), set_c, meat_kg, number, weighed)


def _burn(rng, pit, heat, weather, set_c, hours, meat_kg):  # noqa: C901 - one march, top to bottom
    """March the fire: what went on and when, pit temperature, when it was steady, what is left."""
    ambient, wind = weather
    wood = pit.kind == "offset"
    heats = 485.0 * pit.steel_kg * np.array([0.35, 0.65])
    areas = pit.area_m2 * np.array([0.3, 0.7])
    steel = np.array([ambient, ambient])
    air, vent, bed = ambient, 1.0, 0.0
    put: list[tuple[float, float]] = []
    temps, steady_s, on_s, now = [], None, None, 0.0
    filled = max(round((2.2 if wood else 1.0) * pit.bed_kg / pit.unit_kg * 2.0) / 2.0, 0.5)
    first = filled * _weight(rng, pit, filled)
    bed += first
    put.append((0.0, first))
    wait, steady_vent = 0.0, 0.35 if wood else 0.3
    while True:
        # a new fire has to catch
        caught = 1.0 - np.exp(-((now / (1500.0 if wood else 2000.0)) ** 1.5))
        rate = caught * bed / (1500.0 if wood else 5400.0) * (0.1 + 0.9 * vent)
        if not wood:
            rate = min(rate, caught * 0.00024 * pit.area_m2 / 0.85 * (0.04 + 0.96 * vent))
        rate = min(rate, bed / STEP_S)
        bed -= rate * STEP_S
        power = rate * heat
        draught = pit.stack * np.sqrt(max(air - ambient, 1.0) / 100.0) * (0.4 + 0.6 * vent)
        taken = 0.0
        if on_s is not None:
            taken = meat_kg * 38.0 * np.exp(-(now - on_s) / 20_000.0) + meat_kg * 8.0
        if pit.kind == "water pan":
            taken += 300.0 * max(min((air - 60.0) / 60.0, 1.0), 0.0)
        # the air has no heat of its own: fire = draught + steel + meat
        inner = 30.0 * areas.sum() / 2.0
        carried = 1015.0 * draught
        air = (power - taken + carried * ambient + (inner * steel).sum()) / (carried + 2.0 * inner)
        gain = inner * (air - steel)
        kelvin = steel + ZERO
        free = 1.4 * np.maximum(steel - ambient, 0.1) ** (1.0 / 3.0)
        forced = 7.1 * wind**0.78  # flat plates, Jürges
        outside = np.cbrt(free**3 + forced**3)
        lost = areas * (outside * (steel - ambient)
                        + pit.emissivity * SIGMA * (kelvin**4 - (ambient + ZERO) ** 4))  # fmt: skip
        steel = steel + STEP_S * (gain - lost) / heats
        seen = 0.25 * air + 0.75 * steel[1]
        temps.append((now, seen))
        now += STEP_S
        if steady_s is None and seen >= set_c - 4.0:
            steady_s, on_s = now, now + rng.uniform(300.0, 1200.0)
        if steady_s is None and now > 6 * 3600.0:
            return None
        if on_s is not None and now >= on_s + hours * 3600.0:
            break
        # who looks after it: every six to twelve minutes
        wait -= STEP_S
        if wait > 0.0:
            continue
        wait = rng.uniform(360.0, 720.0)
        steady_vent += (
            (0.002 if wood else 0.0006) * float(np.clip(set_c - seen, -20.0, 20.0))
            if steady_s
            else 0.0
        )
        vent = float(
            np.clip(
                steady_vent + (0.008 if steady_s and not wood else 0.03) * (set_c - seen), 0.02, 1.0
            )
        )
        low = seen < set_c - 3.0 and bed < 1.2 * pit.bed_kg if wood else bed < 0.25 * pit.bed_kg
        if steady_s is None:
            low = wood and bed < 1.5 * pit.bed_kg
        if low:
            count = 1 if wood else max(round(0.6 * pit.bed_kg / pit.unit_kg * 2.0) / 2.0, 0.5)
            kg = count * _weight(rng, pit, count)
            bed += kg
            put.append((now, kg))
    return put, temps, steady_s, on_s, now, bed


def _weight(rng, pit, count):
    """What one unit weighs on average over so many: splits differ more than chimneys do."""
    spread = 0.2 if pit.kind == "offset" else 0.08
    return pit.unit_kg * np.exp(spread * rng.standard_normal() / np.sqrt(count))


def _noted(rng, pit, burn, weather, set_c, meat_kg, number, weighed):
    """Write the log of it as a cook would: counts, words, a gauge that is off."""
    put, temps, steady_s, on_s, end_s, bed = burn
    ambient, wind = weather
    unit, _ = COUNTED[pit.kind]
    zero = START + dt.timedelta(days=7 * number)

    def line(at_s, what, **data):
        at = zero + dt.timedelta(seconds=float(60.0 * round(at_s / 60.0)))
        return LogLine(f"{number}-{at_s:.0f}-{what}-{len(lines)}", at, what, made=at, data=data)

    lines: list[LogLine] = []
    filled = round(put[0][1] / pit.unit_kg * 2.0) / 2.0
    lines.append(line(0.0, "fire_lit", count=filled, unit=unit))
    lines.append(line(steady_s, "pit_steady"))
    lines.append(line(on_s, "meat_on"))
    for at_s, kg in put[1:]:
        if pit.kind == "offset" and rng.random() < 0.02:
            continue  # forgotten
        count = max(round(kg / pit.unit_kg * 2.0) / 2.0, 0.5) if pit.kind != "offset" else 1
        lines.append(line(at_s, "wood", count=count, unit=unit))
    lines.append(line(end_s, "off"))
    if pit.kind != "offset":
        total = sum(kg for _, kg in put)
        left = {"mass_kg": float(np.round(bed, 1))}  # half of the time on the scale
        if rng.random() < 0.5 or not weighed:
            left = {"share": float(np.round(bed / total, 1))}
        lines.append(line(end_s + 60.0, "fuel_left", **left))
    off = pit.gauge_k + 1.5 * rng.standard_normal()
    seen = [(t, c) for t, c in temps if t >= steady_s and int(t / STEP_S) % 5 == 0]
    at = tuple(zero + dt.timedelta(seconds=t) for t, _ in seen)
    gauge = Readings("f", "pit", "P", "", "grate", at,
                     tuple(float(round(c + off)) for _, c in seen))  # fmt: skip
    noted = f"{ambient + 1.5 * rng.standard_normal():.0f} C" if rng.random() < 0.9 else None
    measures = {unit: f"{1000.0 * pit.unit_kg:.0f} g"} if weighed else {}
    cook = Cook(
        title=f"fire {number}",
        date=zero.date(),
        weather=Weather(ambient=noted, wind=wind),
        pits=[PitUse(letter="P", pit="mine", kind=pit.kind, start=f"{set_c:.0f} C")],
        pieces=[Piece(letter="A", cut="pork-shoulder-bone-in", mass=f"{meat_kg:.1f} kg")],
    )
    book = Book(title="simulated", measures=measures)
    ordered = tuple(sorted(lines, key=lambda each: each.at))
    return CookRecord(f"{number:02d}-fire", cook, book, {}, ordered, (gauge,), {}, {}, {}, None, ())


def series(seed: int, kind: str, *, count: int = 6, weighed: bool = True) -> list[CookRecord]:
    """Cooks of one pit, in order."""
    pit = pit_of(seed, kind)
    return [cook_of(seed, number, pit, weighed=weighed) for number in range(count)]
