"""What one minute does to a room, a cylinder and a fuse: constants of exact steps, made once.

Single precision is the definition of a season, so that plain Python and the compiled path agree in every minute: every constant
here is rounded to it, and every sum and product of a minute is rounded by itself, in the order written in `minute`. What a room
keeps and what it takes up are made from one rounded number, so that rounding moves no steady state.
"""
from __future__ import annotations

import math
import struct
from dataclasses import dataclass

from spareway.season.home import DAY_MIN, Home, Hours, Ladder, Room, Season, Water

__all__ = ["WATER_WH_PER_L_K", "LadderStep", "RoomStep", "Steps", "Timer", "WaterStep", "at_minute", "single", "stepped"]

HOUR = 1 / 60                                   # a minute, in hours
WATER_WH_PER_L_K = 1.163                        # 4.186 kJ/(kg K) and 1 kg a litre: common practice, no source
SMALLEST = 1e-20                                # less of heat left over is nothing: as a single it is soon a denormal, and slow


def single(number: float) -> float:
    """The nearest number of single precision."""
    return float(struct.unpack("<f", struct.pack("<f", number))[0])


@dataclass(frozen=True, slots=True)
class Timer:
    """Warm hours and how much lower it is kept outside them: rooms with the same share one."""
    warm: Hours
    back_k: float

    def is_warm(self, minute: int, shift_min: int) -> bool:
        """In a minute of a day whose hours come so much later; hours that reach midnight stay there."""
        return any((a == 0 or minute >= a + shift_min) and (b == DAY_MIN or minute < b + shift_min) for a, b in self.warm)

    def switches(self, shift_min: int) -> list[int]:
        """Minutes of the day after its first at which it may turn."""
        ends = [a + shift_min for a, _ in self.warm if a > 0] + [b + shift_min for _, b in self.warm if b < DAY_MIN]
        return sorted({end for end in ends if 0 < end < DAY_MIN})


@dataclass(frozen=True, slots=True)
class RoomStep:
    """T' = keep T + (outside share of °C outside + from gains, and lift while on); with a fabric, two of these that share.

    timer             number of its timer
    low_c, high_c     where the thermostat closes and opens
    keep, cross       of the two stores' temperatures, what each keeps and what it takes of the other: (air, fabric)
    outside, gained   in double precision: times °C outside, and K a minute from gains
    lift              K a minute while the heater is on"""
    timer: int
    heater_w: int
    low_c: float
    high_c: float
    least_on_min: int
    keep: tuple[float, float]
    cross: tuple[float, float]
    outside: tuple[float, float]
    gained: tuple[float, float]
    lift: tuple[float, float]
    two: bool
    fabric_share: float                         # of what the air is above outside, at rest


@dataclass(frozen=True, slots=True)
class WaterStep:
    """T' = (keep - less n) T + (around + more n), n the draws of the minute, no more than empty the store; then the heater."""
    heater_w: int
    low_c: float
    high_c: float
    keep: float
    less: float
    around: float
    more: float
    most: float
    lift: float
    may_heat: Hours


@dataclass(frozen=True, slots=True)
class LadderStep:
    """Heat of each share but the quickest ones, which are there at once and leave nothing to the next minute."""
    scale: float                                # 1 / (volts times minimum fusing current)
    at_once: float
    keep: tuple[float, ...]
    take: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    timers: tuple[Timer, ...]
    rooms: tuple[RoomStep, ...]                 # heated ones; the others draw nothing
    water: WaterStep | None
    ladder: LadderStep | None
    limit_w: float                              # above it a minute is above the fuse's rating; without one, never


def stepped(season: Season) -> Steps:
    home = season.home
    heated = [room for room in home.rooms if room.heater_w]
    timers = tuple(dict.fromkeys(Timer(room.warm, room.set_back_k) for room in heated))
    rooms = tuple(_room(room, timers.index(Timer(room.warm, room.set_back_k))) for room in heated)
    limit_w = math.inf if home.fuse_a is None else home.fuse_a * home.volts_v
    return Steps(timers, rooms, _water(home.water) if home.water else None, _ladder(home), single(limit_w))


def _room(room: Room, timer: int) -> RoomStep:
    low, high = single(room.set_c - room.dead_band_k / 2), single(room.set_c + room.dead_band_k / 2)
    of = _two_stores(room) if room.fabric_wh_per_k else _one_store(room)
    keep, cross, outside, per_w, fabric_share = of
    lift = (single(per_w[0] * room.heater_w), single(per_w[1] * room.heater_w))
    gained = (per_w[0] * room.gains_w, per_w[1] * room.gains_w)
    return RoomStep(timer, room.heater_w, low, high, room.least_on_min, keep, cross, outside, gained, lift,
                    bool(room.fabric_wh_per_k), fabric_share)


Pair = tuple[float, float]


def _one_store(room: Room) -> tuple[Pair, Pair, Pair, Pair, float]:
    """Newton's law of cooling over one minute, exactly."""
    keep = single(math.exp(-HOUR * room.loss_w_per_k / room.store_wh_per_k))
    per_w = (1 - keep) / room.loss_w_per_k if room.loss_w_per_k else HOUR / room.store_wh_per_k
    return (keep, 0.0), (0.0, 0.0), (1 - keep, 0.0), (per_w, 0.0), 1.0


def _two_stores(room: Room) -> tuple[Pair, Pair, Pair, Pair, float]:
    """The same for air and fabric: the exponential of a two by two matrix, by its two rates.

    Heated by 1 W in the air, at rest the air is 1 / loss above outside and the fabric a fixed share of that."""
    link, direct = room.to_fabric_w_per_k, room.direct_w_per_k
    out = 1 / (1 / (room.loss_w_per_k - direct) - 1 / link)
    a, b = -(link + direct) / room.store_wh_per_k, link / room.store_wh_per_k
    c, d = link / room.fabric_wh_per_k, -(link + out) / room.fabric_wh_per_k
    middle, half = (a + d) / 2, math.sqrt(((a - d) / 2) ** 2 + b * c)
    fast, slow = math.exp((middle - half) * HOUR), math.exp((middle + half) * HOUR)
    mean, rise = (fast + slow) / 2, (slow - fast) / (2 * half)
    keep = (single(mean + rise * (a - middle)), single(mean + rise * (d - middle)))
    cross = (single(rise * b), single(rise * c))
    outside = (1 - keep[0] - cross[0], 1 - keep[1] - cross[1])
    share = link / (link + out)
    air_k = 1 / room.loss_w_per_k
    per_w = (air_k * (1 - keep[0] - cross[0] * share), air_k * (share * (1 - keep[1]) - cross[1]))
    return keep, cross, outside, per_w, share


def _water(water: Water) -> WaterStep:
    store_wh_per_k = water.store_l * WATER_WH_PER_L_K
    keep = single(math.exp(-HOUR * water.loss_w_per_k / store_wh_per_k))
    low, high = single(water.set_c - water.dead_band_k / 2), single(water.set_c + water.dead_band_k / 2)
    less = keep * water.draw_l / water.store_l
    most = single(water.store_l / water.draw_l) if water.draw_l else 0.0
    around, more = single((1 - keep) * water.around_c), single(less * water.cold_c)
    return WaterStep(water.heater_w, low, high, keep, single(less), around, more, most,
                     single(HOUR * water.heater_w / store_wh_per_k), water.may_heat)


def _ladder(home: Home) -> LadderStep | None:
    ladder: Ladder | None = home.ladder
    if ladder is None:
        return None
    left = [(math.exp(-60 / after_s), share) for after_s, share in zip(ladder.after_s, ladder.share, strict=True)]
    slow = [(single(keep), share) for keep, share in left if keep > SMALLEST]
    at_once = math.fsum(share for keep, share in left if keep <= SMALLEST)
    return LadderStep(single(1 / (home.volts_v * ladder.least_a)), single(at_once), tuple(keep for keep, _ in slow),
                      tuple(single((1 - keep) * share) for keep, share in slow))


def at_minute(hourly_c: tuple[float, ...], minute: int) -> float:
    """°C outside: on the straight line between two hours."""
    hour, part = divmod(minute, 60)
    return hourly_c[hour] + (hourly_c[hour + 1] - hourly_c[hour]) * (part / 60.0)
