"""The same pipelines in NumPy, SciPy and scikit-image, to be measured against: a drive's recordings, a disc's face. Two
figures go out: CPU seconds of each. What is read and what is reckoned are the same; how it is written is as these libraries
are used, whole arrays at a time.
"""

import sys
import time

import numpy as np
from scipy import ndimage, signal
from scipy.io import wavfile
from skimage import color, feature, io

motion_file, position_file, sound_file, picture_file, outer, inner, diameter = sys.argv[1:]


def drive():
    motion = np.loadtxt(motion_file, delimiter=",", skiprows=1)
    fixes = np.loadtxt(position_file, delimiter=",", skiprows=1)
    time_s, force = motion[:, 0], motion[:, 1:4]
    sums = np.vstack([np.zeros(3), np.cumsum((force[1:] + force[:-1]) / 2 * np.diff(time_s)[:, None], axis=0)])
    change = np.diff(fixes[:, 1]) / np.diff(fixes[:, 0])
    best = (0.0, 0.0, None)
    start = time_s[0] - fixes[0, 0]
    for shift in start + np.arange(-120, 120, 0.1):
        at = fixes[:, 0] + shift
        inside = (at[:-1] > time_s[0]) & (at[1:] < time_s[-1])
        if inside.sum() < len(change) / 2:
            continue
        there = np.column_stack([np.interp(at, time_s, sums[:, axis]) for axis in range(3)])
        mean = np.diff(there, axis=0)[inside] / np.diff(at)[inside, None]
        slope = ((mean - mean.mean(0)) * (change[inside] - change[inside].mean())[:, None]).mean(0) / change[inside].var()
        share = (slope**2).sum() * change[inside].var() / mean.var(0).sum()
        if share > best[0]:
            best = (share, shift, slope)
    along = (force - force.mean(0)) @ (best[2] / np.linalg.norm(best[2]))
    grid = np.union1d(np.arange(time_s[0], time_s[-1], 0.04), fixes[:, 0] + best[1])
    grid = grid[(grid > time_s[0]) & (grid < time_s[-1])]
    total = np.interp(grid, time_s, np.concatenate([[0], np.cumsum((along[1:] + along[:-1]) / 2 * np.diff(time_s))]))
    known = dict(zip(np.searchsorted(grid, fixes[:, 0] + best[1]), fixes[:, 1]))
    for _ in range(3):
        state, spread = np.zeros(3), np.diag([36.0, 0.25, 0.0016])
        states, spreads, before, ahead, moves = [], [], [], [], []
        for nth in range(len(grid)):
            move = np.eye(3)
            if nth:
                dt = grid[nth] - grid[nth - 1]
                mean = (total[nth] - total[nth - 1]) / dt
                move[0, 1], move[0, 2] = -dt, dt * mean
                state = move @ state
                state[0] += dt * mean
                spread = move @ spread @ move.T + np.diag([9e-4 * dt, 36e-4 * dt, 4e-6 * dt])
            before.append(state)
            ahead.append(spread)
            if nth in known:
                gain = spread[:, 0] / (spread[0, 0] + 0.0225)
                state = state + gain * (known[nth] - state[0])
                spread = spread - np.outer(gain, spread[0])
            states.append(state)
            spreads.append(spread)
            moves.append(move)
        later, speed = states[-1], [states[-1][0]]
        for nth in range(len(grid) - 2, -1, -1):
            gain = spreads[nth] @ moves[nth + 1].T @ np.linalg.inv(ahead[nth + 1])
            later = states[nth] + gain @ (later - before[nth + 1])
            speed.append(later[0])
    rate, samples = wavfile.read(sound_file)
    sections = np.vstack([signal.butter(2, 1000, "high", fs=rate, output="sos")] * 2 + [signal.butter(2, 6000, "low", fs=rate, output="sos")] * 2)
    length = 2048
    window = signal.get_window("hann", length)
    zi = np.zeros((4, 2))
    out = []
    block = 512 * length // 2
    for begin in range(0, len(samples) - length, block):
        piece = samples[begin : begin + block + length // 2].astype(float) / 32768
        heard, zi = signal.sosfilt(sections, piece[:block].mean(1), zi=zi)
        power = 0
        for channel in range(piece.shape[1]):
            frames = np.lib.stride_tricks.sliding_window_view(piece[:, channel], length)[:: length // 2]
            power = power + np.abs(np.fft.rfft(frames * window, axis=1)) ** 2
        band = power[:, 43:257]
        hops = heard[: len(heard) // 1024 * 1024].reshape(-1, 1024)
        out.append(
            (
                np.add.reduceat(power, np.unique((40 * 2 ** (np.arange(48) / 6) * length / rate).astype(int) + 1), axis=1),
                band.sum(1),
                (band * np.arange(43, 257)).sum(1) / band.sum(1),
                np.exp(np.log(band + 1e-30).mean(1)) / band.mean(1),
                (hops**2).mean(1),
                (hops**4).mean(1),
                (heard[: len(heard) // 120 * 120].reshape(-1, 120) ** 2).mean(1),
                (np.abs(piece) >= 0.999).mean(),
            )
        )
    return speed, out


def point(text, angle):
    x, y, a, b, turn = map(float, text.split(","))
    u, v = a * np.cos(angle - turn), b * np.sin(angle - turn)
    return x + u * np.cos(turn) - v * np.sin(turn), y + u * np.sin(turn) + v * np.cos(turn)


def face():
    picture = io.imread(picture_file)
    columns, rows, looks = 2490, 164, 3
    angle = (np.arange(columns * looks) + 0.5) / (columns * looks) * 2 * np.pi
    share = 0.05 + 0.9 * (np.arange(rows * looks) + 0.5) / (rows * looks)
    (ox, oy), (ix, iy) = point(outer, angle), point(inner, angle)
    x = (ix + (ox - ix) * share[:, None]).astype(int).clip(0, picture.shape[1] - 1)
    y = (iy + (oy - iy) * share[:, None]).astype(int).clip(0, picture.shape[0] - 1)
    coded = picture[y, x] / 255.0
    light = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    ring = light.reshape(rows, looks, columns, looks, 3).mean((1, 3))
    bright = ring @ [0.2127, 0.7152, 0.0721]
    blur = lambda values, mm: ndimage.uniform_filter(ndimage.uniform_filter(values, 2 * int(mm / 0.8) + 1, mode=("nearest", "wrap")), 2 * int(mm / 0.8) + 1, mode=("nearest", "wrap"))
    around = blur(bright, 14)
    seen = ndimage.binary_opening((bright > 0.42 * around) & (bright < 2.4 * around))
    weight = blur(seen.astype(float), 7)
    even = bright / np.maximum(blur(bright * seen, 7) / np.maximum(weight, 1e-6), 1e-6)
    levels = ((even - 0.6) / 0.8 * 16).clip(0, 15).astype(np.uint8)
    out = []
    for scale in (1.2, 2.4, 4.8):
        band = blur(even * seen, scale / 2) - blur(even * seen, scale * 2)
        out.append([(np.abs(part) > 0.06).mean() for part in np.array_split(band, 12, axis=1)])
    for part in [levels] + np.array_split(levels, 12, axis=1):
        table = feature.graycomatrix(part, [3], [0, np.pi / 4, np.pi / 2, 3 * np.pi / 4], levels=16, symmetric=True, normed=True)
        out.append([feature.graycoprops(table, name) for name in ("contrast", "homogeneity", "energy", "correlation")])
    out.append([color.rgb2lab(part.mean((0, 1))[None, None]) for part in np.array_split(ring, 12, axis=1)])
    return out


for pipeline in (drive, face):
    start = time.process_time()
    pipeline()
    print(time.process_time() - start)
