"""Heat over triangles: values evened out over a surface."""

import numpy as np

from jobs.geometry.engine.jit import inner


@inner
def even_out(areas, whole, beside, flow, given, found, enough, most):
    """Solve (areas + flow) found = areas · given for each column of (m, k) by conjugate gradients; returns the steps taken.

    `beside` (m, 3) are a triangle's neighbours, −1 for none; `whole` is the diagonal.
    """
    count, columns = given.shape
    rest, way, applied = np.empty_like(given), np.empty_like(given), np.empty_like(given)
    strength, target = np.zeros(columns), np.zeros(columns)
    for f in range(count):
        for c in range(columns):
            value = areas[f] * given[f, c] - whole[f] * found[f, c]
            for e in range(3):
                if beside[f, e] >= 0:
                    value += flow[f, e] * found[beside[f, e], c]
            rest[f, c] = value
            way[f, c] = value / whole[f]
            strength[c] += value * way[f, c]
            target[c] += (areas[f] * given[f, c]) ** 2 / whole[f]
    for steps in range(most):
        done = True
        for c in range(columns):
            done = done and strength[c] <= enough * enough * target[c]
        if done:
            return steps
        against = np.zeros(columns)
        for f in range(count):
            for c in range(columns):
                value = whole[f] * way[f, c]
                for e in range(3):
                    if beside[f, e] >= 0:
                        value -= flow[f, e] * way[beside[f, e], c]
                applied[f, c] = value
                against[c] += value * way[f, c]
        stronger = np.zeros(columns)
        for c in range(columns):
            against[c] = strength[c] / max(against[c], 1e-300)
        for f in range(count):
            for c in range(columns):
                found[f, c] += against[c] * way[f, c]
                value = rest[f, c] - against[c] * applied[f, c]
                rest[f, c] = value
                stronger[c] += value * value / whole[f]
        for c in range(columns):
            against[c] = stronger[c] / max(strength[c], 1e-300)
            strength[c] = stronger[c]
        for f in range(count):
            for c in range(columns):
                way[f, c] = rest[f, c] / whole[f] + against[c] * way[f, c]
    return most
