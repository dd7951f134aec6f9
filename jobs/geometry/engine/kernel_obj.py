"""OBJ, read straight from the bytes."""

import numpy as np

from jobs.geometry.engine.jit import exact
from jobs.geometry.engine.kernel_text import line_end, next_line, number_at, past_spaces, whole_at

# Statements without bearing on the surface, each ended by a blank.
_PASSED_OVER = np.frombuffer(b"vn vt vp o g s usemtl mtllib usemap maplib l p mg lod ", dtype=np.uint8)


@exact
def _is_passed_over(data, at, stop):
    first, i = True, 0
    while i < len(_PASSED_OVER):
        k = at
        while k < stop and _PASSED_OVER[i] != 32 and data[k] == _PASSED_OVER[i]:
            k += 1
            i += 1
        first = _PASSED_OVER[i] == 32 and (k == stop or data[k] <= 32)
        if first:
            return True
        while _PASSED_OVER[i] != 32:
            i += 1
        i += 1
    return False


@exact
def read_obj_lines(data, points, faces, line_limit):
    """Fill `points` (room, 3) and `faces` (room, 3); returns (status, points, faces, polygons), status 0 where anything is odd.

    Faces may refer to points that come later, or to none: that is checked afterwards. Negative numbers count back from here.
    """
    end, room, most = len(data), len(points), len(faces)
    n, m, polygons = 0, 0, 0
    at = next_line(data, 0, end)
    while at < end:
        stop = line_end(data, at, end)
        if stop - at > line_limit:
            return 0, 0, 0, 0
        first, second = data[at], (data[at + 1] if at + 1 < stop else np.uint8(32))
        last = stop - 1
        while last > at and (data[last] == 32 or 9 <= data[last] <= 13):
            last -= 1
        if first == 35:
            for k in range(at, stop):
                if data[k] == 0:
                    return 0, 0, 0, 0
        elif data[last] == 92:
            return 0, 0, 0, 0
        elif first == 118 and (second == 32 or second == 9):
            if n == room:
                return 0, 0, 0, 0
            at, count = past_spaces(data, at + 1, stop), 0
            while at < stop:
                value, at, good = number_at(data, at, stop)
                if not good or count == 7:
                    return 0, 0, 0, 0
                if count < 3:
                    points[n, count] = value
                elif count == 3:
                    fourth = value
                count += 1
                at = past_spaces(data, at, stop)
            if count != 3 and count != 6 and count != 7 and not (count == 4 and fourth == 1.0):
                return 0, 0, 0, 0
            n += 1
        elif first == 102 and (second == 32 or second == 9):
            at, count = past_spaces(data, at + 1, stop), 0
            one, before = np.int64(0), np.int64(0)
            while at < stop:
                index, at, good = whole_at(data, at, stop)
                if not good or index == 0 or index < -n:
                    return 0, 0, 0, 0
                if at < stop and data[at] == 47:
                    while at < stop and data[at] > 32:
                        at += 1
                if at < stop and data[at] > 32:
                    return 0, 0, 0, 0
                index = index - 1 if index > 0 else n + index
                if count == 0:
                    one = index
                elif count > 1:
                    if m == most:
                        return 0, 0, 0, 0
                    faces[m, 0] = one
                    faces[m, 1] = before
                    faces[m, 2] = index
                    m += 1
                before = index
                count += 1
                start = at
                at = past_spaces(data, at, stop)
                if at == start and at < stop:
                    return 0, 0, 0, 0
            if count < 3:
                return 0, 0, 0, 0
            polygons += count > 3
        else:
            if not _is_passed_over(data, at, stop):
                return 0, 0, 0, 0
            for k in range(at, stop):
                if data[k] == 0:
                    return 0, 0, 0, 0
        at = next_line(data, stop, end)
    return 1, n, m, polygons
