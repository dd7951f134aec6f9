"""Pictures of a mesh along a direction, whose pixels are heights."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange


@inner
def project(vertices, frame, pixel, places):
    """Write (u, v) in pixels and the height w of vertices (n, 3) into places (n, 3); frame (3, 3) has the rows u, v, w."""
    scale = 1.0 / pixel
    ux, uy, uz = frame[0, 0] * scale, frame[0, 1] * scale, frame[0, 2] * scale
    vx, vy, vz = frame[1, 0] * scale, frame[1, 1] * scale, frame[1, 2] * scale
    wx, wy, wz = frame[2, 0], frame[2, 1], frame[2, 2]
    for i in range(len(vertices)):
        x, y, z = vertices[i, 0], vertices[i, 1], vertices[i, 2]
        places[i, 0] = ux * x + uy * y + uz * z
        places[i, 1] = vx * x + vy * y + vz * z
        places[i, 2] = wx * x + wy * y + wz * z


@inner
def draw(places, faces, u0, v0, picture):
    """Raise picture (rows, cols) to the heights of the triangles that look towards the eye; pixel [0, 0] lies at u0, v0."""
    rows, columns = picture.shape
    one = np.float32(1.0)
    for f in range(len(faces)):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        au, av, aw = places[a, 0] - u0, places[a, 1] - v0, places[a, 2]
        bu, bv = places[b, 0] - u0 - au, places[b, 1] - v0 - av
        cu, cv = places[c, 0] - u0 - au, places[c, 1] - v0 - av
        area = bu * cv - bv * cu
        if area <= np.float32(1e-9):
            continue
        low_u, high_u = au + min(min(bu, cu), 0.0), au + max(max(bu, cu), 0.0)
        low_v, high_v = av + min(min(bv, cv), 0.0), av + max(max(bv, cv), 0.0)
        first_column, last_column = max(math.ceil(low_u), 0), min(math.floor(high_u), columns - 1)
        first_row, last_row = max(math.ceil(low_v), 0), min(math.floor(high_v), rows - 1)
        if first_column > last_column or first_row > last_row:
            continue
        share = one / area
        rise_b, rise_c = (places[b, 2] - aw) * share, (places[c, 2] - aw) * share
        slack = -np.float32(1e-5) * area
        for row in range(first_row, last_row + 1):
            y = np.float32(row) - av
            for column in range(first_column, last_column + 1):
                x = np.float32(column) - au
                # Shares of the corners b and c, times the area.
                s, t = x * cv - y * cu, bu * y - bv * x
                if s < slack or t < slack or s + t > area - slack:
                    continue
                height = aw + s * rise_b + t * rise_c
                picture[row, column] = max(picture[row, column], height)


@inner
def frame_extent(vertices, frame, found):
    """Write the least and greatest (u, v) of vertices in a frame into found (2, 2). [mm]"""
    ux, uy, uz = frame[0, 0], frame[0, 1], frame[0, 2]
    vx, vy, vz = frame[1, 0], frame[1, 1], frame[1, 2]
    low_u, high_u, low_v, high_v = 1e30, -1e30, 1e30, -1e30
    for i in range(len(vertices)):
        x, y, z = vertices[i, 0], vertices[i, 1], vertices[i, 2]
        u, v = ux * x + uy * y + uz * z, vx * x + vy * y + vz * z
        low_u, high_u = min(low_u, u), max(high_u, u)
        low_v, high_v = min(low_v, v), max(high_v, v)
    found[0, 0], found[0, 1], found[1, 0], found[1, 1] = low_u, low_v, high_u, high_v


@loop
def frame_extents(vertices, frames):
    """Return the extent (see `frame_extent`) of vertices in each frame, (k, 2, 2). [mm]"""
    found = np.empty((len(frames), 2, 2))
    for n in prange(len(frames)):
        frame_extent(vertices, frames[n], found[n])
    return found


@loop
def draw_all(vertices, faces, frames, pixel, corners, shapes, starts, pixels):
    """Draw a mesh in every frame (k, 3, 3): picture n, of shapes[n] pixels, its first at corners[n], begins at starts[n]."""
    for n in prange(len(frames)):
        places = np.empty((len(vertices), 3), np.float32)
        project(vertices, frames[n], pixel, places)
        rows, columns = shapes[n, 0], shapes[n, 1]
        picture = pixels[starts[n] : starts[n] + rows * columns].reshape((rows, columns))
        picture[:] = -np.inf
        draw(places, faces, np.float32(corners[n, 0] / pixel), np.float32(corners[n, 1] / pixel), picture)
