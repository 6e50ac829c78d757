# SPDX-License-Identifier: GPL-3.0-or-later
"""Reference analysis of a session file with h5py, NumPy and SciPy, written from the definitions
(docs/definitions.md) and the file layout (docs/files.md) alone.

Goes through both plates in stretches of time: calibrated wrenches, low-passed and tared, centre of
pressure of every sample, throws, and their events, peaks and impulses, printed as JSON. With
--windows it looks for the throws in 5 ms means first and filters around them alone. No
uncertainties. Plates of type 2 and 4. Usage: analyse_session.py [--windows] SESSION.h5
"""
import json
import sys

import h5py
import numpy as np
from scipy import signal

G = 9.80665
CUTOFF = 50.0 / (np.sqrt(2.0) - 1.0) ** 0.25  # both passes together at 50 Hz
CONTACT_CUTOFF = 150.0 / (np.sqrt(2.0) - 1.0) ** 0.25
STRETCH, BEFORE, AFTER = 120.0, 8.0, 1.2  # s read at once, and around a throw
BIN, STILL = 0.005, 0.15  # s of a mean, and of an unloaded stretch


class Plate:
    """One plate's calibration, clock and samples."""

    def __init__(self, file, role):
        plate = file["plates"][role]
        device = file["devices"][plate.attrs["device"].decode()]
        self.samples = device["samples"]
        self.rate = device.attrs["sample_rate_Hz"]
        self.corners(plate.attrs["corners_m"])
        columns = plate.attrs["channels"].astype(int)
        x, y, z = plate.attrs["origin_m"]
        to_surface = np.eye(6)
        to_surface[3:, :3] = [[0, z, -y], [-z, 0, x], [y, -x, 0]]  # minus origin x force
        to_lab = np.kron(np.eye(2), self.rotation) * plate.attrs["reaction_sign"]
        scaled = to_lab @ to_surface @ plate.attrs["sensitivity"] * self.samples.attrs["scale"][columns]
        self.map = np.zeros((6, self.samples.shape[1]))  # raw row to lab wrench
        self.map[:, columns] = scaled
        self.constant = -scaled @ self.samples.attrs["offset"][columns]
        self.fit_clock(device)

    def corners(self, c):
        # The edges that meet in the first corner are the plate's axes (docs/definitions.md).
        x, z = c[0] - c[1], np.cross(c[0] - c[1], c[0] - c[3])
        x, z = x / np.linalg.norm(x), z / np.linalg.norm(z)
        self.rotation = np.column_stack([x, np.cross(z, x), z])
        self.centre = c.mean(0)
        self.up = z if z[2] > 0 else -z

    def fit_clock(self, device):
        """Lower line under the blocks' arrivals: a delay only ever adds."""
        blocks = device["blocks"][:]
        ticks = blocks["ticks"] / device.attrs["tick_rate_Hz"]
        rows = np.append(blocks["first_sample"][1:], len(self.samples)) - blocks["first_sample"]
        last = ticks + (rows - 1) / self.rate
        slope, start = np.polyfit(last, blocks["arrival"], 1)
        for _ in range(20):  # onto the points below the line, again and again
            below = blocks["arrival"] <= start + slope * last
            if below.sum() < 10:
                break
            slope, start = np.polyfit(last[below], blocks["arrival"][below], 1)
        start += np.min(blocks["arrival"] - slope * last - start) - device.attrs["delay_s"]
        # Samples lost between blocks leave a gap in time, not in the table.
        self.first, self.block_time = blocks["first_sample"], start + slope * ticks
        self.step = slope / self.rate

    def times(self, rows):
        block = np.searchsorted(self.first, rows, side="right") - 1
        return self.block_time[block] + (rows - self.first[block]) * self.step

    def row(self, time):
        block = max(0, np.searchsorted(self.block_time, time, side="right") - 1)
        row = self.first[block] + int(np.ceil((time - self.block_time[block]) / self.step))
        return min(max(row, 0), len(self.samples))

    def wrench(self, begin, end):
        """Components x rows."""
        return (self.samples[begin:end] @ self.map.T + self.constant).T

    def coarse(self, begin, end, n):
        """Vertical and forward force, each the mean of n rows."""
        raw = means(self.samples[begin:end].T, n)
        return self.map[[2, 0]] @ raw + self.constant[[2, 0], None]

    def smooth(self, wrench):
        b, a = signal.butter(2, CUTOFF, fs=self.rate)
        return signal.filtfilt(b, a, wrench)

    def light(self, vertical):
        b, a = signal.butter(2, min(CONTACT_CUTOFF, CUTOFF / 50.0 * self.rate / 5.0), fs=self.rate)
        return signal.filtfilt(b, a, vertical)

    def cop(self, wrench):
        """Lab x and y; NaN under 50 N."""
        normal = self.up @ wrench[:3]
        told = normal >= 50
        lever = np.cross(np.eye(3), self.up)[:2] @ wrench[3:]
        points = np.full((2, wrench.shape[1]), np.nan)
        np.divide(lever, normal, out=points, where=told)
        return points + self.centre[:2, None]


def means(values, n):
    """Over n neighbours along the last axis."""
    rows = values.shape[-1] // n * n
    return sum(values[..., k:rows:n].astype(float) for k in range(n)) / n


class Zeros:
    """Where nobody stood on a plate, told from 5 ms means of the vertical force."""

    def __init__(self, times, vertical):
        n = round(STILL / BIN)
        rows = len(vertical) // n * n
        pieces = vertical[:rows].reshape(-1, n)
        level = pieces.mean(1)
        still = (np.ptp(pieces, 1) <= 8) & (np.abs(level) <= 60)
        if still.any():  # a foot resting lightly only adds
            still &= np.abs(level - np.percentile(level[still], 25)) <= 15
        self.begin = times[:rows:n][still] - BIN / 2
        # A stretch between two others is no foot that comes or goes.
        within = np.zeros(len(still), bool)
        within[1:-1] = still[:-2] & still[1:-1] & still[2:]
        self.within = within[still]

    def nearest(self, contact):
        """Begin of the stretch nearest to the half second before a contact."""
        begin = self.begin[self.within] if self.within.any() else self.begin
        if len(begin) == 0:
            return None
        away = np.maximum(begin - contact, contact - 0.5 - begin - STILL)
        return begin[np.argmin(away)]


def landings(t, vertical, forward, back_t, back_vertical, back_forward, weight):
    """Rows of lead contacts: a drive before, then a landing that brakes."""
    loaded = vertical >= 0.05 * weight
    step = t[1] - t[0]
    clear, ahead = round(0.1 / step), round(0.4 / step)
    last = -np.inf
    for row in np.flatnonzero(~loaded[:-1] & loaded[1:]) + 1:
        if t[row] < last + 1.5 or loaded[max(0, row - clear) : row].any():
            continue
        landing = slice(row, row + ahead)
        if vertical[landing].max() < 0.8 * weight or -forward[landing].min() < 0.32 * weight:
            continue
        i, j = np.searchsorted(back_t, [t[row] - 1.2, t[row]])
        if i == j or back_forward[i:j].max() < 0.2 * weight or back_vertical[i:j].max() < 0.7 * weight:
            continue
        yield row
        last = t[row]


class Foot:
    """One plate's low-passed series; centre of pressure once tared."""

    def __init__(self, plate, t, smooth, light):
        self.plate, self.t, self.smooth, self.light = plate, t, smooth, light

    @classmethod
    def filtered(cls, plate, begin, end):
        first, last = plate.row(begin), plate.row(end)
        t, wrench = plate.times(np.arange(first, last)), plate.wrench(first, last)
        if t[-1] - t[0] > (len(t) - 0.5) * plate.step:  # straight lines over lost samples
            even = np.arange(t[0], t[-1], plate.step)
            t, wrench = even, np.array([np.interp(even, t, component) for component in wrench])
        return cls(plate, t, plate.smooth(wrench), plate.light(wrench[2])), wrench

    def tared(self, zero):
        """Filtering keeps constants, so the zero may come off afterwards."""
        foot = Foot(self.plate, self.t, self.smooth - zero[:, None], self.light - zero[2])
        foot.cop = self.plate.cop(foot.smooth)
        return foot

    def part(self, begin, end):
        i, j = np.searchsorted(self.t, [begin, end])
        return Foot(self.plate, self.t[i:j], self.smooth[:, i:j], self.light[i:j])


def crossing(t, v, level, i):
    return t[i] + (level - v[i]) / (v[i + 1] - v[i]) * (t[i + 1] - t[i])


def peak(t, v, i):
    """Top of the parabola through three samples."""
    a, b, c = v[i - 1 : i + 2]
    shift = 0.5 * (a - c) / (a - 2 * b + c) if a - 2 * b + c < 0 else 0.0
    return t[i] + shift * (t[i + 1] - t[i]), b - 0.25 * (a - c) * shift


def impulse(t, f, begin, end):
    inside = (t > begin) & (t < end)
    tt = np.concatenate([[begin], t[inside], [end]])
    return np.trapz(np.interp(tt, t, f), tt)


def measure(back, lead, near, weight, heel, toe):
    """`near`: lead contact to a few hundredths of a second."""
    tl, tb = lead.t, back.t
    step = tl[1] - tl[0]
    level = 0.05 * weight
    i, j = np.searchsorted(tl, [near - 0.06, near + 0.06])
    hold = round(0.01 / step)
    rises = np.flatnonzero((lead.light[i:j] < level) & (lead.light[i + 1 : j + 1] >= level)) + i
    rise = next(r for r in rises if (lead.light[r + 1 : r + 1 + hold] >= level).all())
    contact = crossing(tl, lead.light, level, rise)
    i, j = np.searchsorted(tl, [contact, contact + 0.4])
    braking = i + np.argmin(lead.smooth[0, i:j])
    vertical = i + np.argmax(lead.smooth[2, i:j])
    i, j, k = np.searchsorted(tb, [contact - 1.2, contact, contact + 0.4])
    drive = i + np.argmax(back.smooth[0, i:j])
    force = back.smooth[0]
    drive_time, drive_force = peak(tb, force, drive)
    start = np.flatnonzero(force[:drive] < 0.25 * drive_force)[-1]
    drive_start = crossing(tb, force, 0.25 * drive_force, start)
    falls = np.flatnonzero((back.light[drive : k - 1] >= level) & (back.light[drive + 1 : k] < level))
    off = crossing(tb, back.light, level, drive + falls[-1])
    braking_time, braking_force = peak(tl, -lead.smooth[0], braking)
    vertical_time, vertical_force = peak(tl, lead.smooth[2], vertical)
    turn = braking + np.flatnonzero(lead.smooth[0, braking:] >= 0)[0]
    zero = crossing(tl, lead.smooth[0], 0.0, turn - 1)
    line = (toe - heel) / np.dot(toe - heel, toe - heel)
    place = [np.interp(drive_time, tb, c) for c in back.cop]
    driving = np.maximum(force, 0)
    return {
        "events": {"lead_contact": contact, "drive_peak": drive_time, "drive_start": drive_start,
                   "back_foot_off": off, "braking_peak": braking_time,
                   "vertical_peak": vertical_time},
        "quantities": {
            "drive_peak_force": drive_force,
            "braking_peak_force": braking_force,
            "vertical_peak_force": vertical_force,
            "drive_impulse": impulse(tb, driving, drive_start, contact),
            "drive_impulse_to_foot_off": impulse(tb, driving, drive_start, off),
            "braking_impulse_to_peak": -impulse(tl, lead.smooth[0], contact, braking_time),
            "braking_impulse_whole": -impulse(tl, lead.smooth[0], contact, zero),
            "heel_toe_at_drive_peak": 100.0 * np.dot(place - heel, line)},
    }


def unloaded(plate, zeros, contact):
    begin = zeros.nearest(contact)
    if begin is None:
        return np.zeros(6)
    return plate.wrench(plate.row(begin), plate.row(begin + STILL)).mean(1)


def every_sample(plates, weight, heel, toe):
    """All samples filtered and with centre of pressure, a stretch with its edges at a time."""
    first = min(plate.times(np.array([0]))[0] for plate in plates.values())
    end = max(plate.times(np.array([len(plate.samples) - 1]))[0] for plate in plates.values())
    for begin in np.arange(first, end, STRETCH):
        feet, zeros, usual = {}, {}, {}
        for role, plate in plates.items():
            foot, wrench = Foot.filtered(plate, begin - BEFORE, begin + STRETCH + AFTER)
            n = max(1, round(BIN * plate.rate))
            zeros[role] = Zeros(foot.t[n // 2 :: n], means(wrench[2], n))
            # The stretch's own zero for finding throws; each throw has one of its own below.
            usual[role] = unloaded(plate, zeros[role], begin + STRETCH / 2)
            feet[role] = foot.tared(usual[role])
        back, lead = feet["back"], feet["lead"]
        for row in landings(lead.t, lead.light, lead.smooth[0], back.t, back.light, back.smooth[0],
                            weight):
            near = lead.t[row]
            if not begin <= near < begin + STRETCH:
                continue
            parts = [foot.part(near - BEFORE, near + AFTER).tared(
                         unloaded(foot.plate, zeros[role], near) - usual[role])
                     for role, foot in feet.items()]
            yield measure(*parts, near, weight, heel, toe)


def windows(plates, weight, heel, toe):
    """Throws found in 5 ms means of two forces, then filtered alone."""
    times, coarse, zeros = {}, {}, {}
    for role, plate in plates.items():
        n = max(1, round(BIN * plate.rate))
        size = int(STRETCH * plate.rate) // n * n
        coarse[role] = np.concatenate(
            [plate.coarse(row, row + size, n) for row in range(0, len(plate.samples), size)], 1)
        times[role] = plate.times(np.arange(coarse[role].shape[1]) * n + n // 2)
        zeros[role] = Zeros(times[role], coarse[role][0])
        coarse[role] -= unloaded(plate, zeros[role], 0.0)[[2, 0], None]
    for row in landings(times["lead"], *coarse["lead"], times["back"], *coarse["back"], weight):
        near = times["lead"][row]
        feet = [Foot.filtered(plate, near - BEFORE, near + AFTER)[0].tared(
                    unloaded(plate, zeros[role], near)) for role, plate in plates.items()]
        yield measure(*feet, near, weight, heel, toe)


def main(path, find):
    with h5py.File(path) as file:
        weight = file["athlete"].attrs["mass_kg"] * G
        heel, toe = file["foot_line"].attrs["heel_m"][:2], file["foot_line"].attrs["toe_m"][:2]
        plates = {role: Plate(file, role) for role in ("back", "lead")}
        json.dump({"throws": list(find(plates, weight, heel, toe))}, sys.stdout, indent=1)


if __name__ == "__main__":
    main(sys.argv[-1], windows if "--windows" in sys.argv else every_sample)
