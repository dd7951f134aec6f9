"""The part of a cube behind a plane."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.geometry.engine.kernel_cube import cube_cut

parts = st.floats(-1, 1)
GRID = (np.arange(40) + 0.5) / 40 - 0.5
X, Y, Z = np.meshgrid(GRID, GRID, GRID)


class TestCubeCut:
    @settings(max_examples=150, deadline=None)
    @given(parts, parts, parts, st.floats(-0.9, 0.9))
    def test_is_the_share_of_points_behind_the_plane(self, x: float, y: float, z: float, height: float) -> None:
        length = float(np.sqrt(x * x + y * y + z * z))
        if length < 1e-3:
            x, y, z, length = 0.0, 0.0, 1.0, 1.0
        g = (x / length, y / length, z / length)
        # exact in the limit: counting 64 000 points
        counted = float(np.mean(height + g[0] * X + g[1] * Y + g[2] * Z <= 0))
        kept, area = cube_cut(height, *g)
        assert abs(kept - counted) < 0.03
        step = 1e-5
        less, more = cube_cut(height + step, *g)[0], cube_cut(height - step, *g)[0]
        assert less <= kept <= more
        if 0.001 < kept < 0.999:
            assert abs((more - less) / (2 * step) - area) < 0.02 * area + 0.05

    def test_halves_the_cube_through_its_middle(self) -> None:
        assert cube_cut(0.0, 0.6, 0.0, 0.8)[0] == 0.5
        # exact: the hexagon across the long diagonal has area 3√3/4
        assert abs(cube_cut(0.0, *(3**-0.5,) * 3)[1] - 3 * 3**0.5 / 4) < 1e-9
