"""What every fault of a circuit leads to expect of its readings, many at once: arrays by (fault, reading, unknown)."""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spareway.readings.network import BRIDGE, Across, Network
from spareway.readings.rank import DIGITS_OHM, ENDS_OHM, LEAST, NULL_OHM, OVER_OHM, READS, SHOWN_OHM, SOFT_OHM
from spareway.readings.wired import Fault, Wired

__all__ = ["Foreseen", "Tables"]

Numbers = NDArray[np.float64]
Places = NDArray[np.intp]
FEW = 0.5                                        # share of the faults below which those asked for are solved, and no others


@dataclass(frozen=True, slots=True)
class Foreseen:
    """over, log_ohm, doubt: fault, reading; moves: fault, reading, unknown."""
    over: NDArray[np.bool_]
    log_ohm: Numbers
    moves: Numbers
    doubt: Numbers

    def kept(self, these: NDArray[np.bool_]) -> Foreseen:
        """Of these faults only."""
        return Foreseen(self.over[these], self.log_ohm[these], self.moves[these], self.doubt[these])


@dataclass(frozen=True, slots=True)
class _Edits:
    """The edits of faults that have equally many: all by (fault, edit). link: which moving link it changes, -1 for none."""
    a: Places
    b: Places
    kept_ohm: Numbers
    new_ohm: Numbers
    own_ohm: Numbers
    grows: Numbers
    link: Places

    def some(self, rows: Places) -> _Edits:
        """Of these faults only."""
        return _Edits(self.a[rows], self.b[rows], self.kept_ohm[rows], self.new_ohm[rows], self.own_ohm[rows], self.grows[rows],
                      self.link[rows])


@dataclass(frozen=True, slots=True)
class _Solved:
    """Faults of equally many edits with links laid. inverse: fault, edit, edit; moving: fault, edit, moving link; weight: fault,
    moving link; bridge: the cut parts what nothing else joins; share: of the current through an edit by what is changed."""
    edits: _Edits
    inverse: Numbers
    moving: Numbers
    weight: Numbers
    bridge: NDArray[np.bool_]
    share: Numbers


class _Laid:
    """The sound network with links laid, as arrays: of any two nodes that are joined, how much of their ways they share."""

    def __init__(self, z: Numbers, part: Places, a: Places, b: Places) -> None:
        self.z, self.part = z, part
        self.over_moving = z[:, a] - z[:, b]                      # node, moving link
        self.solved: dict[int, _Solved] = {}                      # by how many edits


def _sound(network: Network) -> tuple[Numbers, Places]:
    """Nothing laid: the inverse of the network's conductances, each part of it held at its mean, and the part of each node."""
    a, b, ohm = (np.array(column) for column in zip(*((k.a, k.b, k.ohm) for k in network.links), strict=True))
    part = list(range(network.nodes))
    for one, other in zip(a.tolist(), b.tolist(), strict=True):
        if part[one] != part[other]:
            old, new = part[other], part[one]
            part = [new if each == old else each for each in part]
    parts = np.array(part)
    held = (parts[:, None] == parts).astype(float)
    for ends, sign in (((a, a), 1), ((b, b), 1), ((a, b), -1), ((b, a), -1)):
        np.add.at(held, ends, sign / ohm)
    z: Numbers = np.linalg.inv(held)
    z[parts[:, None] != parts] = 0.0
    return z, parts


def _with_link(z: Numbers, part: Places, link: tuple[int, int, float]) -> tuple[Numbers, Places]:
    """One link more, as `spareway.readings.network` adds it: a loop closed, or two parts joined into one."""
    a, b, ohm = link
    if part[a] == part[b]:
        u = z[a] - z[b]
        return z - np.outer(u, u) / (ohm + u[a] - u[b]), part
    there, here = (np.flatnonzero(part == part[end]) for end in (a, b))
    new, at_b = z.copy(), z[b, here]
    new[np.ix_(here, here)] += ohm + z[a, a] + z[b, b] - at_b[:, None] - at_b
    new[np.ix_(here, there)] = z[a, there]
    new[np.ix_(there, here)] = z[a, there][:, None]
    return new, np.where(part == part[b], part[a], part)


def _landing(faults: Sequence[Fault]) -> Places:
    """Where an instrument is put and where it then is: (one of two), (from, to), fault; -1 to for nothing, -2 from for none."""
    at = np.full((2, 2, len(faults)), -2, np.intp)
    for number, lands in [(number, fault.lands) for number, fault in enumerate(faults) if fault.lands]:
        for one, (node, there) in enumerate(lands.items()):
            at[one, :, number] = node, -1 if there is None else there
    return at


class Tables:
    """A circuit made ready; `foreseen` says what any of its faults lead to expect of any of its readings."""

    def __init__(self, wired: Wired) -> None:
        self.wired, faults = wired, wired.faults
        moving = [link for link in wired.network.links if link.unknown >= 0]
        self._a, self._b = np.array([k.a for k in moving], np.intp), np.array([k.b for k in moving], np.intp)
        self._per_unit_ohm = np.array([k.per_unit_ohm for k in moving])
        self._weight = self._per_unit_ohm / np.array([k.ohm for k in moving]) ** 2
        self._unknown = np.zeros((len(moving), wired.network.unknowns))
        self._unknown[np.arange(len(moving)), [k.unknown for k in moving]] = 1.0
        self._place = {frozenset((k.a, k.b)): i for i, k in enumerate(moving)}
        self._sound, self._laid = _sound(wired.network), dict[Across, _Laid]()
        numbers: dict[tuple[str, str, tuple[str, ...]], int] = {}
        self.name = np.array([numbers.setdefault(fault.name, len(numbers)) for fault in faults], np.intp)
        self.names = tuple(numbers)
        self._offset_ohm = np.array([fault.offset_ohm for fault in faults])
        self._null_ohm = np.array([fault.offset_sd_ohm or NULL_OHM for fault in faults])
        shapes: dict[int, int] = {}
        keys = [fault.shape if fault.shape >= 0 else -1 - h for h, fault in enumerate(faults)]
        self._shape = np.array([shapes.setdefault(key, len(shapes)) for key in keys], np.intp)
        first = dict(zip(reversed(keys), reversed(faults), strict=True))
        self._of_shape = [first[key] for key in shapes]           # from here on all is by shape, a fault of each
        self._count = np.array([len(fault.edits) for fault in self._of_shape], np.intp)
        self._otherwise = np.array([bool(fault.laid) for fault in self._of_shape])
        self._lands = np.array([bool(fault.lands) for fault in self._of_shape])
        self._otherwise_at = _landing(self._of_shape)
        self._edits = {int(n): self._of(int(n)) for n in set(self._count.tolist()) if n}
        self._row = np.zeros(len(shapes), np.intp)
        for n in self._edits:
            self._row[self._count == n] = np.arange(int((self._count == n).sum()))

    def _of(self, count: int) -> _Edits:
        edits = [edit for fault in self._of_shape if len(fault.edits) == count for edit in fault.edits]
        link = [self._place.get(frozenset((e.a, e.b)), -1) if e.old_ohm is not None else -1 for e in edits]
        nodes = np.array([(e.a, e.b) for e in edits], np.intp).reshape(-1, count, 2)
        numbers = np.array([(e.old_ohm or math.inf, e.new_ohm, e.own_ohm, e.grows) for e in edits]).reshape(-1, count, 4)
        old, new, own, grows = (numbers[:, :, i] for i in range(4))
        return _Edits(nodes[:, :, 0], nodes[:, :, 1], 1 / (1 / new - 1 / old), new, own, grows,
                      np.array(link, np.intp).reshape(-1, count))

    def foreseen(self, which: Places, names: Sequence[str]) -> Foreseen:
        """Of these faults (by place) and these readings (by name)."""
        shapes, back = np.unique(self._shape[which], return_inverse=True)
        return self._expected(which, *(part[back] for part in self._shaped(shapes, names)))

    def _shaped(self, which: Places, names: Sequence[str]) -> tuple[Numbers, Numbers, Numbers]:
        """Resistance, slopes by unknown and by the edit's own: shape, reading (, unknown)."""
        shape = len(which), len(names)
        ohm, moved, own = np.full(shape, math.inf), np.zeros((*shape, self.wired.network.unknowns)), np.zeros(shape)
        probes = [self.wired.probes[name] for name in names]
        for arrangement in dict.fromkeys(probe.arrangement for probe in probes):
            columns = np.array([i for i, probe in enumerate(probes) if probe.arrangement == arrangement], np.intp)
            ends = np.array([(probes[i].a, probes[i].b) for i in columns], np.intp).T
            for rows, across in self._ways(which, arrangement):
                laid = self._of_across(across)
                for some in self._alike(which, rows):
                    at = np.ix_(some, columns)
                    ohm[at], moved[at], own[at] = self._shifts(laid, which[some], ends)
        return ohm, moved, own

    def _ways(self, which: Places, arrangement: str) -> list[tuple[Places, Across]]:
        """The rows of these faults by the links that they lay in an arrangement."""
        usual, found, here = self.wired.arrangements[arrangement], list[tuple[Places, Across]](), np.ones(len(which), bool)
        for row in np.flatnonzero(self._otherwise[which]):
            laid = self._of_shape[which[row]].laid
            if arrangement in laid:
                here[row] = False
                found.append((np.array([row], np.intp), laid[arrangement]))
        return [(np.flatnonzero(here), usual), *found]

    def _alike(self, which: Places, rows: Places) -> list[Places]:
        """Rows of faults that have equally many edits; those with a reading that lands elsewhere apart."""
        counts, lands = self._count[which[rows]], self._lands[which[rows]]
        keys = np.where(lands, -1, counts)
        return [rows[keys == key] for key in sorted(set(keys.tolist()))]

    def _of_across(self, across: Across) -> _Laid:
        if across not in self._laid:
            z, part = self._sound
            for link in across:
                z, part = _with_link(z, part, link)
            self._laid[across] = _Laid(z, part, self._a, self._b)
        return self._laid[across]

    # ---- resistances and slopes ---------------------------------------------------------------------------------------
    def _shifts(self, laid: _Laid, which: Places, ends: Places) -> tuple[Numbers, Numbers, Numbers]:
        """Resistance, slopes by unknown and by the edit's own, of alike faults: fault, reading (, unknown)."""
        if self._lands[which[0]]:
            return self._landed(laid, which, ends)
        a, b = ends
        at = laid.z[a] - laid.z[b]                                # reading, node
        sound = at[np.arange(len(a)), a] - at[np.arange(len(a)), b]
        volts = laid.over_moving[a] - laid.over_moving[b]         # reading, moving link
        sound = np.where(laid.part[a] == laid.part[b], sound, math.inf)
        count = int(self._count[which[0]])
        if not count:
            moved = (volts * volts * self._weight) @ self._unknown
            shape = len(which), len(a)
            return np.broadcast_to(sound, shape), np.broadcast_to(moved, (*shape, moved.shape[1])), np.zeros(shape)
        return self._edited(*self._solved_for(laid, count, self._row[which]), (at, sound, volts))

    def _landed(self, laid: _Laid, which: Places, ends: Places) -> tuple[Numbers, Numbers, Numbers]:
        nodes = np.broadcast_to(ends, (len(which), *ends.shape))               # fault, end, reading
        for node, there in self._otherwise_at[:, :, which]:
            nodes = np.where(ends == node[:, None, None], there[:, None, None], nodes)
        a, b = nodes[:, 0], nodes[:, 1]
        joined = (a >= 0) & (b >= 0) & (laid.part[a] == laid.part[b])
        ohm = np.where(joined, laid.z[a, a] + laid.z[b, b] - 2 * laid.z[a, b], math.inf)
        volts = laid.over_moving[a] - laid.over_moving[b]
        return ohm, (volts * volts * self._weight) @ self._unknown, np.zeros(ohm.shape)

    def _edited(self, of: _Solved, rows: Places, probed: tuple[Numbers, Numbers, Numbers]) -> tuple[Numbers, Numbers, Numbers]:
        """By Woodbury, all faults and readings at once."""
        (at, sound, volts), edits = probed, of.edits
        a, b, bridge = edits.a[rows], edits.b[rows], of.bridge[rows]
        falls = at.T[a] - at.T[b]                                 # fault, edit, reading
        x = np.matmul(of.inverse[rows], falls)
        ohm = sound - (falls * x).sum(axis=1)
        if bridge.any():
            parted = np.abs(falls[bridge, 0]) > 0.5 * np.abs(edits.kept_ohm[rows][bridge, :1])
            ohm[bridge] = np.where(parted, math.inf, ohm[bridge])
        amps = x * of.share[rows]
        left = volts - np.matmul(x.transpose(0, 2, 1), of.moving[rows])        # fault, reading, moving link
        left *= left
        left *= of.weight[rows][:, None, :]
        return ohm, left @ self._unknown, (amps * amps * edits.own_ohm[rows][:, :, None]).sum(axis=1)

    def _solved_for(self, laid: _Laid, count: int, rows: Places) -> tuple[_Solved, Places]:
        """Faults that have so many edits, with these links laid, and where these rows are among them: all of them, and kept,
        unless few are asked for."""
        of = self._edits[count]
        if count not in laid.solved and len(rows) < FEW * len(of.a):
            return self._solve(laid, of.some(rows)), np.arange(len(rows))
        if count not in laid.solved:
            laid.solved[count] = self._solve(laid, of)
        return laid.solved[count], rows

    def _solve(self, laid: _Laid, of: _Edits) -> _Solved:
        count, z = of.a.shape[1], laid.z
        a, b, c, d = of.a[:, :, None], of.b[:, :, None], of.a[:, None, :], of.b[:, None, :]
        small = z[a, c] - z[a, d] - z[b, c] + z[b, d]
        small[:, range(count), range(count)] += of.kept_ohm
        bridge = np.isinf(of.new_ohm[:, 0]) & (np.abs(small[:, 0, 0]) < BRIDGE * np.abs(of.kept_ohm[:, 0]))
        small[bridge] = np.eye(count)
        inverse = np.asarray(np.linalg.inv(small), np.float64) if count > 1 else 1 / small
        inverse[bridge] = 0.0                                     # no current goes through what alone would join two places
        weight = np.repeat(self._weight[None], len(small), axis=0)
        fault, edit = np.nonzero((of.link >= 0) & ~bridge[:, None])
        places = of.link[fault, edit]
        weight[fault, places] = self._per_unit_ohm[places] * of.grows[fault, edit] / of.new_ohm[fault, edit] ** 2
        return _Solved(of, inverse, laid.over_moving[of.a] - laid.over_moving[of.b], weight, bridge,
                       (of.kept_ohm / of.new_ohm)[:, :, None])

    def _expected(self, which: Places, ohm: Numbers, moved: Numbers, own: Numbers) -> Foreseen:
        """As `spareway.readings.rank.expected`."""
        joined = np.isfinite(ohm)
        shown = np.where(joined, np.maximum(ohm, 0.0) + self._offset_ohm[which][:, None], OVER_OHM)
        scale = 1 / (np.minimum(shown, OVER_OHM) + SOFT_OHM)
        instrument = ((READS * shown) ** 2 + DIGITS_OHM ** 2 + SHOWN_OHM ** 2) / 3 + ENDS_OHM ** 2
        null = np.broadcast_to(self._null_ohm[which][:, None, None], (*shown.shape, 1))
        moves = np.concatenate([moved, own[:, :, None], null], axis=2) * scale[:, :, None]
        return Foreseen(~joined | (shown > 0.9 * OVER_OHM), -np.log(scale), moves, instrument * scale ** 2 + LEAST)
