"""Tables of PLY, text and binary, read straight from the bytes.

A table's columns are given as arrays: `size` bytes of a value, `length_size` bytes of the length before a list (0 for a
single value), `signed` where values or lengths may be negative, and `role`: 0 to 2 for x, y and z, 3 for a face's corners,
−1 for the rest.
"""

import numpy as np

from jobs.geometry.engine.jit import exact
from jobs.geometry.engine.kernel_text import line_end, next_line, number_at, past_spaces


@exact
def read_text_rows(data, at, rows, is_list, role, points, faces, first_face, line_limit):
    """Read the rows of one table, a line each, into `points` (rows, 3) or `faces` (room, 3) from `first_face` on.

    Returns (status, where it ends, faces filled, polygons); status 0 where anything is odd.
    """
    end, m, polygons = len(data), first_face, 0
    for row in range(rows):
        at = next_line(data, at, end)
        if at >= end:
            return 0, at, 0, 0
        stop = line_end(data, at, end)
        if stop - at > line_limit:
            return 0, at, 0, 0
        for column in range(len(role)):
            length = 1
            if is_list[column]:
                value, at, good = number_at(data, at, stop)
                length = np.int64(value)
                if not good or length != value or length < 0 or (role[column] == 3 and length < 3):
                    return 0, at, 0, 0
                at = past_spaces(data, at, stop)
                polygons += role[column] == 3 and length > 3
            one, before = np.int64(0), np.int64(0)
            for k in range(length):
                value, at, good = number_at(data, at, stop)
                if not good:
                    return 0, at, 0, 0
                at = past_spaces(data, at, stop)
                if 0 <= role[column] <= 2:
                    points[row, role[column]] = value
                elif role[column] == 3:
                    if abs(value) > 1e15 or np.int64(value) != value:
                        return 0, at, 0, 0
                    index = np.int64(value)
                    if k == 0:
                        one = index
                    elif k > 1:
                        if m == len(faces):
                            return 0, at, 0, 0
                        faces[m, 0] = one
                        faces[m, 1] = before
                        faces[m, 2] = index
                        m += 1
                    before = index
        if at < stop:
            return 0, at, 0, 0
    return 1, at, m, polygons


@exact
def _whole(data, at, size, signed, big):
    value = np.int64(0)
    for k in range(size):
        value |= np.int64(data[at + (size - 1 - k if big else k)]) << (8 * k)
    if signed and value >= (np.int64(1) << (8 * size - 1)):
        value -= np.int64(1) << (8 * size)
    return value


@exact
def read_binary_rows(data, at, rows, size, length_size, length_signed, signed, role, big, faces):
    """Walk over the rows of one table and read the corners of faces, if it has any, into `faces` (room, 3).

    Returns (status, where it ends, faces filled, polygons); status 0 where anything is odd.
    """
    end, m, polygons = len(data), 0, 0
    for _ in range(rows):
        for column in range(len(role)):
            length = np.int64(1)
            if length_size[column]:
                if at + length_size[column] > end:
                    return 0, at, 0, 0
                length = _whole(data, at, length_size[column], length_signed[column], big)
                at += length_size[column]
            width = size[column]
            if length < 0 or at + width * length > end:
                return 0, at, 0, 0
            if role[column] == 3:
                if length < 3 or m + length - 2 > len(faces):
                    return 0, at, 0, 0
                one = _whole(data, at, width, signed[column], big)
                before = _whole(data, at + width, width, signed[column], big)
                for k in range(2, length):
                    index = _whole(data, at + k * width, width, signed[column], big)
                    faces[m, 0] = one
                    faces[m, 1] = before
                    faces[m, 2] = index
                    m += 1
                    before = index
                polygons += length > 3
            at += width * length
    return 1, at, m, polygons
