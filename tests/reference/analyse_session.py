# SPDX-License-Identifier: GPL-3.0-or-later
"""Reference analysis of a session file with h5py, NumPy and SciPy, written from the definitions
(docs/definitions.md) and the file layout (docs/files.md) alone.

Reads the plates chunk by chunk, calibrates to lab wrenches, filters forces and moments, takes the
centre of pressure and the heel-toe position of every sample, finds the throws and prints their
events, peaks and impulses as JSON. Type 2 plates. Usage: analyse_session.py SESSION.h5
"""
import json
import sys

import h5py
import numpy as np
from scipy import signal

G = 9.80665
CUTOFF = 50.0 / (np.sqrt(2.0) - 1.0) ** 0.25  # both passes together at 50 Hz
CONTACT_CUTOFF = 150.0 / (np.sqrt(2.0) - 1.0) ** 0.25
CHUNK, OVERLAP = 60.0, 1.0  # s


class Plate:
    """One plate's calibration, clock and samples."""

    def __init__(self, file, role):
        plate = file["plates"][role]
        device = file["devices"][plate.attrs["device"].decode()]
        self.samples = device["samples"]
        self.rate = device.attrs["sample_rate_Hz"]
        c = plate.attrs["corners_m"]
        x = c[0] + c[3] - c[1] - c[2]
        z = np.cross(x, c[0] + c[1] - c[2] - c[3])
        x, z = x / np.linalg.norm(x), z / np.linalg.norm(z)
        self.rotation = np.column_stack([x, np.cross(z, x), z])
        self.centre = c.mean(0)
        self.up = z if z[2] > 0 else -z
        self.origin = plate.attrs["origin_m"]
        self.sign = plate.attrs["reaction_sign"]
        self.columns = plate.attrs["channels"].astype(int)
        self.scale = self.samples.attrs["scale"][self.columns]
        self.offset = self.samples.attrs["offset"][self.columns]
        self.sensitivity = plate.attrs["sensitivity"]
        self.fit_clock(device)

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
        delay = np.min(blocks["arrival"] - slope * last - start) + device.attrs["delay_s"] + start
        delay -= 2 * device.attrs["delay_s"]
        # Samples lost between blocks leave a gap in time, not in the table.
        self.first, self.block_time = blocks["first_sample"], delay + slope * ticks
        self.step = slope / self.rate

    def times(self, begin, end):
        rows = np.arange(begin, end)
        block = np.searchsorted(self.first, rows, side="right") - 1
        return self.block_time[block] + (rows - self.first[block]) * self.step

    def wrench(self, begin, end):
        raw = self.samples[begin:end][:, self.columns]
        fm = ((raw - self.offset) * self.scale) @ self.sensitivity.T
        force, moment = fm[:, :3], fm[:, 3:] - np.cross(self.origin, fm[:, :3])
        return np.hstack([force @ self.rotation.T, moment @ self.rotation.T]) * self.sign


def filtered(wrench, rate, cutoff):
    b, a = signal.butter(2, cutoff, fs=rate)
    return signal.filtfilt(b, a, wrench, axis=0)


def tare(wrench, rate):
    """Mean of the stillest quarter second near nought."""
    n = int(0.25 * rate)
    vertical = wrench[: len(wrench) // n * n, 2].reshape(-1, n)
    still = np.where(np.abs(vertical.mean(1)) < 60, vertical.std(1), np.inf)
    k = int(np.argmin(still))
    return wrench[k * n : (k + 1) * n].mean(0) if np.isfinite(still[k]) else np.zeros(6)


def cop(wrench, plate):
    force, moment = wrench[:, :3], wrench[:, 3:]
    normal = force @ plate.up
    with np.errstate(divide="ignore", invalid="ignore"):
        points = plate.centre + np.cross(plate.up, moment) / normal[:, None]
    points[normal < 50] = np.nan
    return points


def whole(plate):
    """Filtered wrench, light vertical, centre of pressure and times of every sample."""
    size, overlap, n = int(CHUNK * plate.rate), int(OVERLAP * plate.rate), len(plate.samples)
    zero = None
    for begin in range(0, n, size):
        left, right = max(0, begin - overlap), min(n, begin + size + overlap)
        wrench = plate.wrench(left, right)
        zero = tare(wrench, plate.rate) if zero is None else zero
        wrench = wrench - zero
        smooth = filtered(wrench, plate.rate, CUTOFF)
        light = filtered(wrench[:, 2], plate.rate, CONTACT_CUTOFF)
        keep = slice(begin - left, min(n, begin + size) - left)
        yield (plate.times(begin, min(n, begin + size)), smooth[keep].astype(np.float32),
               light[keep].astype(np.float32), cop(smooth, plate)[keep].astype(np.float32))


def gather(plate):
    return [np.concatenate(parts) for parts in zip(*whole(plate))]


def crossing(t, v, level, i):
    return t[i] + (level - v[i]) / (v[i + 1] - v[i]) * (t[i + 1] - t[i])


def impulse(t, f, begin, end):
    inside = (t > begin) & (t < end)
    tt = np.concatenate([[begin], t[inside], [end]])
    return np.trapz(np.interp(tt, t, f), tt)


def measure(back, lead, contact_row, weight, heel, toe):
    tl, fl, light, _ = lead
    tb, fb, _, pb = back
    rate = 1.0 / (tl[1] - tl[0])
    lo, hi = contact_row - int(0.06 * rate), contact_row + int(0.06 * rate)
    up = [i for i in range(lo, hi) if light[i] < 0.05 * weight <= light[i + 1]
          and (light[i + 1 : i + 1 + int(0.01 * rate)] >= 0.05 * weight).all()]
    contact = crossing(tl, light, 0.05 * weight, up[0])
    after = (tl >= contact) & (tl <= contact + 0.4)
    braking = int(np.flatnonzero(after)[np.argmin(fl[after, 0])])
    vertical = int(np.flatnonzero(after)[np.argmax(fl[after, 2])])
    before = np.flatnonzero((tb >= contact - 1.2) & (tb <= contact))
    drive = int(before[np.argmax(fb[before, 0])])
    start = drive
    while fb[start - 1, 0] >= 0.25 * fb[drive, 0]:
        start -= 1
    drive_start = crossing(tb, fb[:, 0], 0.25 * fb[drive, 0], start - 1)
    zero = braking
    while zero + 1 < len(fl) and fl[zero, 0] < 0:
        zero += 1
    line = (toe - heel)[:2] / np.dot((toe - heel)[:2], (toe - heel)[:2])
    position = 100.0 * np.dot(pb[drive, :2] - heel[:2], line)
    return {
        "events": {"lead_contact": contact, "drive_peak": tb[drive], "drive_start": drive_start,
                   "braking_peak": tl[braking], "vertical_peak": tl[vertical]},
        "quantities": {
            "drive_peak_force": float(fb[drive, 0]),
            "braking_peak_force": float(-fl[braking, 0]),
            "vertical_peak_force": float(fl[vertical, 2]),
            "drive_impulse": impulse(tb, np.maximum(fb[:, 0], 0), drive_start, contact),
            "braking_impulse_to_peak": -impulse(tl, fl[:, 0], contact, tl[braking]),
            "braking_impulse_whole": -impulse(tl, fl[:, 0], contact, tl[zero]),
            "heel_toe_at_drive_peak": float(position)},
    }


def window(foot, begin, end):
    i, j = np.searchsorted(foot[0], [begin, end])
    return [part[i:j] for part in foot], i


def main(path):
    with h5py.File(path) as file:
        weight = file["athlete"].attrs["mass_kg"] * G
        heel, toe = file["foot_line"].attrs["heel_m"], file["foot_line"].attrs["toe_m"]
        plates = {role: Plate(file, role) for role in ("back", "lead")}
        back, lead = gather(plates["back"]), gather(plates["lead"])
    rate = plates["lead"].rate
    loaded = lead[2] >= 0.05 * weight
    throws, last = [], -np.inf
    for row in np.flatnonzero(~loaded[:-1] & loaded[1:]) + 1:
        t = lead[0][row]
        if t < last + 1.5 or loaded[max(0, row - int(0.1 * rate)) : row].any():
            continue
        ahead = lead[1][row : row + int(0.4 * rate)]
        i, j = np.searchsorted(back[0], [t - 1.2, t])
        behind = back[1][i:j]
        if len(behind) == 0 or ahead[:, 2].max() < 0.8 * weight or -ahead[:, 0].min() < 0.32 * weight:
            continue
        if behind[:, 0].max() < 0.2 * weight or behind[:, 2].max() < 0.7 * weight:
            continue
        near_lead, first = window(lead, t - 0.5, t + 1.2)
        near_back, _ = window(back, t - 8.0, t + 1.2)
        throws.append(measure(near_back, near_lead, row - first, weight, heel, toe))
        last = t
    json.dump({"throws": throws}, sys.stdout, indent=1)


if __name__ == "__main__":
    main(sys.argv[1])
