# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds exported C3D files against the exported traces and table, without the program's own code:
the C3D user guide's layout and force-plate formulas in the standard library alone.

Use: check_c3d_export.py FOLDER, which holds c3d/, traces/ and throws.csv. Prints the greatest
differences; fails beyond the limits below or when there was nothing to compare.
"""
import bisect
import csv
import math
import pathlib
import struct
import sys

FORCE_LIMIT = 2e-4  # N: float32 at 2 kN is good to 6e-5, the CSV's fourth digit to 5e-5
COP_LIMIT = 5e-6  # m: moments of 5e5 N mm are good to 0.016 as float32, over 50 N
TIME_LIMIT = 1e-5  # s, of events


def read_c3d(path):
    data = path.read_bytes()
    assert data[1] == 0x50, "no C3D file"
    section = (data[0] - 1) * 512
    assert data[section + 3] == 84, "not in Intel's byte order"
    words = struct.unpack_from("<10H", data, 2)
    points, analog_per_frame, first, last, start, samples = (
        words[0], words[1], words[2], words[3], words[7], words[8])
    frame_rate = struct.unpack_from("<f", data, 20)[0]
    groups, entries = {}, []
    at = section + 4
    while True:
        length, group = struct.unpack_from("<bb", data, at)
        if length == 0:
            break
        length = abs(length)
        name = data[at + 2:at + 2 + length].decode()
        link_at = at + 2 + length
        link = struct.unpack_from("<H", data, link_at)[0]
        if group < 0:
            groups[-group] = name
        else:
            kind, count = struct.unpack_from("<bB", data, link_at + 2)
            sizes = list(data[link_at + 4:link_at + 4 + count])
            total = math.prod(sizes)
            body = link_at + 4 + count
            if kind == -1:
                width = sizes[0]
                values = [data[body + i:body + i + width].decode().strip()
                          for i in range(0, total, width)]
            else:
                values = list(struct.unpack_from(f"<{total}" + {1: "B", 2: "h", 4: "f"}[kind],
                                                 data, body))
            entries.append((group, name, values))
        if link == 0:
            break
        at = link_at + link
    parameters = {f"{groups[group]}:{name}": values for group, name, values in entries}
    assert parameters["POINT:SCALE"][0] < 0, "integers, where real numbers were expected"
    channels = parameters["ANALOG:USED"][0]
    assert channels * samples == analog_per_frame
    frame_bytes = 4 * (4 * points + analog_per_frame)
    begin = (start - 1) * 512
    frames = last - first + 1
    assert len(data) >= begin + frames * frame_bytes, "cut short"
    analog = []
    markers = []
    for frame in range(frames):
        here = begin + frame * frame_bytes
        markers.append(struct.unpack_from(f"<{4 * points}f", data, here))
        values = struct.unpack_from(f"<{analog_per_frame}f", data, here + 16 * points)
        analog += [values[i * channels:(i + 1) * channels] for i in range(samples)]
    rate = parameters["ANALOG:RATE"][0]
    assert abs(rate - frame_rate * samples) < 1e-3 * rate
    return parameters, analog, rate, markers


def unit(v):
    size = math.sqrt(sum(x * x for x in v))
    return [x / size for x in v]


def cross(a, b):
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def reactions(parameters, analog, plate):
    """Lab force (N) and centre of pressure (m) of the ground on the athlete for every sample."""
    assert parameters["FORCE_PLATFORM:TYPE"][plate] == 2
    corners = parameters["FORCE_PLATFORM:CORNERS"][12 * plate:12 * plate + 12]
    c = [corners[3 * i:3 * i + 3] for i in range(4)]
    x = unit([c[0][i] + c[3][i] - c[1][i] - c[2][i] for i in range(3)])
    z = unit(cross(x, [c[0][i] + c[1][i] - c[2][i] - c[3][i] for i in range(3)]))
    assert z[2] < 0, "the plate's z does not point down"
    y = cross(z, x)
    centre = [sum(corner[i] for corner in c) / 4 for i in range(3)]
    origin = parameters["FORCE_PLATFORM:ORIGIN"][3 * plate:3 * plate + 3]
    columns = [n - 1 for n in parameters["FORCE_PLATFORM:CHANNEL"][6 * plate:6 * plate + 6]]
    for sample in analog:
        fx, fy, fz, mx, my, _ = (sample[n] for n in columns)
        force = [-(fx * x[i] + fy * y[i] + fz * z[i]) for i in range(3)]
        cop = None
        if abs(fz) > 1:
            px = (origin[2] * fx - my) / fz - origin[0]
            py = (mx + origin[2] * fy) / fz - origin[1]
            cop = [(centre[i] + px * x[i] + py * y[i]) / 1000 for i in range(3)]
        yield force, cop


def read_trace(path):
    rows = list(csv.DictReader(path.open(newline="")))
    number = lambda text: float(text) if text else math.nan
    return {key: [number(row[key]) for row in rows] for key in rows[0]}


class Worst:
    def __init__(self):
        self.force = self.cop = self.time = 0.0
        self.samples = self.cops = self.events = 0


def compare(parameters, analog, rate, trace, plate, resampled, worst):
    start = float(parameters["MOUNDWORK:START_S"][0])
    times = trace["time"]
    step = (times[-1] - times[0]) / (len(times) - 1)
    for i, (force, cop) in enumerate(reactions(parameters, analog, plate)):
        at = (start + i / rate - times[0]) / step
        left = min(max(int(math.floor(at)), 0), len(times) - 2) if resampled else round(at)
        share = at - left if resampled else 0.0

        def value(key):
            a = trace[key][left]
            if not resampled:
                return a, 0.0
            b = trace[key][left + 1]
            # The table's times are rounded to a hundredth of a step, which may also move a time
            # into the step beside.
            around = trace[key][max(left - 1, 0):left + 3]
            return a + share * (b - a), 0.02 * (max(around) - min(around))

        for key, mine in zip(("force_x", "force_y", "force_z"), force):
            theirs, slack = value(key)
            if math.isnan(theirs):
                continue
            worst.force = max(worst.force, abs(mine - theirs) - slack)
            worst.samples += 1
        for axis, key in enumerate(("cop_x", "cop_y")):
            theirs, slack = value(key)
            if cop is None or math.isnan(theirs):
                continue
            # Between two samples the quotient of lines is no line.
            if resampled and not math.isnan(slack):
                slack = max(slack, abs(trace[key][left + 1] - trace[key][left]))
            worst.cop = max(worst.cop, abs(cop[axis] - theirs) - slack)
            worst.cops += 1


def main():
    folder = pathlib.Path(sys.argv[1])
    table = {(row["session"], row["throw"]): row
             for row in csv.DictReader((folder / "throws.csv").open(newline=""))}
    worst = Worst()
    for path in sorted((folder / "c3d").glob("*.c3d")):
        parameters, analog, rate, markers = read_c3d(path)
        resampled = parameters["MOUNDWORK:RESAMPLED"][0]
        for plate, who in enumerate(("back", "lead")):
            trace = read_trace(folder / "traces" / f"{path.stem}_{who}.csv")
            compare(parameters, analog, rate, trace, plate, resampled == f"plate {plate + 1}",
                    worst)
        row = table[parameters["MOUNDWORK:SESSION"][0], parameters["MOUNDWORK:THROW"][0]]
        start = float(parameters["MOUNDWORK:START_S"][0])
        stored = parameters["EVENT:TIMES"]
        labels = parameters["EVENT:LABELS"]
        assert "lead_contact" in labels
        for i, label in enumerate(labels):
            time = 60 * stored[2 * i] + stored[2 * i + 1]
            worst.time = max(worst.time, abs(start + time - float(row[label])))
            worst.events += 1
        assert set(parameters.get("POINT:LABELS", [])) in ({"HEEL", "TOE"}, set())
        assert all(frame == markers[0] for frame in markers), "the foot's line moves"
    print(f"forces: {worst.samples} compared, greatest difference {worst.force:.1e} N")
    print(f"centre of pressure: {worst.cops} compared, greatest difference {worst.cop:.1e} m")
    print(f"events: {worst.events} compared, greatest difference {worst.time:.1e} s")
    assert worst.samples > 1000 and worst.cops > 100 and worst.events > 4, "little was compared"
    assert worst.force <= FORCE_LIMIT and worst.cop <= COP_LIMIT and worst.time <= TIME_LIMIT


main()
