"""Text STL, read straight from the bytes."""

import numpy as np

from jobs.geometry.engine.jit import exact
from jobs.geometry.engine.kernel_text import line_end, next_line, number_at, past_spaces, word_is

_SOLID = np.frombuffer(b"solid", dtype=np.uint8)
_FACET = np.frombuffer(b"facet", dtype=np.uint8)
_OUTER = np.frombuffer(b"outer", dtype=np.uint8)
_VERTEX = np.frombuffer(b"vertex", dtype=np.uint8)
_ENDLOOP = np.frombuffer(b"endloop", dtype=np.uint8)
_ENDFACET = np.frombuffer(b"endfacet", dtype=np.uint8)
_ENDSOLID = np.frombuffer(b"endsolid", dtype=np.uint8)


@exact
def read_facets(data, corners, line_limit):
    """Fill `corners` (room, 3) from a text STL; returns (status, corners filled), status 0 where anything is odd."""
    end, room = len(data), len(corners)
    # What stood last: 0 nothing or endsolid, 1 solid or endfacet, 2 facet, 3 outer loop, 4 to 6 a vertex, 7 endloop.
    state, filled = 0, 0
    at = next_line(data, 0, end)
    while at < end:
        stop = line_end(data, at, end)
        if stop - at > line_limit:
            return 0, 0
        if 3 <= state <= 5:
            if not word_is(data, at, stop, _VERTEX) or filled == room:
                return 0, 0
            at = past_spaces(data, at + 6, stop)
            for axis in range(3):
                value, at, good = number_at(data, at, stop)
                if not good:
                    return 0, 0
                corners[filled, axis] = value
                at = past_spaces(data, at, stop)
            if at < stop:
                return 0, 0
            filled += 1
            state += 1
        elif state == 6:
            if not word_is(data, at, stop, _ENDLOOP):
                return 0, 0
            state = 7
        elif state == 7:
            if not word_is(data, at, stop, _ENDFACET):
                return 0, 0
            state = 1
        elif state == 2:
            if not word_is(data, at, stop, _OUTER):
                return 0, 0
            state = 3
        elif state == 1:
            if word_is(data, at, stop, _FACET):
                state = 2
            elif word_is(data, at, stop, _ENDSOLID):
                state = 0
            else:
                return 0, 0
        else:
            if not word_is(data, at, stop, _SOLID):
                return 0, 0
            state = 1
        while at < stop:
            # Names and normals are not looked at, but they must be text.
            if data[at] == 0:
                return 0, 0
            at += 1
        at = next_line(data, stop, end)
    return (1 if state == 0 else 0), filled
