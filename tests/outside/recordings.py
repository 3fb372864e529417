"""What SciPy, NumPy and gpxpy make of the same recordings: JSON comes in on standard input, JSON goes out.

SciPy 1.17 (Butterworth sections, sosfilt, geometric mean), NumPy (power of windowed frames, centroid), gpxpy 1.6.2 (speeds
of a track).
"""

import json
import sys

import gpxpy
import numpy as np
from scipy import io, signal, stats

asked = json.load(sys.stdin)


def frames(case):
    rate, samples = io.wavfile.read(case["file"])
    samples = np.atleast_2d(samples.T / 32768.0)
    length, (low, high) = case["length"], case["band"]
    hop = length // 2
    window = signal.get_window("hann", length)
    edges = np.array(case["edges"])
    bin_hz = rate / length
    centre = np.arange(length // 2 + 1) * bin_hz
    lower = np.maximum.outer(centre - bin_hz / 2, edges[:-1])
    upper = np.minimum.outer(centre + bin_hz / 2, edges[1:])
    share = np.clip(upper - lower, 0, None) / bin_hz
    share[0] = 0
    first, last = int(np.ceil(low / bin_hz)), int(np.ceil(high / bin_hz))
    mixed = samples.mean(axis=0)
    sections = np.array(case["sections"])
    heard = signal.sosfilt(sections, mixed)
    out = []
    for start in range(0, samples.shape[1] - length + 1, hop):
        piece = samples[:, start : start + length] * window
        power = (np.abs(np.fft.rfft(piece, axis=1)) ** 2).mean(axis=0) * 2 / (length * (window**2).sum())
        band = power[first:last]
        new = heard[start + hop : start + length]
        out.append(
            {
                "bands": list(power @ share),
                "friction": band.sum(),
                "centroid": (band * np.arange(first, last)).sum() / band.sum() * bin_hz,
                "flatness": stats.gmean(band) / band.mean(),
                "second": (new**2).mean(),
                "kurtosis": (new**4).mean() / (new**2).mean() ** 2,
            }
        )
    return out


def corner(case):
    at, rate = case
    return {kind: list(signal.butter(2, at, kind, fs=rate, output="sos")[0]) for kind in ("low", "high")}


def track(text):
    segments = [segment for one in gpxpy.parse(text).tracks for segment in one.segments]
    points = [point for segment in segments for point in segment.points if point.time]
    once = []
    for point in points:
        if not once or point.time > once[-1].time:
            once.append(point)
    points = once
    return [
        {"time": (one.time.timestamp() + other.time.timestamp()) / 2, "speed": other.distance_2d(one) / (other.time - one.time).total_seconds()}
        for one, other in zip(points, points[1:])
        if other.time > one.time
    ]


answers = {
    "frames": [frames(case) for case in asked["frames"]],
    "tracks": [track(text) for text in asked["tracks"]],
    "corners": [corner(case) for case in asked["corners"]],
}
json.dump(answers, sys.stdout)
